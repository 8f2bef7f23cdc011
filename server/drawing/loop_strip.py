"""The loop strip: a load's loop as one row of values, battery + round to battery −, whose volts add up."""

from collections.abc import Sequence
from dataclasses import dataclass

from server.boat.value import TerminalRef
from server.engine.answer import LoopStep


@dataclass(frozen=True, slots=True)
class StripStep:
    """One element: its place in the row, its volts as shown, whether the heavy current runs here too."""

    number: int
    element: str
    name: str
    kind: str
    side: str
    volts: str
    load_share: str
    shared: bool
    tap: TerminalRef | None


@dataclass(frozen=True, slots=True)
class LoopStrip:
    """The row with its sum; the volts shown add up to the sum shown."""

    steps: tuple[StripStep, ...]
    total: str
    total_words: str


def loop_strip(steps: Sequence[LoopStep], event_name: str | None) -> LoopStrip:
    """The loop as shown: each element's share of the sag in an event, else the volts it loses.

    Figures are rounded to 0.01 V by largest remainder, so that what is shown adds up to the sum shown.
    """
    counted = [s for s in steps if s.side != "load"]
    exact = [s.share_v if event_name else (0.0 if s.side == "battery" else s.steady_v) for s in counted]
    shown = dict(zip((id(s) for s in counted), rounded_to_sum(exact), strict=True))
    total = sum(shown.values())
    row = tuple(
        StripStep(
            n,
            s.element,
            s.name,
            s.kind,
            s.side,
            "" if s.side == "load" else _volts(shown[id(s)]),
            "" if s.load_fraction > WHOLE else f"{s.load_fraction * 100:.0f} % of its current",
            s.shared,
            s.tap,
        )
        for n, s in enumerate(steps, start=1)
    )
    words = f"Sag in “{event_name}”" if event_name else "Lost on the way out and back"
    return LoopStrip(row, _volts(total), words)


WHOLE = 0.995
"""From here on an element carries all of the load's current."""


def rounded_to_sum(values: Sequence[float]) -> list[int]:
    """Hundredths nearest to the values whose sum is the nearest hundredth of the values' sum.

    >>> rounded_to_sum([0.333, 0.333, 0.334])
    [33, 33, 34]
    """
    from math import floor

    down = [floor(v * 100) for v in values]
    missing = round(sum(values) * 100) - sum(down)
    by_remainder = sorted(range(len(values)), key=lambda n: down[n] - values[n] * 100)
    for n in by_remainder[:missing]:
        down[n] += 1
    return down


def _volts(hundredths: int) -> str:
    sign = "−" if hundredths < 0 else ""
    return f"{sign}{abs(hundredths) / 100:.2f} V"
