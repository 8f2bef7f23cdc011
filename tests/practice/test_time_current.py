"""Time-current bands: what a curve says, what a class is assumed to do, and what neither can tell."""

from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.boat.devices import DeviceClass
from server.practice.tables import rows
from server.practice.time_current import NEVER, Band, BandPoint, Opening, any_band, class_band

CURVE = Band((BandPoint(1.35, 60, 1800), BandPoint(2, 5, 100), BandPoint(6, 0.1, 1)), "a curve", False)


@pytest.mark.parametrize(
    ("multiple", "shortest_s", "longest_s"),
    [(0.5, NEVER, NEVER), (1, NEVER, NEVER), (1.2, 60, NEVER), (1.35, 60, 1800), (1.9, 5, 1800),
     (2, 5, 100), (3, 0.1, 100), (6, 0.1, 1), (40, 0, 1)],
)  # fmt: skip
def test_more_current_only_opens_faster_and_nothing_else_is_assumed(
    multiple: float, shortest_s: float, longest_s: float
) -> None:
    found = CURVE.opening(multiple)

    assert (found.shortest_s, found.longest_s) == (shortest_s, longest_s)


@given(st.floats(0.1, 100), st.floats(0.1, 100), st.sampled_from(get_args(DeviceClass)))
def test_every_band_opens_no_later_with_more_current(one: float, other: float, device_class: str) -> None:
    band = class_band(device_class)
    assert band is not None
    less, more = (band.opening(multiple) for multiple in sorted((one, other)))

    assert more.shortest_s <= less.shortest_s
    assert more.longest_s <= less.longest_s
    assert more.shortest_s <= more.longest_s


@pytest.mark.parametrize("device_class", get_args(DeviceClass))
def test_every_class_of_the_document_has_a_band_from_memory_alone(device_class: str) -> None:
    shipped = [row for row in rows("time_current") if row["device_class"] == device_class]
    band = class_band(device_class)

    assert band is not None
    assert band.is_assumed
    assert {row["status"] for row in shipped} == {"memory"}
    assert all(low.multiple < high.multiple for low, high in pairwise(band.points))
    assert band.points[0].longest_s == NEVER


def test_an_unknown_class_has_no_band_and_an_unstated_one_covers_all() -> None:
    assert class_band("wire-nut") is None
    wide = any_band()
    for device_class in get_args(DeviceClass):
        band = class_band(device_class)
        assert band is not None
        for multiple in (1.1, 1.5, 2.0, 5.0, 12.0, 30.0):
            inner, outer = band.opening(multiple), wide.opening(multiple)
            assert outer.shortest_s <= inner.shortest_s
            assert outer.longest_s >= inner.longest_s


def test_a_varying_current_is_added_up_stretch_by_stretch() -> None:
    """2 s at 5 times the rating use 2 of 4 to 10 s; the rest is used at twice it, where it takes 20 to 50 s.

    By hand: half is used at the earliest, so (1 - 1/2) × 20 s more; a fifth at the latest, (1 - 1/5) × 50 s.
    """
    band = Band((BandPoint(2, 20, 50), BandPoint(5, 4, 10)), "a curve", is_assumed=False)
    times, multiples = (0.0, 2.0, 2.0, 100.0), (5.0, 5.0, 2.0, 2.0)

    found = band.opening_along(times, multiples)

    assert (found.shortest_s, found.longest_s) == pytest.approx((12.0, 42.0))
    assert band.opening_along((0.0, 50.0, 90.0), (5.0, 5.0, 5.0)) == Opening(4.0, 10.0)
    assert band.opening_along((0.0, 1.0), (1.0, 1.0)) == Opening(NEVER, NEVER)
    assert band.opening_along((0.0, 1.0), (5.0, 5.0)) == Opening(NEVER, NEVER)


def test_a_steady_current_opens_as_the_band_says() -> None:
    for multiple in (1.5, 2.0, 3.3, 9.0):
        known = CURVE.opening(multiple)
        assert CURVE.opening_along((0.0, 1e9), (multiple, multiple)) == known
