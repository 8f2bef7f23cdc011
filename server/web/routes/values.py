"""One value of a boat, edited in place: length, size, minimum voltage, position, what is on, assumption."""

from fastapi import APIRouter, HTTPException, Request
from pydantic import ValidationError
from starlette.responses import Response

from server.actions import changes
from server.actions.changes import Change
from server.actions.troubles import EditError
from server.boat.conductors import Size
from server.boat.edits import (
    AnyEdit,
    ChangeValue,
    ClearAssumption,
    SetAssumption,
    SetLength,
    SetModeHours,
    SetOn,
    SetPosition,
    SetSize,
)
from server.practice.sizes import UnknownSizeError, size
from server.web import forms
from server.web.bench_fields import FieldError
from server.web.changing import changed, refused
from server.web.dependencies import BoatId, Fields, Stamp, Yard

router = APIRouter()

LONGEST_M = 500.0
HIGHEST_V = 1_000.0
HOURS_A_DAY = 24.0


def _apply(  # noqa: PLR0913, PLR0917 - each names one thing of the answer
    request: Request, boat_id: str, yard: Yard, fields: Fields, edit: AnyEdit, field: str
) -> Response:
    """Apply an edit; what it refuses stands beside the field."""

    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    try:
        return changed(request, yard, boat_id, fields, make)
    except EditError as error:
        wrong = FieldError(field, fields.get("value", ""), f"{error.message} {error.mend}")
        return refused(request, yard, boat_id, fields, wrong)


def _built(make: "type[AnyEdit]", **arguments: object) -> AnyEdit:
    """An edit from a form's fields.

    Raises:
        HTTPException: a hidden field is missing or has the wrong form (422).
    """
    try:
        return make(**arguments)  # type: ignore[arg-type]
    except ValidationError:
        raise HTTPException(
            422, "The form is not complete. Load the page again, then make the change there."
        ) from None


@router.post("/boats/{boat_id}/length")
def length(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """A conductor's length as measured; left empty it is not known."""
    conductor = fields.get("conductor", "")
    typed = fields.get("value", "")
    value = None if not typed.strip() else forms.number(typed, "m", "4.5", at_most=LONGEST_M)
    if isinstance(value, forms.Wrong):
        return refused(
            request, yard, boat_id, fields, FieldError(f"length-{conductor}", typed, value.message)
        )
    basis = None if value is None else "measured"
    edit = _built(SetLength, conductor=conductor, length_m=value, basis=basis)
    return _apply(request, boat_id, yard, fields, edit, f"length-{conductor}")


@router.post("/boats/{boat_id}/size")
def conductor_size(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """A conductor's size, out of the published tables; left empty it is not known."""
    conductor, typed = fields.get("conductor", ""), fields.get("value", "")
    try:
        chosen = _size(typed)
    except UnknownSizeError:
        message = "Choose one of the sizes in the list."
        return refused(request, yard, boat_id, fields, FieldError(f"size-{conductor}", typed, message))
    return _apply(
        request, boat_id, yard, fields, _built(SetSize, conductor=conductor, size=chosen), f"size-{conductor}"
    )


def _size(label: str) -> Size | None:
    if not label:
        return None
    row = size(label)
    return Size(label=row.label, area_mm2=row.area_mm2, resistance_ohm_per_m=row.ohm_per_m, source=row.source)


@router.post("/boats/{boat_id}/minimum-voltage")
def minimum_voltage(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """The lowest voltage a load runs on, as its maker states it; left empty it is not known."""
    part, name, typed = fields.get("part", ""), fields.get("input", ""), fields.get("value", "")
    field = f"field-{part}-{name}"
    value = None if not typed.strip() else forms.number(typed, "V", "9", at_most=HIGHEST_V)
    if isinstance(value, forms.Wrong):
        return refused(request, yard, boat_id, fields, FieldError(field, typed, value.message))
    number = changes.input_number(yard, boat_id, part, name)
    edit = _built(ChangeValue, id=part, field=f"inputs.{number}.minimum_voltage_v", value=value)
    return _apply(request, boat_id, yard, fields, edit, field)


@router.post("/boats/{boat_id}/position")
def position(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """The position of a switch, fuse, breaker, relay or panel way in the chosen mode."""
    part, way = fields.get("part", ""), fields.get("way") or None
    edit = _built(
        SetPosition, mode=fields.get("mode", ""), part=part, way=way, position=fields.get("value") or None
    )
    return _apply(request, boat_id, yard, fields, edit, f"position-{part}" + (f"-{way}" if way else ""))


@router.post("/boats/{boat_id}/on")
def running(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """A load, an input of it or a source on or off in the chosen mode; on, perhaps with its hours a day."""
    part, name = fields.get("part", ""), fields.get("input") or None
    field = "-".join(word for word in ("hours", part, name) if word)
    hours = _hours(fields["value"]) if "value" in fields else None
    if isinstance(hours, forms.Wrong):
        return refused(request, yard, boat_id, fields, FieldError(field, fields["value"], hours.message))
    edit = _built(
        SetOn,
        mode=fields.get("mode", ""),
        part=part,
        input=name,
        on=fields.get("on") == "yes",
        hours_per_day=hours,
    )
    return _apply(request, boat_id, yard, fields, edit, field)


@router.post("/boats/{boat_id}/hours")
def mode_hours(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """How many hours a day the chosen mode lasts; left empty nobody has said."""
    typed = fields.get("value", "")
    hours = _hours(typed) if typed.strip() else None
    if isinstance(hours, forms.Wrong):
        return refused(request, yard, boat_id, fields, FieldError("hours-of-mode", typed, hours.message))
    edit = _built(SetModeHours, mode=fields.get("mode", ""), hours_per_day=hours)
    return _apply(request, boat_id, yard, fields, edit, "hours-of-mode")


def _hours(typed: str) -> float | forms.Wrong:
    return forms.number(typed, "h", "6", at_most=HOURS_A_DAY)


@router.post("/boats/{boat_id}/assumption")
def assumption(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Another value in place of a built-in assumption."""
    key, subject, typed = fields.get("key", ""), fields.get("subject") or None, fields.get("value", "")
    field = "-".join(part for part in ("assume", key, subject) if part)
    value = forms.number(typed, "", "20", above=-274.0, at_most=1e6)
    if isinstance(value, forms.Wrong):
        return refused(
            request, yard, boat_id, fields, FieldError(field, typed, value.message.replace(" in ,", ","))
        )
    source = fields.get("source") or "entered on the page"
    edit = _built(SetAssumption, key=key, subject=subject, low=value, value=value, high=value, source=source)
    return _apply(request, boat_id, yard, fields, edit, field)


@router.post("/boats/{boat_id}/assumption/clear")
def clear_assumption(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Back to the built-in assumption."""
    key, subject = fields.get("key", ""), fields.get("subject") or None
    edit = _built(ClearAssumption, key=key, subject=subject)
    return _apply(
        request, boat_id, yard, fields, edit, "-".join(part for part in ("assume", key, subject) if part)
    )
