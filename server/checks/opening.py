"""Whether a device opens before the conductor that it protects burns in a short circuit."""

import math
from collections import Counter
from collections.abc import Iterator
from typing import Literal

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.value import nominal
from server.checks.feeds import devices_of
from server.checks.installation import PIGTAIL_M
from server.checks.shorts import Protected, Shorts, band_of
from server.checks.words import conductor_words
from server.engine.answer import ModeAnswer
from server.practice.time_current import Band, Opening
from server.practice.withstand import LONGEST_S, withstand
from server.units import Ampere, Second

Outcome = Literal["opens in time", "burns first", "cannot tell", "not adiabatic"]
LONG_S: Second = 120.0


def outcome(opening: Opening, earliest_s: Second, latest_s: Second) -> Outcome:
    """What the times of a device say against the times at which a conductor is at its adiabatic limit.

    Beyond 5 s heat leaves the conductor, so nothing can be said to burn; the device's rating against the
    ampacity judges that.

    >>> outcome(Opening(0.1, 0.4), 0.5, 1.2), outcome(Opening(2.0, 9.0), 0.5, 1.2)
    ('opens in time', 'burns first')
    """
    if opening.longest_s <= earliest_s:
        return "opens in time"
    if opening.shortest_s > latest_s and latest_s <= LONGEST_S:
        return "burns first"
    return "not adiabatic" if earliest_s > LONGEST_S else "cannot tell"


def burning_before_opening(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Wires that a short circuit burns before their device opens, at its lowest or at its highest.

    A device with its own curve decides. An assumed band decides nothing: where the whole of it lies on the
    wrong side the curve has to be looked up; where it lies on both sides `assumed_curves` names it.
    """
    for one in Shorts.of(boat, answer).protected():
        band, wire = band_of(one.device), one.conductor
        if wire.size is None or one.lowest_a <= one.rating_a or _is_pigtail(wire):
            continue
        told = []
        for amps in (one.lowest_a, one.highest_a):
            times = withstand(wire.insulation_c).burns_after(amps, wire.size.area_mm2)
            opening = band.opening(amps / one.rating_a)
            found = outcome(opening, *times)
            if found == "burns first" or (found == "cannot tell" and not band.is_assumed):
                told.append((found, amps, (opening, *times)))
        if told:
            found, amps, known = min(told, key=lambda one: one[0] != "burns first")
            yield _finding(boat, one, amps, known, band, found)


def _is_pigtail(wire: Conductor) -> bool:
    """Whether a wire is so short that the next device along it may stand at its other end."""
    return wire.length_m is not None and nominal(wire.length_m) <= PIGTAIL_M


def _finding(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat,
    one: Protected,
    amps: Ampere,
    times: tuple[Opening, Second, Second],
    band: Band,
    found: Outcome,
) -> Finding:
    opening, earliest_s, latest_s = times
    is_certain = found == "burns first" and not band.is_assumed
    look = (
        "its curve is assumed: look it up and enter it."
        if band.is_assumed
        else "enter more of its curve, and the insulation's temperature rating."
    )
    return Finding(
        code="burns-before-opening",
        severity="danger" if is_certain else "cannot-tell",
        subjects=(one.conductor.id,),
        figure=Figure(
            value=amps**2 * (opening.shortest_s if is_certain else min(opening.longest_s, LONG_S)),
            unit="A²s",
            basis="assumed" if band.is_assumed else "computed",
        ),
        limit=Figure(value=amps**2 * earliest_s, unit="A²s", basis="rule"),
        message=f"A dead short draws {rounded(amps)} A through {conductor_words(boat, one.conductor)}: "
        f"its insulation is at its limit after {span_words(Opening(earliest_s, latest_s))}, "
        f"“{one.device.name}” of {one.rating_a:g} A opens after "
        f"{span_words(opening)}{'.' if is_certain else '; ' + look}",
        source=f"adiabatic limit k²S², {withstand(one.conductor.insulation_c).least.source}; {band.source}",
        source_status="memory" if band.is_assumed else "document",
    )


def assumed_curves(boat: Boat) -> tuple[str, ...]:
    """Of which devices the time-current curve is assumed, by class; one line for all."""
    assumed = [device for device in devices_of(boat) if band_of(device).is_assumed]
    if not assumed:
        return ()
    classes = Counter(
        device.figures.device_class if device.figures and device.figures.device_class else "unstated class"
        for device in assumed
    )
    told = ", ".join(f"{count} × {kind.replace('-', ' ')}" for kind, count in classes.most_common())
    return (
        "whether each conductor outlasts its device, whether a start opens it, and which of two devices "
        f"opens first: time-current bands are assumed, from memory, for {told}; enter the makers' curves",
    )


def rounded(amps: Ampere) -> str:
    """Two significant digits: no fault current is known better."""
    return f"{float(f'{amps:.2g}'):,.0f}"


def span_words(times: Opening) -> str:
    """A span of time in words.

    >>> span_words(Opening(0.12, 0.5)), span_words(Opening(2, math.inf)), span_words(Opening(0.0, 3))
    ('0.12 to 0.5 s', '2 s or never', 'at most 3 s')
    """
    if math.isinf(times.longest_s):
        return f"{_seconds(times.shortest_s)} or never"
    if times.shortest_s <= 0:
        return f"at most {_seconds(times.longest_s)}"
    return f"{_seconds(times.shortest_s).removesuffix(' s')} to {_seconds(times.longest_s)}"


def _seconds(time_s: Second) -> str:
    return f"{float(f'{time_s:.2g}'):,g} s"
