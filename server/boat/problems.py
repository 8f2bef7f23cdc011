"""Problems in a person's words, from what pydantic found wrong with a JSON value."""

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from server.boat.references import Problem

_MESSAGES = {
    "extra_forbidden": "this key is not known here.",
    "missing": "this is missing.",
    "finite_number": "this must be a finite number.",
    "json_invalid": "this is not valid JSON",
}
_MENDS = {
    "extra_forbidden": "Take the key out, or spell it as the format does.",
    "missing": "Add it.",
    "json_invalid": "Save the file again as valid JSON in UTF-8.",
}
_REFERENCES = "references"


def problems_of(error: ValidationError, body: object) -> tuple[Problem, ...]:
    """One problem a place, in pydantic's order; ``body`` is the JSON value that was validated."""
    found: dict[str, Problem] = {}
    for line in error.errors(include_url=False, include_input=False):
        for problem in _of_line(line, body):
            found.setdefault(problem.path, problem)
    return tuple(found.values())


def _of_line(line: Any, body: object) -> Iterable[Problem]:  # noqa: ANN401 - pydantic's own record
    kind, context = line["type"], line.get("ctx", {})
    if kind == _REFERENCES:
        return tuple(context["problems"])
    missing = kind in {"missing", "extra_forbidden", "union_tag_not_found"}
    path = path_of(line["loc"], body, last_is_new=missing)
    return (Problem(path, _message(line), _MENDS.get(kind, "Correct the value.")),)


def _message(line: Any) -> str:  # noqa: ANN401 - pydantic's own record
    text: str = line["msg"]
    plain = (
        text.removeprefix("Value error, ").removeprefix("Input should be ").removeprefix("Assertion failed, ")
    )
    words = f"this must be {plain}." if text.startswith("Input should be ") else f"{plain}."
    return _MESSAGES.get(line["type"], words)


def path_of(location: Iterable[int | str], body: object, *, last_is_new: bool = False) -> str:
    """A location as a path, without the steps that only name a branch of a union."""
    steps = tuple(location)
    path, here = "", body
    for n, step in enumerate(steps):
        last = last_is_new and n == len(steps) - 1
        if isinstance(step, int) and isinstance(here, list) and step < len(here):
            path, here = f"{path}[{step}]", here[step]
        elif isinstance(step, str) and isinstance(here, dict) and (step in here or last):
            path, here = (f"{path}.{step}" if path else step), here.get(step)
    return path or "document"
