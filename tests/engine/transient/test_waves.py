"""Waveforms of straight lines: means, crossings and pieces by elementary geometry."""

import numpy as np
import pytest

from server.engine.transient.waves import Wave

DIP = Wave(np.array([0.0, 1.0, 1.0, 3.0, 4.0]), np.array([12.0, 12.0, 8.0, 8.0, 12.0]))
"""12 V, a vertical fall to 8 V at 1 s, back from 3 to 4 s."""


def test_at_an_edge_the_later_value_holds_and_beyond_the_ends_the_last() -> None:
    assert DIP.at(np.array([-1.0, 0.5, 1.0, 3.5, 9.0])) == pytest.approx([12.0, 12.0, 8.0, 10.0, 12.0])


def test_means_are_areas() -> None:
    """Rectangles and one trapezium: 1·12 + 2·8 + 1·10 = 38 V·s."""
    assert DIP.mean(0.0, 4.0) == pytest.approx(38 / 4)
    assert DIP.mean(0.5, 1.5) == pytest.approx(10.0)
    assert DIP.mean(3.25, 3.75) == pytest.approx(10.0)
    assert DIP.mean(-2.0, 0.0) == pytest.approx(12.0)
    assert DIP.mean(4.0, 7.0) == pytest.approx(12.0)
    assert DIP.mean(3.5, 3.5) == pytest.approx(10.0)


def test_stretches_below_a_level_begin_and_end_at_its_crossings() -> None:
    """10 V is passed at once at 1 s and half-way up at 3.5 s."""
    assert DIP.stretches_below(10.0) == pytest.approx(np.array([[1.0, 3.5]]))
    assert DIP.longest_below(10.0) == pytest.approx(2.5)
    assert DIP.longest_below(8.0) == 0.0
    assert DIP.longest_below(13.0) == pytest.approx(4.0)


def test_the_first_stretch_that_lasts_is_the_one_told() -> None:
    wave = Wave(
        np.array([0.0, 1.0, 2.0, 2.0, 5.0, 5.0, 6.0]), np.array([9.0, 11.0, 9.0, 9.0, 9.0, 11.0, 11.0])
    )

    assert wave.first_below(10.0) == pytest.approx(0.0)
    assert wave.first_below(10.0, 0.6) == pytest.approx(1.5)
    assert wave.first_below(10.0, 4.0) is None


def test_a_piece_keeps_its_ends() -> None:
    piece = DIP.between(0.5, 3.5)

    assert piece.time_s == pytest.approx([0.5, 1.0, 1.0, 3.0, 3.5])
    assert piece.values == pytest.approx([12.0, 12.0, 8.0, 8.0, 10.0])
