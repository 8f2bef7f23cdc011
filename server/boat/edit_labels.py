"""What an edit did, in plain words, for the history of a boat."""

from typing import assert_never

from server.boat.boat import Boat, Zone
from server.boat.conductors import Conductor
from server.boat.decks import Deck
from server.boat.edit_error import EditError
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
    Splice,
    TakeOffPlan,
    WithdrawAcceptance,
)
from server.boat.field_words import change_words
from server.boat.finding_words import finding_words
from server.boat.leads import lead
from server.boat.listed import find
from server.boat.parts import AnyPart, Battery, Contact, Load, Panel
from server.boat.photos import Photo
from server.boat.runs import Run, Waypoint
from server.boat.value import Span, TerminalRef

_PLAIN_POLES = frozenset({"positive", "negative"})


def label(boat: Boat, edit: AnyEdit) -> str:  # noqa: PLR0911, PLR0912 - one line a kind reads best
    """One line for the history; ``boat`` is the one before the edit. Never raises."""
    match edit:
        case MoveLead():
            what = lead_name(boat, edit.part, edit.terminal)
            return f"{what}: {_from(boat, edit)} → {terminal_name(boat, edit.to)}"
        case MoveConductorEnd(to=None):
            return f"{thing_name(boat, edit.conductor)}: {edit.end} left loose"
        case MoveConductorEnd():
            where = terminal_name(boat, edit.to) if edit.to else ""
            return f"{thing_name(boat, edit.conductor)}: {edit.end} → {where}"
        case SetSize():
            size = "size not known" if edit.size is None else edit.size.label
            return f"{thing_name(boat, edit.conductor)}: {size}"
        case SetLength():
            return f"{thing_name(boat, edit.conductor)}: {_length(edit)}"
        case SetPosition():
            what = thing_name(boat, edit.part) if edit.way is None else terminal_name(boat, _way(edit))
            return f"{what}: {_position(boat, edit)} in {thing_name(boat, edit.mode)}"
        case SetOn():
            what = thing_name(boat, edit.part) + (f" {edit.input}" if edit.input else "")
            return f"{what}: {'on' if edit.on else 'off'} in {thing_name(boat, edit.mode)}"
        case AddPart():
            return f"Added {edit.part.name}"
        case AddConductor():
            return f"Added conductor {edit.conductor.name or edit.conductor.id}"
        case AddCable():
            return f"Added cable {edit.cable.number or edit.cable.id}"
        case AddMode():
            return f"Added mode {edit.mode.name}"
        case AddEvent():
            return f"Added event {edit.event.name}"
        case RemovePart() | RemoveConductor() | RemoveCable() | RemoveMode() | RemoveEvent():
            return f"Removed {thing_name(boat, edit.id)}"
        case DuplicatePart():
            return f"{edit.name}: duplicate of {thing_name(boat, edit.id)}"
        case DuplicateConductor():
            return f"{edit.name or edit.new_id}: duplicate of {thing_name(boat, edit.id)}"
        case Splice():
            return f"{edit.part.name} inserted into {thing_name(boat, edit.conductor)}"
        case SetRowOrder():
            return "Rows of the picture moved" if edit.parts else "Rows of the picture in their own order"
        case Rename():
            return f"{boat.name if edit.id is None else thing_name(boat, edit.id)} renamed to {edit.name}"
        case ChangeValue():
            thing = boat.name if edit.id is None else thing_name(boat, edit.id)
            return f"{thing}: {change_words(boat, edit.id, edit.field, edit.value)}"
        case SetAssumption():
            return f"Assumption {_words(edit.key)}{_about(boat, edit.subject)}: {edit.value:g}"
        case ClearAssumption():
            return f"Assumption {_words(edit.key)}{_about(boat, edit.subject)}: built-in value"
        case SetModeHours():
            hours = "hours not known" if edit.hours_per_day is None else f"{edit.hours_per_day:g} h a day"
            return f"{thing_name(boat, edit.mode)}: {hours}"
        case PutWaypoint(waypoint=new) | PutRun(run=new) | PutZone(zone=new) | PutDeck(deck=new):
            is_there = new.id in _on_plan(boat)
            return f"{new.name} on the plan changed" if is_there else f"{new.name} put on the plan"
        case TakeOffPlan():
            return f"{thing_name(boat, edit.id)} taken off the plan"
        case PutUnderlay():
            return ("No drawing" if edit.underlay is None else "Drawing laid") + " under the plan"
        case PlacePart():
            return f"{thing_name(boat, edit.part)}: {_place(boat, edit)}"
        case AcceptFinding(acceptance=new):
            about = thing_name(boat, new.subjects[0])
            return f"Accepted by {new.by}: {finding_words(new.code)}, {about}"
        case WithdrawAcceptance():
            old = next((one for one in boat.accepted if one.finding == edit.finding), None)
            if old is None:
                return "No longer accepted: a finding"
            return f"No longer accepted: {finding_words(old.code)}, {thing_name(boat, old.subjects[0])}"
        case AddPhoto(photo=new):
            return f"Added {_photo_words(boat, new)}"
        case RemovePhoto():
            return f"Removed {thing_name(boat, edit.id)}"
        case SetPin():
            return f"{thing_name(boat, edit.photo)}: pin {edit.pin.number}"
        case PutReading(reading=new):
            return f"Reading: {new.name or new.id}, {new.volts_v:g} V"
        case RemoveReading():
            return f"Removed {thing_name(boat, edit.id)}"
        case RemovePin():
            return f"{thing_name(boat, edit.photo)}: pin {edit.number} taken off"
        case Several():
            return edit.label
        case _:  # pragma: no cover - mypy proves that no kind is left
            assert_never(edit)


