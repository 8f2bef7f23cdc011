"""Problems in a person's words, from what pydantic found wrong with a JSON value."""

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from server.boat.references import Problem

LONGEST_STEP = 80
"""Characters of a key that a path repeats."""

_MESSAGES = {
    "extra_forbidden": "this key is not known here.",
    "missing": "this is missing.",
    "finite_number": "this must be a finite number.",
    "union_tag_invalid": "this kind is not known.",
    "union_tag_not_found": "the kind is missing.",
}
_MENDS = {
    "extra_forbidden": "Take the key out, or spell it as the format does.",
    "missing": "Add it.",
    "json_invalid": "Save the file again as valid JSON in UTF-8.",
    "union_tag_not_found": "Say which kind it is.",
}
_AT_THE_KIND = frozenset({"union_tag_invalid", "union_tag_not_found"})
_AT_A_KEY_OF_ITS_OWN = frozenset({"missing", "extra_forbidden"})


def problems_of(error: ValidationError, body: object) -> tuple[Problem, ...]:
    """One problem a place, in pydantic's order; ``body`` is the JSON value that was validated."""
    found: dict[str, Problem] = {}
    for line in error.errors(include_url=False, include_input=False):
        for problem in _of_line(line, body):
            found.setdefault(problem.path, problem)
    return tuple(found.values())


def path_of(location: Iterable[int | str], body: object, *, last_is_new: bool = False) -> str:
    """A location as a path, without the steps that only name a branch of a union."""
    steps = tuple(location)
    path, here = "", body
    for n, step in enumerate(steps):
        new = last_is_new and n == len(steps) - 1
        if isinstance(step, int) and isinstance(here, list) and step < len(here):
            path, here = f"{path}[{step}]", here[step]
        elif isinstance(step, str) and isinstance(here, dict) and (new or step in here):
            path, here = f"{path}.{step[:LONGEST_STEP]}".removeprefix("."), here.get(step)
    return path or "document"


def _of_line(line: ErrorDetails, body: object) -> tuple[Problem, ...]:
    kind, context = line["type"], line.get("ctx", {})
    if kind == "references":
        problems: tuple[Problem, ...] = context["problems"]
        return problems
    path = path_of(line["loc"], body, last_is_new=kind in _AT_A_KEY_OF_ITS_OWN)
    if kind in _AT_THE_KIND:
        path = f"{path}.kind".removeprefix("document.")
    return (Problem(path, _message(line), _mend(kind, context)),)


def _message(line: ErrorDetails) -> str:
    text = line["msg"].removeprefix("Value error, ").replace("Invalid JSON", "this is not valid JSON")
    if text.startswith("Input should be "):
        text = f"this must be {text.removeprefix('Input should be ')}"
    return _MESSAGES.get(line["type"], f"{text}.")


def _mend(kind: str, context: dict[str, Any]) -> str:
    if kind == "union_tag_invalid":
        return f"It is one of: {context['expected_tags']}."
    return _MENDS.get(kind, "Correct the value.")
