"""How far a battery monitor is out, in ampere-hours a day, and by whom."""

from collections.abc import Iterator, Mapping

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding
from server.boat.modes import Mode
from server.boat.parts import MeasuringShunt
from server.checks.words import listed, part_of, the
from server.engine.uncounted import Uncounted, uncounted_currents
from server.units import AmpereHour

LEAST_AH: AmpereHour = 0.05
"""A day's error below this is not worth a word."""
NAMED = 3


def monitor_errors(boat: Boat) -> Iterator[Finding]:
    """For each measuring shunt what it misses in a day: who takes and who charges past it.

    Each part counts for its own hours in a mode, where they are stated, else for those of the mode.
    """
    for shunt in boat.parts:
        if isinstance(shunt, MeasuringShunt):
            missed, open_modes = dict[str, AmpereHour](), list[str]()
            for mode in boat.modes:
                _add(mode, tuple(uncounted_currents(boat, mode.id, shunt)), missed, open_modes)
            told = {name: ah for name, ah in missed.items() if abs(ah) > LEAST_AH}
            if told or open_modes:
                yield _finding(boat, shunt, told, open_modes)


def _add(
    mode: Mode, found: tuple[Uncounted, ...], missed: dict[str, AmpereHour], open_modes: list[str]
) -> None:
    """Add a mode's share; a mode of unknown hours in which something is missed is noted instead."""
    for one in found:
        stated = [r.hours_per_day for r in mode.on if r.part == one.part and r.input in {None, one.input}]
        hours = next((h for h in stated if h is not None), mode.hours_per_day)
        if hours is not None:
            missed[one.part] = missed.get(one.part, 0.0) + one.current_a * hours
        elif mode.name not in open_modes:
            open_modes.append(mode.name)


def _finding(
    boat: Boat, shunt: MeasuringShunt, missed: Mapping[str, AmpereHour], open_modes: list[str]
) -> Finding:
    takes = {name: ah for name, ah in missed.items() if ah > 0}
    gives = {name: -ah for name, ah in missed.items() if ah < 0}
    message = f"{shunt.name} misses " + " and ".join(
        f"{_hours(sum(some.values()))} Ah a day {how} ({_who(boat, some)})"
        for some, how in ((takes, "that is taken"), (gives, "that is charged"))
        if some
    )
    if not missed:
        message = f"{shunt.name} misses currents"
    unknown = (
        f"; state for how many hours a day these modes last: {', '.join(open_modes)}" if open_modes else ""
    )
    total = sum(missed.values())
    return Finding(
        code="monitor-error",
        severity="advice" if missed else "cannot-tell",
        subjects=(shunt.id, *missed),
        figure=Figure(value=total, unit="Ah", basis="computed") if missed else None,
        message=f"{message}{unknown}.",
        source="Kirchhoff's law at the shunt's battery side; hours a day as entered",
        source_status="document",
    )


def _hours(ah: AmpereHour) -> str:
    """Ampere-hours with as many digits as the hours bear.

    >>> _hours(41.7), _hours(3.21)
    ('42', '3.2')
    """
    return f"{ah:.0f}" if ah >= 10 else f"{ah:.1f}"  # noqa: PLR2004


def _who(boat: Boat, ah: Mapping[str, AmpereHour]) -> str:
    largest = sorted(ah, key=lambda name: -ah[name])
    told = listed(f"{the(part_of(boat, name).name)} {_hours(ah[name])}" for name in largest[:NAMED])
    return told + (" and others" if len(largest) > NAMED else "")
