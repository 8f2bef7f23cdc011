"""What an instrument shows of a waveform, and why two instruments disagree.

Models of the usual kinds, common practice, no source. A peak-hold function averages over its window, so that
a peak shorter than the window is cut down. A minimum/maximum recording stores one average after another, each
as long as its response, and whether a dip falls into one of them or between two is luck. An inrush clamp
begins to average when the current passes its trigger. An oscilloscope shows the trace as it is.
"""

from dataclasses import dataclass
from typing import Literal, assert_never

import numpy as np

from server.engine.arrays import Floats
from server.engine.transient.waves import Wave
from server.units import Ampere, Second

InstrumentKind = Literal["peak-capture", "min-max-recording", "inrush-clamp", "oscilloscope"]
PHASES = 200
"""Instants within one response at which a recording may have begun."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """A kind of instrument with its window, response or integration time; ``trigger_a`` is a clamp's."""

    kind: InstrumentKind
    window_s: Second
    trigger_a: Ampere = 5.0


@dataclass(frozen=True, slots=True)
class Reading:
    """The lowest and highest figure an instrument keeps, each as a range where luck decides.

    ``lowest_to`` is the highest that may be kept as the lowest, ``highest_from`` the reverse.
    """

    lowest: float
    lowest_to: float
    highest: float
    highest_from: float


PEAK_CAPTURE = Instrument("peak-capture", 250e-6)
RECORDING = Instrument("min-max-recording", 0.1)
CLAMP = Instrument("inrush-clamp", 0.1)
OSCILLOSCOPE = Instrument("oscilloscope", 0.0)


def reading(instrument: Instrument, wave: Wave) -> Reading | None:
    """What an instrument keeps of a wave; None where a clamp does not trigger."""
    match instrument.kind:
        case "peak-capture":
            return peak_capture(wave, instrument.window_s)
        case "min-max-recording":
            return recording(wave, instrument.window_s)
        case "inrush-clamp":
            amps = inrush(wave, instrument.window_s, instrument.trigger_a)
            return None if amps is None else _sure(amps, amps)
        case "oscilloscope":
            return _sure(float(wave.values.min()), float(wave.values.max()))
        case _:
            assert_never(instrument.kind)


def _sure(lowest: float, highest: float) -> Reading:
    return Reading(lowest, lowest, highest, highest)


def peak_capture(wave: Wave, window_s: Second) -> Reading:
    """Lowest and highest mean over any window of this length: what a peak-hold function keeps.

    The mean over a sliding window has its extremes where the wave is equal at both ends of the window. Both
    run in straight lines between the instants at which either end meets a corner, so they are found exactly.
    """
    means = sliding_means(wave, window_s)
    return _sure(float(means.min()), float(means.max()))


def sliding_means(wave: Wave, window_s: Second) -> Floats:
    """Means over windows that begin where their mean may be extreme."""
    first, last = wave.time_s[0] - window_s, wave.time_s[-1]
    begin = np.unique(np.concatenate([wave.time_s, wave.time_s - window_s]))
    begin = begin[(begin >= first) & (begin <= last)]
    difference_at_start = wave.at(begin + window_s) - wave.at(begin)
    just_before = np.nextafter(begin[1:], -np.inf)
    difference_at_end = wave.at(just_before + window_s) - wave.at(just_before)
    a, b = difference_at_start[:-1], difference_at_end
    turns = np.flatnonzero((a < 0) != (b < 0))
    share = a[turns] / np.where(a[turns] == b[turns], 1.0, a[turns] - b[turns])
    extra = begin[turns] + np.clip(share, 0.0, 1.0) * (begin[turns + 1] - begin[turns])
    all_begins = np.concatenate([begin, extra])
    means: Floats = (wave.integral_to(all_begins + window_s) - wave.integral_to(all_begins)) / window_s
    return means


def recording(wave: Wave, response_s: Second) -> Reading:
    """Lowest and highest of consecutive means, each as long as the response.

    The ends that luck can reach are exact; the others are those of ``PHASES`` beginnings.
    """
    best = peak_capture(wave, response_s)
    start, end = float(wave.time_s[0]) - response_s, float(wave.time_s[-1])
    count = int(np.ceil((end - start) / response_s)) + 1
    phases = response_s * np.arange(PHASES) / PHASES
    edges = start + phases[:, None] + response_s * np.arange(count + 1)
    means = np.diff(wave.integral_to(edges.ravel()).reshape(edges.shape), axis=1) / response_s
    return Reading(
        lowest=best.lowest,
        lowest_to=float(means.min(axis=1).max()),
        highest=best.highest,
        highest_from=float(means.max(axis=1).min()),
    )


def inrush(current: Wave, integration_s: Second, trigger_a: Ampere) -> Ampere | None:
    """Mean current from the instant it first passes the trigger, for the integration time; None without."""
    up = Wave(current.time_s, -current.values).stretches_below(-trigger_a)
    if not len(up):
        return None
    start_s = float(up[0, 0])
    return current.mean(start_s, start_s + integration_s)


def trace(wave: Wave, start_s: Second, width_s: Second) -> Wave:
    """What an oscilloscope's screen shows from an instant on: the exact trace."""
    return wave.between(start_s, start_s + width_s)
