"""Every change a person can make to a boat: a frozen value, and ``apply`` that makes a new boat of it."""

from itertools import groupby
from typing import assert_never

from pydantic import TypeAdapter, ValidationError
from pydantic_core import from_json

from server.boat import (
    edit_accepting,
    edit_fields,
    edit_modes,
    edit_parts,
    edit_photos,
    edit_readings,
    edit_runs,
    edit_wiring,
)
from server.boat.boat import Boat
from server.boat.caps import broken_caps
from server.boat.edit_error import EditError
from server.boat.edit_labels import label
from server.boat.edit_together import together, way_of
from server.boat.edit_values import (
    AcceptFinding,
    AddCable,
    AddConductor,
    AddEvent,
    AddMode,
    AddPart,
    AddPhoto,
    AnyEdit,
    ChangeValue,
    ClearAssumption,
    DuplicateConductor,
    DuplicatePart,
    MoveConductorEnd,
    MoveLead,
    PlacePart,
    PutDeck,
    PutReading,
    PutRun,
    PutUnderlay,
    PutWaypoint,
    PutZone,
    RemoveCable,
    RemoveConductor,
    RemoveEvent,
    RemoveMode,
    RemovePart,
    RemovePhoto,
    RemovePin,
    RemoveReading,
    Rename,
    SetAssumption,
    SetLength,
    SetModeHours,
    SetOn,
    SetPin,
    SetPosition,
    SetRowOrder,
    SetSize,
    Several,
    SingleEdit,
    Splice,
    TakeOffPlan,
    WithdrawAcceptance,
)
from server.boat.following import followed
from server.boat.ids import new_id
from server.boat.problems import problems_of
from server.boat.references import broken_references
from server.boat.value import Span, TerminalRef

__all__ = [
    "AcceptFinding",
    "AddCable",
    "AddConductor",
    "AddEvent",
    "AddMode",
    "AddPart",
    "AddPhoto",
    "AnyEdit",
    "ChangeValue",
    "ClearAssumption",
    "DuplicateConductor",
    "DuplicatePart",
    "EditError",
    "MoveConductorEnd",
    "MoveLead",
    "PlacePart",
    "PutDeck",
    "PutReading",
    "PutRun",
    "PutUnderlay",
    "PutWaypoint",
    "PutZone",
    "RemoveCable",
    "RemoveConductor",
    "RemoveEvent",
    "RemoveMode",
    "RemovePart",
    "RemovePhoto",
    "RemovePin",
    "RemoveReading",
    "Rename",
    "SetAssumption",
    "SetLength",
    "SetModeHours",
    "SetOn",
    "SetPin",
    "SetPosition",
    "SetRowOrder",
    "SetSize",
    "Several",
    "SingleEdit",
    "Splice",
    "TakeOffPlan",
    "WithdrawAcceptance",
    "apply",
    "edit_json",
    "label",
    "new_id",
    "read_edit",
]

_EDIT: TypeAdapter[AnyEdit] = TypeAdapter(AnyEdit)


def apply(boat: Boat, edit: AnyEdit) -> Boat:
    """The boat after the edit; whatever did not change is shared with the one before.

    Raises:
        EditError: naming the field that stands in the way; the boat is then as before.
    """
    if isinstance(edit, Several):
        return _all(boat, edit)
    after = _made(boat, edit)
    if isinstance(edit, _MAY_MISNAME):
        _check(after, edit)
    return followed(boat, after, _given(boat, after, edit))


def _all(boat: Boat, whole: Several) -> Boat:
    first = 0
    for way, run in groupby(whole.edits, way_of):
        edits = tuple(run)
        after = together(boat, way, edits) if way and len(edits) > 1 else None
        boat = _in_turn(boat, edits, first) if after is None else followed(boat, after)
        first += len(edits)
    return boat


def _in_turn(boat: Boat, edits: tuple[SingleEdit, ...], first: int) -> Boat:
    for n, single in enumerate(edits, first):
        try:
            boat = apply(boat, single)
        except EditError as error:
            raise EditError(f"edits.{n}.{error.field}", error.message, error.mend) from None
    return boat


def _given(before: Boat, after: Boat, edit: SingleEdit) -> frozenset[str]:
    """The conductors whose length an edit deals with itself."""
    match edit:
        case SetLength(basis="routed"):
            return frozenset()
        case MoveLead() | MoveConductorEnd(to=TerminalRef()) | SetLength(length_m=float() | Span()):
            pairs = zip(before.conductors, after.conductors, strict=True)
            return frozenset(new.id for old, new in pairs if new is not old)
        case _:
            return frozenset()


def edit_json(edit: AnyEdit) -> str:
    """The one JSON form of an edit, kept beside the revision it made."""
    return edit.model_dump_json(exclude_none=True)


def read_edit(text: str | bytes) -> AnyEdit:
    """The edit in a JSON text.

    Raises:
        EditError: naming the field that cannot be read.
    """
    try:
        return _EDIT.validate_json(text)
    except ValidationError as error:
        body = _tree(text)
        problem = problems_of(error, body)[0]
        raise EditError(problem.path, problem.message, problem.mend) from None


