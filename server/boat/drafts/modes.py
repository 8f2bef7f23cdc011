"""Operating states and engine starts of a draft."""

from server.boat.drafts.sheet import Sheet
from server.boat.modes import Conditions, Event, EventStep, HeavyInput, Mode, PositionSetting, Running
from server.boat.parts import Alternator, Contact, Load

AT_ANCHOR = ("fridge", "cabin-lights")
UNDER_WAY = ("plotter", "vhf", "instruments", "autopilot", "fridge")
START = Conditions(state_of_charge=0.8, temperature_c=15.0, age_factor=1.1, attempt=1, cranking="loaded")
CRANKING_S = 2.0


def events_and_modes(sheet: Sheet) -> tuple[tuple[Mode, ...], tuple[Event, ...]]:
    """At anchor, under way and starting, and a start of every engine."""
    charging = tuple(one.id for one in sheet.parts.values() if isinstance(one, Alternator))

    def on(*parts: str) -> tuple[Running, ...]:
        return tuple(Running(part=part) for part in parts if part in sheet.parts)

    modes = (
        Mode(id="at-anchor", name="At anchor", hours_per_day=16.0, on=on(*AT_ANCHOR)),
        Mode(id="under-way", name="Under way", hours_per_day=7.9, on=on(*UNDER_WAY, *charging)),
        Mode(
            id="starting",
            name="Starting the engine",
            hours_per_day=0.1,
            positions=_positions(sheet),
            on=on(*UNDER_WAY),
        ),
    )
    starters = (one for one in sheet.parts.values() if isinstance(one, Load) and one.role == "starter")
    return modes, tuple(_start(one.id, one.name) for one in starters)


def _positions(sheet: Sheet) -> tuple[PositionSetting, ...]:
    """The engine is started from its own battery where a selector leaves the choice."""
    has_selector = isinstance(sheet.parts.get("selector"), Contact)
    return (PositionSetting(part="selector", position="two"),) if has_selector else ()


def _start(starter: str, name: str) -> Event:
    steps = (
        EventStep(action="press", part=starter, input="motor", at_s=0.0),
        EventStep(action="release", part=starter, input="motor", at_s=CRANKING_S),
    )
    return Event(
        id=f"{starter}-start",
        name=f"{name.removesuffix(' starter')} start",
        mode="starting",
        heavy=HeavyInput(part=starter, input="motor"),
        steps=steps,
        conditions=START,
    )
