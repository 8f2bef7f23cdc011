"""What instruments of several kinds would show at the shown point, side by side."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.drawing.chart import Limit
from server.drawing.chart_axis import duration
from server.web.views.figures import amperes, sag_volts
from server.web.views.forms import ChoiceView

if TYPE_CHECKING:
    from server.engine.transient.answer import PointAnswer
    from server.engine.transient.meters import Instrument, InstrumentKind, Reading

HALF_A_TENTH_V = 0.05
"""Readings that differ by less are shown the same."""

_NAMES: "dict[InstrumentKind, str]" = {
    "peak-capture": "Meter with peak capture",
    "min-max-recording": "Meter recording minimum and maximum",
    "inrush-clamp": "Clamp meter on the heavy cable, inrush",
    "oscilloscope": "Oscilloscope",
}
_WHY: "dict[InstrumentKind, str]" = {
    "peak-capture": "keeps the lowest and highest mean over that length: what is shorter is cut down",
    "min-max-recording": "keeps one mean after another: averages short dips away, by luck more or less",
    "inrush-clamp": "averages from the instant its trigger is passed: the first peak itself is higher",
    "oscilloscope": "shows the waveform as it is",
}
_SETTINGS: "dict[InstrumentKind, str]" = {
    "peak-capture": "capture {}",
    "min-max-recording": "response {}",
    "inrush-clamp": "integrates for {}",
    "oscilloscope": "",
}


@dataclass(frozen=True)
class MeterRowView:
    """One instrument: what it is set to, what it would show, and why it shows that."""

    name: str
    setting: str
    shows: str
    bands: tuple[str, ...]
    why: str


def meter_rows(
    readings: "Sequence[tuple[Instrument, Reading | None]]", point: "PointAnswer"
) -> tuple[MeterRowView, ...]:
    """Each instrument with what it would show at a point, and how far that may be off."""
    return tuple(
        MeterRowView(
            _NAMES[instrument.kind],
            _SETTINGS[instrument.kind].format(duration(instrument.window_s)),
            _shows(instrument, found),
            tuple(_bands(instrument, found, point)),
            _WHY[instrument.kind],
        )
        for instrument, found in readings
    )


def meter_choices(chosen: str) -> tuple[ChoiceView, ...]:
    """The instruments whose figures can be shown in the chart, and none."""
    named = (
        ChoiceView(kind, name, kind == chosen) for kind, name in _NAMES.items() if kind != "oscilloscope"
    )
    return (ChoiceView("", "none", not chosen), *named)


def meter_limits(readings: "Sequence[tuple[Instrument, Reading | None]]", kind: str) -> tuple[Limit, ...]:
    """The figures that an instrument of a kind keeps, as levels in the chart."""
    found = next((found for instrument, found in readings if instrument.kind == kind), None)
    if found is None or kind == "oscilloscope":
        return ()
    if kind == "inrush-clamp":
        return (Limit(found.highest, f"clamp shows {amperes(found.highest)}", "meter", "A"),)
    low, high = _range(found.lowest, found.lowest_to), _range(found.highest_from, found.highest)
    return (
        Limit(found.lowest, f"meter keeps {low} as its lowest", "meter"),
        Limit(found.highest, f"meter keeps {high} as its highest", "meter"),
    )


def disagreement(readings: "Sequence[tuple[Instrument, Reading | None]]") -> str:
    """How far apart the lowest volts of the meters may be, in one sentence; empty where they agree."""
    volts = [found for instrument, found in readings if found and instrument.kind != "inrush-clamp"]
    if len(volts) < 2:  # noqa: PLR2004 - it takes two to disagree
        return ""
    apart = max(one.lowest_to for one in volts) - min(one.lowest for one in volts)
    if apart < HALF_A_TENTH_V:
        return "At this point they agree."
    return f"Their lowest figures may differ by {sag_volts(apart)}, and none of them is broken."


def _shows(instrument: "Instrument", found: "Reading | None") -> str:
    if found is None:
        return f"nothing: the current does not pass its trigger of {amperes(instrument.trigger_a)}"
    if instrument.kind == "inrush-clamp":
        return amperes(found.highest)
    return f"min {_range(found.lowest, found.lowest_to)}, max {_range(found.highest_from, found.highest)}"


def _bands(instrument: "Instrument", found: "Reading | None", point: "PointAnswer") -> Iterator[str]:
    """How far the volts that an instrument keeps may be off: the point's bands, in proportion to its swing.

    A band of the lowest voltage stands for the whole dip, as where the verdict is judged, so a meter that
    sees a part of the dip has that part of the band.
    """
    if found is None or instrument.kind == "inrush-clamp":
        return
    swings = (
        ("min", point.lowest_band, found.lowest, found.lowest_to),
        ("max", point.highest_band, found.highest_from, found.highest),
    )
    for word, band, low, high in swings:
        if band is not None and band.low < band.high:
            bottom, top = _swung(low, band.low, band.value, point), _swung(high, band.high, band.value, point)
            if _range(bottom, top) != _range(low, high):
                yield f"{word} may be {_range(bottom, top)}"


def _swung(reading_v: float, other_v: float, value_v: float, point: "PointAnswer") -> float:
    """A reading where the extreme that it is a part of lies at another voltage."""
    swing = value_v - point.before_v
    if not swing:
        return reading_v + other_v - value_v
    return point.before_v + (reading_v - point.before_v) * (other_v - point.before_v) / swing


def _range(low: float, high: float) -> str:
    one, other = sag_volts(low), sag_volts(high)
    return one if one == other else f"{one.removesuffix(' V')} to {other}"
