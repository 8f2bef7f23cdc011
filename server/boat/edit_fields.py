"""Changing one value of a listed thing or of the boat, checked again as if read from a file."""

import json
from typing import Any, TypeVar

from pydantic import ValidationError

from server.boat.boat import Boat
from server.boat.edit_error import EditError
from server.boat.edit_values import ChangeValue
from server.boat.listed import find, with_changed
from server.boat.problems import problems_of
from server.boat.value import Value

T = TypeVar("T", bound=Value)

_OWN = ("name", "nominal_voltage_v", "length_m", "notes", "practice", "earthing", "hull", "margin")
_FIXED = frozenset({"id", "kind", "format", "version"})


def change_value(boat: Boat, edit: ChangeValue) -> Boat:
    """Change one value; a missing step of the path is made, null takes the value out.

    In a list, the index after the last one appends, and null removes the element.
    """
    steps = edit.field.split(".")
    if steps[0] in _FIXED:
        raise EditError(edit.field, f"the {steps[0]} of a thing never changes.", "Add a new thing instead.")
    if edit.id is None:
        return _change_own(boat, steps, edit)
    found = find(boat, edit.id)
    return with_changed(boat, found.group, _again(found.item, steps, edit))


def _change_own(boat: Boat, steps: list[str], edit: ChangeValue) -> Boat:
    if steps[0] not in _OWN:
        mend = f"The boat's own values are: {', '.join(_OWN)}."
        raise EditError(edit.field, "this is no value of the boat itself.", mend)
    own = {name: getattr(boat, name) for name in _OWN}
    header = Boat(format="tapchart.boat", version=1, **own)
    changed = _again(header, steps, edit)
    return boat.model_copy(update={steps[0]: getattr(changed, steps[0])})


def _again(old: T, steps: list[str], edit: ChangeValue) -> T:
    """The same thing with one value changed, read again from its JSON form."""
    body = old.model_dump(mode="json", exclude_none=True)
    _put(body, steps, edit)
    try:
        return type(old).model_validate_json(json.dumps(body))
    except ValidationError as error:
        problem = problems_of(error, body)[0]
        field = edit.field if problem.path == "document" else _dotted(problem.path)
        raise EditError(field, problem.message, problem.mend) from None


def _dotted(path: str) -> str:
    return path.replace("[", ".").replace("]", "")


def _put(body: dict[str, Any], steps: list[str], edit: ChangeValue) -> None:
    here: Any = body
    for n, step in enumerate(steps[:-1]):
        if isinstance(here, dict):
            here = here.setdefault(step, {})
        elif isinstance(here, list) and step.isdigit() and int(step) < len(here):
            here = here[int(step)]
        else:
            raise _no_such(steps[: n + 1])
    last = steps[-1]
    if isinstance(here, dict):
        _put_key(here, last, edit)
    elif isinstance(here, list) and last.isdigit() and int(last) <= len(here):
        here[int(last) : int(last) + 1] = [] if edit.value is None else [edit.value]
    else:
        raise _no_such(steps)


def _put_key(here: dict[str, Any], key: str, edit: ChangeValue) -> None:
    if edit.value is None:
        here.pop(key, None)
    else:
        here[key] = edit.value


def _no_such(steps: list[str]) -> EditError:
    return EditError(".".join(steps), "there is no such place to put a value.", "Check the path.")
