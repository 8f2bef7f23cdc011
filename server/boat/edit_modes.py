"""Edits of operating states: positions, what is on, hours, events; and of assumptions."""

from pydantic import ValidationError

from server.boat.boat import Boat, Override
from server.boat.edit_error import EditError
from server.boat.edit_values import (
    AddEvent,
    AddMode,
    ClearAssumption,
    RemoveEvent,
    RemoveMode,
    SetAssumption,
    SetModeHours,
    SetOn,
    SetPosition,
)
from server.boat.forgetting import without
from server.boat.listed import find, mode_of, part_of, with_added, with_changed
from server.boat.modes import Mode, PositionSetting, Running
from server.boat.parts import Alternator, AnyPart, Charger, Converter, Inverter, Load, Outboard, Solar
from server.boat.references import inputs_of, positions_of


def set_position(boat: Boat, edit: SetPosition) -> Boat:
    """Put something that can be switched in a position in one mode, or back in its normal one."""
    mode, part = mode_of(boat, edit.mode), part_of(boat, edit.part, "part")
    new = PositionSetting(part=edit.part, way=edit.way, position=edit.position or "on")
    allowed = positions_of(part, new)
    if allowed is None:
        what = part.name if edit.way is None else f"{part.name}, {edit.way}"
        raise EditError("part", f"“{what}” cannot be switched.", "Name a switch, breaker, fuse or panel way.")
    if edit.position is not None and edit.position not in allowed:
        raise EditError("position", f"no position “{edit.position}”.", f"It takes: {', '.join(allowed)}.")

    def same(old: PositionSetting) -> bool:
        return old.part == edit.part and old.way == edit.way

    if edit.position is None:
        positions = tuple(old for old in mode.positions if not same(old))
    elif any(same(old) for old in mode.positions):
        positions = tuple(new if same(old) else old for old in mode.positions)
    else:
        positions = (*mode.positions, new)
    return with_changed(boat, "modes", mode.model_copy(update={"positions": positions}))


def set_on(boat: Boat, edit: SetOn) -> Boat:
    """Switch a load, one of its inputs, or a source on or off in one mode."""
    mode, part = mode_of(boat, edit.mode), part_of(boat, edit.part, "part")
    if not _can_run(part):
        raise EditError("part", f"“{part.name}” is no load and no source.", "Name a load or a source.")
    if edit.input is not None and edit.input not in inputs_of(part):
        has = ", ".join(inputs_of(part)) or "none"
        raise EditError("input", f"“{part.name}” has no input “{edit.input}”.", f"It has: {has}.")
    on = _switched_on(mode, edit) if edit.on else _switched_off(mode, edit, part)
    return with_changed(boat, "modes", mode.model_copy(update={"on": on}))


def set_mode_hours(boat: Boat, edit: SetModeHours) -> Boat:
    """Say how many hours a day a mode lasts."""
    mode = mode_of(boat, edit.mode)
    return with_changed(boat, "modes", mode.model_copy(update={"hours_per_day": edit.hours_per_day}))


def add_mode(boat: Boat, edit: AddMode) -> Boat:
    """Add a mode."""
    return with_added(boat, "modes", edit.mode, "mode.id")


def remove_mode(boat: Boat, edit: RemoveMode) -> Boat:
    """Remove a mode, its events, and every mention of them."""
    return without(boat, [mode_of(boat, edit.id, "id").id])


def add_event(boat: Boat, edit: AddEvent) -> Boat:
    """Add an event."""
    return with_added(boat, "events", edit.event, "event.id")


def remove_event(boat: Boat, edit: RemoveEvent) -> Boat:
    """Remove a stored event and every mention of it."""
    return without(boat, [find(boat, edit.id, "id", ("events",)).item.id])


def set_assumption(boat: Boat, edit: SetAssumption) -> Boat:
    """Assume another value; an earlier one of the same key and subject is replaced."""
    if edit.subject is not None:
        find(boat, edit.subject, "subject")
    try:
        new = Override(**edit.model_dump(exclude={"kind"}))
    except ValidationError:
        message = "the value must lie between the lowest and the highest."
        raise EditError("value", message, "Correct the three figures.") from None
    kept = tuple(old for old in boat.assumptions if (old.key, old.subject) != (edit.key, edit.subject))
    return boat.model_copy(update={"assumptions": (*kept, new)})


def clear_assumption(boat: Boat, edit: ClearAssumption) -> Boat:
    """Go back to the built-in value."""
    kept = tuple(old for old in boat.assumptions if (old.key, old.subject) != (edit.key, edit.subject))
    if len(kept) == len(boat.assumptions):
        raise EditError("key", f"“{edit.key}” has the built-in value already.", "There is nothing to clear.")
    return boat.model_copy(update={"assumptions": kept})


def _can_run(part: AnyPart) -> bool:
    return isinstance(part, Load | Inverter | Outboard | Alternator | Charger | Solar | Converter)


def _switched_on(mode: Mode, edit: SetOn) -> tuple[Running, ...]:
    """What is on afterwards; an entry for the whole part already covers each of its inputs."""
    new = Running(part=edit.part, input=edit.input, hours_per_day=edit.hours_per_day)
    mine = [old for old in mode.on if old.part == edit.part]
    if edit.input is not None and any(old.input is None for old in mine):
        return mode.on
    replaced = [old for old in mine if edit.input is None or old.input == edit.input]
    if not replaced:
        return (*mode.on, new)
    if new.hours_per_day is None:
        new = new.model_copy(update={"hours_per_day": replaced[0].hours_per_day})
    place = next(n for n, old in enumerate(mode.on) if old is replaced[0])
    rest = [old for old in mode.on if not any(old is gone for gone in replaced)]
    return (*rest[:place], new, *rest[place:])


def _switched_off(mode: Mode, edit: SetOn, part: AnyPart) -> tuple[Running, ...]:
    """What is on afterwards; one input off leaves the part's other inputs on."""
    on: list[Running] = []
    for old in mode.on:
        if old.part != edit.part:
            on.append(old)
        elif edit.input is not None and old.input is None:
            others = (name for name in inputs_of(part) if name != edit.input)
            on.extend(old.model_copy(update={"input": name}) for name in others)
        elif edit.input is not None and old.input != edit.input:
            on.append(old)
    return tuple(on)
