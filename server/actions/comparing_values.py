"""Values of a document told side by side: field by field, with their units."""

from collections.abc import Iterator

from server.boat.conductors import Conductor
from server.boat.value import Span, TerminalRef, Value

_UNITS = {
    "v": "V",
    "a": "A",
    "ohm": "Ω",
    "w": "W",
    "ah": "Ah",
    "m": "m",
    "mm2": "mm²",
    "c": "°C",
    "s": "s",
    "h": "h",
    "f": "F",
}
_BASES = {
    "measured": "measured",
    "routed": "along the cable run",
    "estimated": "estimated",
    "carried-over": "kept from before the move, check it",
}
_LONG = frozenset({"notes", "condition", "source", "reason"})
"""Free text, which is only said to have changed."""
_NOT_KNOWN = "not known"


def length_words(conductor: Conductor) -> str:
    """A conductor's length and how it came about."""
    if conductor.length_m is None:
        return _NOT_KNOWN
    basis = conductor.length_basis
    return said("length_m", conductor.length_m) + (f" ({_BASES[basis]})" if basis else "")


def changes(old: Value, new: Value, skipped: frozenset[str] = frozenset()) -> Iterator[str]:
    """Each field that differs between two values, with what it was and what it is."""
    for name in dict.fromkeys((*type(old).model_fields, *type(new).model_fields)):
        was, now = getattr(old, name, None), getattr(new, name, None)
        if was != now and name not in skipped and name != "id":
            yield from _change(name, was, now)


def _change(name: str, was: object, now: object) -> Iterator[str]:
    title = _title(name)
    if isinstance(was, Value) and isinstance(now, Value) and not _is_plain(was) and not _is_plain(now):
        yield from (f"{title}, {words}" for words in changes(was, now))
    elif isinstance(was, tuple) and isinstance(now, tuple) and _are_listed(was) and _are_listed(now):
        yield from _listed(title, was, now)
    elif name in _LONG or isinstance(was, tuple | dict) or isinstance(now, tuple | dict):
        yield f"{title} changed"
    else:
        yield f"{title} {said(name, was)} → {said(name, now)}"


def _listed(title: str, was: tuple[Value, ...], now: tuple[Value, ...]) -> Iterator[str]:
    """The items of a list, told apart by their ids."""
    had = {getattr(one, "id"): one for one in was}  # noqa: B009 - not every value has one
    has = {getattr(one, "id"): one for one in now}  # noqa: B009
    for key in dict.fromkeys((*had, *has)):
        named = _name_of(has.get(key) or had[key], key)
        if key not in has:
            yield f"{title} without {named}"
        elif key not in had:
            yield f"{title} with {named}"
        else:
            yield from (f"{named}: {words}" for words in changes(had[key], has[key]))
    if list(had) != list(has) and set(had) == set(has):
        yield f"{title} in another order"


def _name_of(value: Value, key: str) -> str:
    name: str | None = getattr(value, "name", None)
    return name or key.replace("-", " ")


def _are_listed(items: tuple[object, ...]) -> bool:
    return all(isinstance(one, Value) and "id" in type(one).model_fields for one in items)


def _is_plain(value: Value) -> bool:
    return isinstance(value, Span | TerminalRef)


def _title(name: str) -> str:
    stem, _, unit = name.rpartition("_")
    return (stem if unit in _UNITS and stem else name).replace("_", " ")


def said(name: str, value: object) -> str:
    """One value in words, with the unit that its field's name ends in.

    >>> said("rated_current_a", 20.0), said("heavy", True), said("use", None)
    ('20 A', 'yes', 'not known')
    """
    unit = _UNITS.get(name.rpartition("_")[2], "") if "_" in name else ""
    match value:
        case None | bool():
            return {None: _NOT_KNOWN, True: "yes", False: "no"}[value]
        case int() | float():
            return f"{value:g} {unit}".rstrip()
        case Span(low=low, high=high):
            return f"{low:g} to {high:g} {unit}".rstrip()
        case TerminalRef(part=part, terminal=terminal):
            return f"{part} {terminal}"
        case Value():
            return "as stated"
        case _:
            return f"“{value}”" if name == "name" else str(value).replace("-", " ")
