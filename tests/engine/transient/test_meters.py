"""What instruments show: closed forms of pulses, and exponentials averaged by hand."""

import math

import numpy as np
import pytest

from server.engine.transient.meters import (
    CLAMP,
    OSCILLOSCOPE,
    PEAK_CAPTURE,
    RECORDING,
    Instrument,
    inrush,
    peak_capture,
    reading,
    recording,
    trace,
)
from server.engine.transient.waves import Wave


def rectangle(width_s: float, height: float, base: float = 12.0) -> Wave:
    """A base with one rectangular pulse at 1 s."""
    time_s = np.array([0.0, 1.0, 1.0, 1.0 + width_s, 1.0 + width_s, 3.0])
    return Wave(time_s, np.array([base, base, base + height, base + height, base, base]))


def triangle(half_s: float, height: float) -> Wave:
    """A pulse that rises and falls evenly around 1 s."""
    return Wave(np.array([0.0, 1 - half_s, 1.0, 1 + half_s, 3.0]), np.array([0.0, 0.0, height, 0.0, 0.0]))


@pytest.mark.parametrize(("width_s", "shown"), [(1e-3, 22.0), (250e-6, 22.0), (100e-6, 16.0), (25e-6, 13.0)])
def test_a_peak_shorter_than_the_window_is_shown_in_proportion(width_s: float, shown: float) -> None:
    """Mean over the window: 10 V for 100 of 250 µs is 4 V."""
    found = peak_capture(rectangle(width_s, 10.0), 250e-6)

    assert found.highest == pytest.approx(shown, abs=1e-6)
    assert found.lowest == pytest.approx(12.0)
    assert found.highest_from == found.highest


@pytest.mark.parametrize("window_s", [0.05, 0.1, 0.2])
def test_the_window_centres_itself_on_a_triangle(window_s: float) -> None:
    """Closed form: the best mean over a triangle of half width a is h (1 - w/(4 a)) while w <= 2 a."""
    found = peak_capture(triangle(0.1, 8.0), window_s)

    assert found.highest == pytest.approx(8.0 * (1 - window_s / 0.4))


def test_a_recording_of_a_start_misses_the_bottom() -> None:
    """Closed form: -5 V decaying with τ = 60 ms averages to -5 τ/w (1 - exp(-w/τ)) over the first 100 ms."""
    time_s = np.concatenate([[0.0, 1.0], 1.0 + np.linspace(0.0, 2.0, 20_001)])
    values = np.concatenate([[12.0, 12.0], 12.0 - 5.0 * np.exp(-np.linspace(0.0, 2.0, 20_001) / 0.06)])
    best = 12.0 - 5.0 * 0.6 * (1 - math.exp(-1 / 0.6))

    found = recording(Wave(time_s, values), 0.1)

    assert found.lowest == pytest.approx(best, abs=1e-5)
    assert found.lowest < found.lowest_to < 12.0
    assert found.highest == pytest.approx(12.0)


def test_luck_decides_what_a_recording_keeps_of_a_pulse() -> None:
    """A pulse as long as the response: caught whole, or at worst half by each of two means."""
    found = recording(rectangle(0.1, -4.0), 0.1)

    assert found.lowest == pytest.approx(8.0)
    assert found.lowest_to == pytest.approx(10.0, abs=0.05)


def test_a_clamp_averages_from_its_trigger_on() -> None:
    """300 A falling evenly to 100 A within 200 ms: 250 A on average over the first 100 ms."""
    wave = Wave(np.array([0.0, 1.0, 1.0, 1.2, 2.0]), np.array([2.0, 2.0, 300.0, 100.0, 100.0]))

    assert inrush(wave, 0.1, 5.0) == pytest.approx(250.0)
    assert inrush(wave, 0.1, 500.0) is None


def test_an_oscilloscope_shows_the_trace() -> None:
    wave = triangle(0.1, 8.0)
    screen = trace(wave, 0.95, 0.1)

    assert screen.time_s == pytest.approx([0.95, 1.0, 1.05])
    assert screen.values == pytest.approx([4.0, 8.0, 4.0])


def test_four_instruments_on_one_start_disagree() -> None:
    """The same current: the trace shows its top, the others ever less of it."""
    time_s = np.concatenate([[-0.5, 0.0], np.linspace(0.0, 1.0, 10_001)])
    rise = np.linspace(0.0, 1.0, 10_001)
    amps = np.concatenate([[0.0, 0.0], 400 * (1 - np.exp(-rise / 0.002)) * np.exp(-rise / 0.05)])
    wave = Wave(time_s, amps)
    shown = [reading(one, wave) for one in (OSCILLOSCOPE, PEAK_CAPTURE, RECORDING, CLAMP)]
    highest = [one.highest for one in shown if one is not None]

    assert len(highest) == len(shown)
    assert highest[0] > highest[1] > highest[2] >= highest[3]
    assert reading(Instrument("inrush-clamp", 0.1, trigger_a=600.0), wave) is None
