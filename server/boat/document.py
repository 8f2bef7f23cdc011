"""A boat as bytes: in with every error placed and explained, out in one canonical form."""

import json
from typing import Any

from pydantic import ValidationError

from server.boat.boat import FORMAT, VERSION, Boat
from server.boat.caps import broken_caps
from server.boat.problems import LONGEST_STEP, problems_of
from server.boat.references import Problem

MOST_PROBLEMS = 10

_BYTE_ORDER_MARK = "\ufeff"
_NOT_JSON = "Save the file again as valid JSON in UTF-8."


class DocumentError(ValueError):
    """A document that cannot be used; ``problems`` says where and how to mend it."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        """Keep the problems; their first lines make the message."""
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


def read_boat(body: bytes) -> Boat:
    """The boat in a JSON document.

    Raises:
        DocumentError: naming the path of each problem, ten at most.
    """
    text = _text(body)
    tree = upgrade(_tree(text))
    try:
        return Boat.model_validate_json(text)
    except ValidationError as error:
        raise DocumentError(problems_of(error, tree)[:MOST_PROBLEMS]) from None


def boat_bytes(boat: Boat) -> bytes:
    """The one byte form of a boat: UTF-8, model order, nulls left out, final newline."""
    return boat.model_dump_json(indent=1, exclude_none=True).encode() + b"\n"


def schema() -> dict[str, Any]:
    """The published JSON Schema of the document."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"{FORMAT}/{VERSION}",
        **Boat.model_json_schema(),
    }


def check_caps(boat: Boat) -> None:
    """Refuse a boat with more parts or conductors than one may have.

    Raises:
        DocumentError: naming the list that is too long.
    """
    if problems := broken_caps(boat):
        raise DocumentError(problems)


def upgrade(tree: object) -> dict[str, Any]:
    """The document in today's version; ``format`` and ``version`` are looked at before anything else.

    Version 1 is the first, so nothing is rewritten yet.

    Raises:
        DocumentError: where the document is not ours, or of a version that this program cannot read.
    """
    if not isinstance(tree, dict):
        raise _refused("document", "this is not a JSON object.", "Choose a boat file exported by Tapchart.")
    kind, version = tree.get("format"), tree.get("version")
    if kind != FORMAT:
        what = "the format is not stated." if kind is None else f"the format {_quoted(kind)} is not known."
        raise _refused("format", what, f"A boat file says “format”: “{FORMAT}”.")
    if type(version) is not int or version < 1:
        raise _refused(
            "version", "this must be a whole number from 1.", f"This program writes version {VERSION}."
        )
    if version > VERSION:
        message = f"made by a newer Tapchart: version {version}; this one reads up to version {VERSION}."
        raise _refused("version", message, "Update Tapchart, then open the file again.")
    return tree


class _Object(dict[str, Any]):
    """A JSON object that remembers the first key it was given twice."""

    doubled: str | None = None


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    whole = dict(pairs)
    if len(whole) == len(pairs):
        return whole
    marked = _Object(whole)
    keys = [key for key, _ in pairs]
    marked.doubled = next(key for n, key in enumerate(keys) if key in keys[:n])
    return marked


def _text(body: bytes) -> str:
    try:
        return body.decode("utf-8").removeprefix(_BYTE_ORDER_MARK)
    except UnicodeDecodeError as error:
        raise _refused(f"byte {error.start}", "this is not UTF-8.", _NOT_JSON) from None


def _tree(text: str) -> object:
    doubles: list[None] = []

    def hook(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = _object(pairs)
        if type(found) is _Object:
            doubles.append(None)
        return found

    try:
        tree: object = json.loads(text, object_pairs_hook=hook)
        doubled = _doubled(tree, "") if doubles else None
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise _refused(place, f"this is not valid JSON: {error.msg}.", _NOT_JSON) from None
    except RecursionError:
        raise _refused("document", "the values are nested too deep.", "Choose a boat file.") from None
    except ValueError:
        raise _refused("document", "a number has too many digits.", "Correct the number.") from None
    if doubled is not None:
        raise _refused(doubled, "this key stands here twice.", "Keep one of the two.")
    return tree


def _doubled(tree: object, path: str) -> str | None:
    """The path of a key that stands twice in one object."""
    if isinstance(tree, _Object):
        return _joined(path, tree.doubled or "")
    steps: list[tuple[str, object]] = []
    if isinstance(tree, dict):
        steps = [(_joined(path, key), value) for key, value in tree.items()]
    elif isinstance(tree, list):
        steps = [(f"{path}[{n}]", value) for n, value in enumerate(tree)]
    return next((found for place, value in steps if (found := _doubled(value, place))), None)


def _joined(path: str, key: str) -> str:
    return f"{path}.{key[:LONGEST_STEP]}".removeprefix(".")


def _quoted(kind: object) -> str:
    return f"“{kind[:60]}”" if isinstance(kind, str) else "given"


def _refused(path: str, message: str, mend: str) -> DocumentError:
    return DocumentError((Problem(path, message, mend),))
