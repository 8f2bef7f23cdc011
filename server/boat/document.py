"""A boat as bytes: in with every error placed and explained, out in one canonical form."""

from typing import Any

from pydantic import ValidationError

from server.boat.boat import FORMAT, VERSION, Boat
from server.boat.references import Problem

MOST_PROBLEMS = 10


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
    try:
        return Boat.model_validate_json(body)
    except ValidationError as error:
        raise DocumentError(tuple(_problems(error))[:MOST_PROBLEMS]) from None


def boat_bytes(boat: Boat) -> bytes:
    """The one byte form of a boat: UTF-8, model order, nulls left out, final newline."""
    return boat.model_dump_json(indent=1, exclude_none=True).encode() + b"\n"


def schema() -> dict[str, Any]:
    """The published JSON Schema of the document."""
    return {"$id": f"{FORMAT}/{VERSION}", **Boat.model_json_schema()}


def _problems(error: ValidationError) -> list[Problem]:
    found: list[Problem] = []
    for line in error.errors(include_url=False, include_input=False):
        context = line.get("ctx", {})
        if line["type"] == "references":
            found.extend(context["problems"])
        else:
            found.append(Problem(_path(line["loc"]), line["msg"] + ".", _mend(line["type"])))
    return found


def _path(location: tuple[int | str, ...]) -> str:
    path = ""
    for step in location:
        path += f"[{step}]" if isinstance(step, int) else f".{step}" if path else step
    return path or "document"


def _mend(error_type: str) -> str:
    mends = {
        "extra_forbidden": "Take the key out, or spell it as the format does.",
        "missing": "Add it.",
        "json_invalid": "Save the file again as valid JSON in UTF-8.",
    }
    return mends.get(error_type, "Correct the value.")
