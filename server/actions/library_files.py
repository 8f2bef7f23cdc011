"""The yard's own parts as a file: out, and in with every error placed and explained."""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field, JsonValue, ValidationError
from pydantic_core import from_json, to_json

from server.actions.copying import next_name
from server.actions.library import MOST_OWN, LibraryFullError, content_of, own_parts, part_in, require_room
from server.actions.yard import Yard
from server.boat.document import DocumentError
from server.boat.problems import problems_of
from server.boat.references import Problem
from server.boat.value import Name, Value

FILE_NAME = "own-parts.json"
MOST_PROBLEMS = 10
_MEND = "Choose a file of own parts exported by Tapchart."


class _Saved(Value):
    """One part of the file."""

    name: Name
    part: dict[str, JsonValue]


class _PartsFile(Value):
    """The file: its format, its version, and the parts."""

    format: Literal["tapchart.parts"]
    version: Literal[1]
    parts: Annotated[tuple[_Saved, ...], Field(max_length=MOST_OWN)]


@dataclass(frozen=True)
class TakenIn:
    """What came of a file: how many parts are new, how many were there, and which got another name."""

    new: int
    known: int
    renamed: tuple[str, ...]


def parts_file(yard: Yard) -> bytes:
    """All own parts as a file."""
    parts = [{"name": one.name, "part": from_json(one.content)} for one in own_parts(yard)]
    return to_json({"format": "tapchart.parts", "version": 1, "parts": parts}, indent=1) + b"\n"


def take_in(yard: Yard, body: bytes, request_id: str) -> TakenIn:
    """Keep the parts of a file; those that are there are left out, and a name that is taken is numbered.

    Raises:
        DocumentError: the file is none of own parts; every problem is placed and explained, nothing is kept.
    """
    there = own_parts(yard)
    known = {(one.name.casefold(), one.content) for one in there}
    read = _read(body)
    new = [(name, text) for name, text in dict.fromkeys(read) if (name.casefold(), text) not in known]
    count = len(new)
    try:
        require_room(yard, count)
    except LibraryFullError as error:
        raise DocumentError((Problem("parts", str(error), "Then take the file in again."),)) from error
    names, renamed = [one.name for one in there], []
    for n, (name, text) in enumerate(new):
        free = next_name(name, names)
        names.append(free)
        renamed += [free] if free != name else []
        yard.store.add_own_part(name=free, content=text, request_id=f"{request_id[:48]}-{n}")
    return TakenIn(count, len(read) - count, tuple(renamed))


def _read(body: bytes) -> list[tuple[str, str]]:
    """Names and stored texts of the parts in a file."""
    try:
        tree = from_json(body)
    except ValueError as error:
        problem = Problem("file", f"this is no JSON: {error}.", _MEND)
        raise DocumentError((problem,)) from error
    try:
        file = _PartsFile.model_validate_json(to_json(tree))
    except ValidationError as error:
        raise DocumentError(problems_of(error, tree)[:MOST_PROBLEMS]) from error
    problems: list[Problem] = []
    found = []
    for n, saved in enumerate(file.parts):
        try:
            part = part_in(to_json(saved.part).decode(), saved.name)
        except ValidationError as error:
            problems += (
                Problem(f"parts[{n}].part.{one.path}", one.message, one.mend)
                for one in problems_of(error, saved.part)
            )
        else:
            found.append((saved.name, content_of(part)))
    if problems:
        raise DocumentError(tuple(problems[:MOST_PROBLEMS]))
    return found
