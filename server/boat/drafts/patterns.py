"""The starting patterns: how banks, switches and engines hang together."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from server.boat.boat import Boat, Earthing, Practice
from server.boat.drafts.banks import START_STRINGS, Bank, fused, house_strings, negative_bus, put_bank
from server.boat.drafts.bilge import bilge_pump
from server.boat.drafts.converters import charging_converter, combining_relay
from server.boat.drafts.engines import charging, engine
from server.boat.drafts.modes import events_and_modes
from server.boat.drafts.sheet import Sheet, zones
from server.boat.drafts.switchboard import (
    HOUSE_SIDE_M,
    START_SIDE_M,
    panel,
    positive_bus,
    selected_bus,
    switched_bus,
)
from server.boat.drafts.wish import PatternName, Wish
from server.boat.value import Id

NOTES = (
    "Drawn up by Tapchart from a pattern. Figures are round ones of common practice, lengths are estimated"
    " from the places of the parts: put in what is really aboard, then check again."
)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A way to begin: what it is called, what it has, and how it is drawn."""

    name: PatternName
    title: str
    told: str
    draw: Callable[[Sheet], None]


def draft(wish: Wish) -> Boat:
    """The boat of a wish, wired and with its modes and engine starts; of ``blank``, with nothing in it."""
    sheet = Sheet(wish)
    PATTERNS[wish.pattern].draw(sheet)
    if not sheet.parts:
        return sheet.boat().model_copy(update={"practice": Practice(profile=wish.profile)})
    modes, events = events_and_modes(sheet)
    whole = sheet.boat().model_copy(
        update={
            "notes": NOTES,
            "practice": Practice(
                profile=wish.profile, propulsion_fuel="diesel", propulsion="inboard", use="recreational"
            ),
            "earthing": Earthing(system="negative-grounded"),
            "zones": zones(),
            "parts": tuple(sheet.parts.values()),
            "cables": tuple(sheet.cables),
            "conductors": tuple(sheet.conductors),
            "modes": modes,
            "events": events,
        }
    )
    return Boat.model_validate(whole.model_dump(), strict=False)


def _house(sheet: Sheet, chemistry: Literal["agm", "lifepo4"] = "agm", least: int = 1) -> tuple[Id, Id]:
    """House bank, its fuse and its live bus, and the negative bus; answers both buses."""
    bank = Bank("house", "House", chemistry, max(least, house_strings(sheet)), "house")
    plus, minus = put_bank(sheet, bank)
    live = positive_bus(sheet, "house-bus", "House bus, always live", HOUSE_SIDE_M)
    fused(sheet, bank, plus, sheet.stud(live))
    return live, negative_bus(sheet, minus)


def _start(sheet: Sheet, prefix: str, negative: Id) -> Id:
    """A start bank with its fuse on a live bus of its own; answers the bus."""
    slug, name = f"{prefix}-start".lstrip("-"), f"{prefix} start".strip().capitalize()
    bank = Bank(slug, name, "agm", START_STRINGS[sheet.wish.engine], "start")
    plus, minus = put_bank(sheet, bank)
    live = positive_bus(sheet, f"{slug}-bus", f"{name} bus, always live", START_SIDE_M)
    fused(sheet, bank, plus, sheet.stud(live))
    sheet.heavy(f"{slug}-neg", minus, sheet.stud(negative), colour="black")
    return live


def _house_loads(sheet: Sheet, feed: Id, live: Id, negative: Id) -> None:
    panel(sheet, feed, negative)
    bilge_pump(sheet, live, negative)


def _blank(_: Sheet) -> None:
    """Nothing but a name."""


def _one_bank(sheet: Sheet) -> None:
    live, negative = _house(sheet, least=1 + START_STRINGS[sheet.wish.engine])
    feed = switched_bus(sheet, live, "house", "House", HOUSE_SIDE_M)
    starting = switched_bus(sheet, live, "engine", "Engine", START_SIDE_M)
    starter, alternator = engine(sheet, "", 0.0, negative)
    sheet.heavy("starter-feed", sheet.stud(starting), starter)
    charging(sheet, alternator, live)
    _house_loads(sheet, feed, live, negative)


def _selector(sheet: Sheet) -> None:
    live, negative = _house(sheet)
    start = _start(sheet, "", negative)
    common = selected_bus(sheet, live, start)
    starter, alternator = engine(sheet, "", 0.0, negative)
    sheet.heavy("starter-feed", sheet.stud(common), starter)
    charging(sheet, alternator, live)
    combining_relay(sheet, "", (live, start), negative)
    _house_loads(sheet, common, live, negative)


def _started_engine(sheet: Sheet, prefix: str, side_m: float, negative: Id) -> tuple[Id, str]:
    """An engine started from a bank of its own over a switch; answers that bank's bus and its alternator."""
    slug, name = f"{prefix}-start".lstrip("-"), f"{prefix} start".strip().capitalize()
    start = _start(sheet, prefix, negative)
    starting = switched_bus(sheet, start, slug, name, side_m)
    starter, alternator = engine(sheet, prefix, side_m, negative)
    sheet.heavy(f"{prefix}-starter-feed".lstrip("-"), sheet.stud(starting), starter)
    return start, alternator


def _combining(sheet: Sheet) -> None:
    live, negative = _house(sheet)
    start, alternator = _started_engine(sheet, "", START_SIDE_M, negative)
    charging(sheet, alternator, live)
    combining_relay(sheet, "", (live, start), negative)
    feed = switched_bus(sheet, live, "house", "House", HOUSE_SIDE_M)
    _house_loads(sheet, feed, live, negative)


def _two_engines(sheet: Sheet) -> None:
    live, negative = _house(sheet)
    for prefix, side_m in (("port", -0.7), ("starboard", 0.7)):
        start, alternator = _started_engine(sheet, prefix, side_m, negative)
        charging(sheet, alternator, start)
        combining_relay(sheet, prefix, (start, live), negative)
    feed = switched_bus(sheet, live, "house", "House", HOUSE_SIDE_M)
    _house_loads(sheet, feed, live, negative)


def _lithium(sheet: Sheet) -> None:
    live, negative = _house(sheet, "lifepo4")
    start, alternator = _started_engine(sheet, "", START_SIDE_M, negative)
    charging(sheet, alternator, start)
    charging_converter(sheet, start, live, negative)
    feed = switched_bus(sheet, live, "house", "House", HOUSE_SIDE_M)
    _house_loads(sheet, feed, live, negative)


PATTERNS: Mapping[PatternName, Pattern] = MappingProxyType(
    {
        one.name: one
        for one in (
            Pattern("blank", "Blank", "No parts at all: put in what you see, one by one.", _blank),
            Pattern("one-bank", "One bank", "One bank starts the engine and feeds the boat.", _one_bank),
            Pattern(
                "selector",
                "House and start on a selector",
                "Two banks on a 1/2/BOTH/OFF selector, joined by a relay while they are charged.",
                _selector,
            ),
            Pattern(
                "combining-relay",
                "House and start with a combining relay",
                "Two banks, each with its own switch, joined by a relay while they are charged.",
                _combining,
            ),
            Pattern(
                "two-engines",
                "Two engines",
                "A house bank and a start battery for each engine.",
                _two_engines,
            ),
            Pattern(
                "lithium-house",
                "Lithium house bank",
                "A LiFePO4 house bank charged over a DC-DC converter from a lead start battery.",
                _lithium,
            ),
        )
    }
)