def thing_name(boat: Boat, name: str) -> str:
    """The name of a listed thing as people say it; its id where it has none."""
    try:
        item = find(boat, name).item
    except EditError:
        return name
    if isinstance(item, Photo):
        return _photo_words(boat, item)
    said: str | None = (
        getattr(item, "name", None) or getattr(item, "number", None) or getattr(item, "what", None)
    )
    return said or _cable_words(boat, item) or name


def _photo_words(boat: Boat, photo: Photo) -> str:
    """A photo goes by its caption, else by what it shows."""
    if photo.caption is not None:
        return f"photo “{photo.caption}”"
    return "photo" if photo.subject is None else f"photo of {thing_name(boat, photo.subject)}"


def _cable_words(boat: Boat, item: object) -> str:
    """A conductor without a name is called after its cable."""
    if not isinstance(item, Conductor):
        return ""
    number = next((cable.number for cable in boat.cables if cable.id == item.cable), None)
    return f"cable {number}" if number else ""


def terminal_name(boat: Boat, spot: TerminalRef) -> str:
    """A terminal as people say it: the part, and its pole, way or contact where that matters."""
    part = next((part for part in boat.parts if part.id == spot.part), None)
    if part is None:
        return f"{spot.part} {spot.terminal}"
    if isinstance(part, Panel) and (bar := _bar_name(part, spot.terminal)):
        return f"{part.name}, {bar}"
    detail = _detail(part, spot.terminal)
    return f"{part.name} {detail}" if detail else part.name


def lead_name(boat: Boat, part: str, terminal: str) -> str:
    """A lead as people say it: “Autopilot negative”."""
    return terminal_name(boat, TerminalRef(part=part, terminal=terminal))


def _detail(part: AnyPart, terminal: str) -> str:
    match part:
        case Panel():
            return _way_name(part, terminal)
        case Load(inputs=(single,)) if terminal == single.id:
            return "positive"
        case Load():
            named = next((i.name for i in part.inputs if i.id == terminal), None)
            return named or terminal
        case Contact() | Battery():
            return terminal
        case _:
            return terminal if terminal in _PLAIN_POLES or "-" not in terminal else ""


def _way_name(panel: Panel, terminal: str) -> str:
    named = {f"{one.id}-feed": f"{one.name} feed" for one in panel.sections}
    named |= {f"{one.id}-{way.id}": f"way {way.name}" for one in panel.sections for way in one.ways}
    return named.get(terminal, "")


def _bar_name(panel: Panel, terminal: str) -> str:
    """The bar of a panel that a stud is on."""
    bars = (section for section in panel.sections if terminal.startswith(f"{section.id}-stud-"))
    return next((section.name for section in bars), "")


def _from(boat: Boat, edit: MoveLead) -> str:
    if all(part.id != edit.part for part in boat.parts):
        return "?"
    tap = lead(boat, edit.part, edit.terminal).tap
    return "loose" if tap is None else terminal_name(boat, tap)


def _way(edit: SetPosition) -> TerminalRef:
    return TerminalRef(part=edit.part, terminal=edit.way or "")


def _position(boat: Boat, edit: SetPosition) -> str:
    if edit.position is None:
        return "normal position"
    part = next((part for part in boat.parts if part.id == edit.part), None)
    named = part.positions if isinstance(part, Contact) else ()
    return next((p.name for p in named if p.id == edit.position), edit.position)


def _length(edit: SetLength) -> str:
    if edit.length_m is None:
        return "length not known"
    if isinstance(edit.length_m, Span):
        return f"{edit.length_m.low:g} to {edit.length_m.high:g} m"
    return f"{edit.length_m:g} m"


def _on_plan(boat: Boat) -> set[str]:
    things: tuple[Waypoint | Run | Zone | Deck, ...] = (*boat.waypoints, *boat.runs, *boat.zones, *boat.decks)
    return {one.id for one in things}


def _place(boat: Boat, edit: PlacePart) -> str:
    told = []
    if edit.waypoint is not None:
        away = "" if edit.from_waypoint_m is None else f"{edit.from_waypoint_m:g} m from "
        told.append(f"{away or 'at '}{thing_name(boat, edit.waypoint)}")
    if edit.place is not None:
        told.append(f"{edit.place.from_bow_m:g} m from the bow")
    if edit.deck is not None:
        told.append(f"on {thing_name(boat, edit.deck)}")
    return ", ".join(told) or "place not known"


def _words(field: str) -> str:
    return field.replace("_", " ").replace(".", ", ")


def _about(boat: Boat, subject: str | None) -> str:
    return "" if subject is None else f" of {thing_name(boat, subject)}"