# What these bring along was not checked against this boat; all others keep every name in step themselves.
_MAY_MISNAME = (
    AddPart,
    AddPhoto,
    SetPin,
    PutReading,
    AddConductor,
    AddMode,
    AddEvent,
    ChangeValue,
    Splice,
    SetRowOrder,
    DuplicatePart,
    DuplicateConductor,
    PutWaypoint,
    PutDeck,
    PutRun,
    PutUnderlay,
    PutZone,
)


_BROUGHT = {
    "readings": "reading",
    "waypoints": "waypoint",
    "runs": "run",
    "zones": "zone",
    "decks": "deck",
    "parts": "part",
    "conductors": "conductor",
    "modes": "mode",
    "events": "event",
    "photos": "photo",
}


def _made(boat: Boat, edit: SingleEdit) -> Boat:  # noqa: PLR0911, PLR0912 - one line a kind reads best
    match edit:
        case MoveLead():
            return edit_wiring.move_lead(boat, edit)
        case MoveConductorEnd():
            return edit_wiring.move_conductor_end(boat, edit)
        case SetSize():
            return edit_wiring.set_size(boat, edit)
        case SetLength():
            return edit_wiring.set_length(boat, edit)
        case Splice():
            return edit_wiring.splice(boat, edit)
        case SetRowOrder():
            return edit_parts.set_row_order(boat, edit)
        case AddPart():
            return edit_parts.add_part(boat, edit)
        case RemovePart():
            return edit_parts.remove_part(boat, edit)
        case DuplicatePart():
            return edit_parts.duplicate_part(boat, edit)
        case AddConductor():
            return edit_parts.add_conductor(boat, edit)
        case RemoveConductor():
            return edit_parts.remove_conductor(boat, edit)
        case DuplicateConductor():
            return edit_parts.duplicate_conductor(boat, edit)
        case AddCable():
            return edit_parts.add_cable(boat, edit)
        case RemoveCable():
            return edit_parts.remove_cable(boat, edit)
        case Rename():
            return edit_parts.rename(boat, edit)
        case ChangeValue():
            return edit_fields.change_value(boat, edit)
        case SetPosition():
            return edit_modes.set_position(boat, edit)
        case SetOn():
            return edit_modes.set_on(boat, edit)
        case SetModeHours():
            return edit_modes.set_mode_hours(boat, edit)
        case AddMode():
            return edit_modes.add_mode(boat, edit)
        case RemoveMode():
            return edit_modes.remove_mode(boat, edit)
        case AddEvent():
            return edit_modes.add_event(boat, edit)
        case RemoveEvent():
            return edit_modes.remove_event(boat, edit)
        case SetAssumption():
            return edit_modes.set_assumption(boat, edit)
        case ClearAssumption():
            return edit_modes.clear_assumption(boat, edit)
        case PutWaypoint():
            return edit_runs.put_waypoint(boat, edit)
        case PutRun():
            return edit_runs.put_run(boat, edit)
        case PutZone():
            return edit_runs.put_zone(boat, edit)
        case PutDeck():
            return edit_runs.put_deck(boat, edit)
        case TakeOffPlan():
            return edit_runs.take_off_plan(boat, edit)
        case PutUnderlay():
            return edit_runs.put_underlay(boat, edit)
        case PlacePart():
            return edit_runs.place_part(boat, edit)
        case AcceptFinding():
            return edit_accepting.accept_finding(boat, edit)
        case WithdrawAcceptance():
            return edit_accepting.withdraw_acceptance(boat, edit)
        case AddPhoto():
            return edit_photos.add_photo(boat, edit)
        case RemovePhoto():
            return edit_photos.remove_photo(boat, edit)
        case SetPin():
            return edit_photos.set_pin(boat, edit)
        case PutReading():
            return edit_readings.put_reading(boat, edit)
        case RemoveReading():
            return edit_readings.remove_reading(boat, edit)
        case RemovePin():
            return edit_photos.remove_pin(boat, edit)
        case _:  # pragma: no cover - mypy proves that no kind is left
            assert_never(edit)


def _check(boat: Boat, edit: SingleEdit) -> None:
    """Refuse a boat whose names do not meet or which is too large."""
    problems = broken_references(boat) or broken_caps(boat)
    if not problems:
        return
    first = problems[0]
    if isinstance(edit, ChangeValue):
        raise EditError(edit.field, f"then {first.path}: {first.message}", "Change what relies on it first.")
    raise EditError(_field(boat, first.path), first.message, first.mend)


def _field(boat: Boat, path: str) -> str:
    """The field of an edit for a path that leads into what it brought, which stands last in its list."""
    for group, field in _BROUGHT.items():
        last = f"{group}[{len(getattr(boat, group)) - 1}]"
        if path == last or path.startswith(f"{last}."):
            return field + path.removeprefix(last)
    return path


def _tree(text: str | bytes) -> object:
    """The plain JSON value of a text; None where it is not JSON at all."""
    try:
        return from_json(text)
    except ValueError:
        return None
