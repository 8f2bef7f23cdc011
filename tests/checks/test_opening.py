"""Whether a device opens before its conductor burns: curves as entered decide, assumed ones never do."""

import math
from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.checks.opening import assumed_curves, burning_before_opening, outcome, span_words
from server.checks.shorts import Shorts, band_of
from server.engine.analysis import analyse_mode
from server.engine.faults import highest_fault_a, most_joined
from server.practice.time_current import NEVER, Opening
from tests.checks.small import part, read, small
from tests.checks.test_faults import long_lead

SLOW = [
    {"multiple": 1.35, "shortest_s": 100.0, "longest_s": 3600.0},
    {"multiple": 2.0, "shortest_s": 60.0, "longest_s": 600.0},
    {"multiple": 200.0, "shortest_s": 4.0, "longest_s": 20.0},
]
FAST = [
    {"multiple": 1.35, "shortest_s": 1.0, "longest_s": 100.0},
    {"multiple": 2.0, "shortest_s": 0.1, "longest_s": 1.0},
    {"multiple": 6.0, "shortest_s": 0.01, "longest_s": 0.1},
    {"multiple": 20.0, "shortest_s": 0.001, "longest_s": 0.01},
]


def with_curve(curve: list[dict[str, float]] | None, metres: float = 2.0, **figures: object) -> Boat:
    body = long_lead(metres, 10.0)
    part(body, "own").update({"curve": curve, **figures} if curve else figures)
    part(body, "fuse").update({"curve": FAST, "interrupting_a": 5000.0})
    return read(body)


def found(boat: Boat) -> list[Finding]:
    return list(burning_before_opening(boat, analyse_mode(boat, "sailing", events=())))


@pytest.mark.parametrize(
    ("opening", "burns", "told"),
    [
        (Opening(0.01, 0.5), (0.5, 1.3), "opens in time"),
        (Opening(1.4, 9.0), (0.5, 1.3), "burns first"),
        (Opening(0.1, 9.0), (0.5, 1.3), "cannot tell"),
        (Opening(0.1, 1.0), (0.5, 1.3), "cannot tell"),
        (Opening(NEVER, NEVER), (0.5, 1.3), "burns first"),
        (Opening(8.0, 9.0), (4.0, 6.0), "cannot tell"),
        (Opening(8.0, 9.0), (6.0, 7.0), "not adiabatic"),
    ],
)
def test_times_are_compared_with_both_ends(opening: Opening, burns: tuple[float, float], told: str) -> None:
    """The adiabatic limit holds up to 5 s (IEC 60364-4-43): beyond it nothing is said to burn."""
    assert outcome(opening, *burns) == told


def test_a_slow_device_lets_a_thin_lead_burn_and_its_own_curve_says_so() -> None:
    """T = (k S / I)² with k from 87.6 to 134.8 for 105 °C insulation, S = 2.5 mm² (IEC 60949)."""
    boat = with_curve(SLOW, curve_source="maker's leaflet")
    one = next(one for one in found(boat) if one.subjects == ("c4b",))
    amps = highest_fault_a(boat, most_joined(boat))["own", "load"]

    assert (one.code, one.severity, one.source_status) == ("burns-before-opening", "danger", "document")
    assert one.limit is not None
    assert one.figure is not None
    assert one.limit.value == pytest.approx((87.6 * 2.5) ** 2)
    assert one.figure.value == pytest.approx(amps**2 * 4.0)
    assert one.figure.value > (134.8 * 2.5) ** 2
    assert "“Radio fuse” of 10 A opens after 4 to 600 s." in one.message
    assert one.source.endswith("maker's leaflet")


def test_a_fast_device_saves_it_at_its_lowest_and_at_its_highest() -> None:
    assert found(with_curve(FAST)) == []


def test_a_curve_that_ends_too_early_leaves_it_open() -> None:
    boat = with_curve([{"multiple": 2.0, "shortest_s": 0.1, "longest_s": 600.0}])
    one = next(one for one in found(boat) if one.subjects == ("c4b",))

    assert (one.severity, one.source_status) == ("cannot-tell", "document")
    assert "enter more of its curve" in one.message


def test_a_point_without_a_longest_time_may_never_open() -> None:
    boat = with_curve([{"multiple": 200.0, "shortest_s": 4.0}])
    one = next(one for one in found(boat) if one.subjects == ("c4b",))

    assert one.severity == "danger"
    assert "4 s or never" in one.message


def test_an_assumed_band_never_decides() -> None:
    """A 10 A blade fuse opens in time by its band; a 150 A one of class T before the same lead does not."""
    assert found(with_curve(None, device_class="blade")) == []
    body = long_lead(0.3, 150.0)
    part(body, "own")["device_class"] = "class-t"
    part(body, "fuse").update({"curve": FAST, "rating_a": 400.0})
    one = next(one for one in found(read(body)) if one.subjects == ("c4b",))

    assert (one.severity, one.source_status) == ("cannot-tell", "memory")
    assert one.figure is not None
    assert one.figure.basis == "assumed"
    assert "its curve is assumed: look it up and enter it" in one.message


def without(body: dict[str, Any], wire: str, field: str) -> dict[str, Any]:
    next(one for one in body["conductors"] if one["id"] == wire)[field] = None
    return body


def test_wires_of_unknown_size_and_pigtails_are_left_out() -> None:
    slow = long_lead(2.0, 10.0)
    part(slow, "own")["curve"] = SLOW
    unsized = without(slow, "c4b", "size")
    next(one for one in unsized["conductors"] if one["id"] == "c4b")["measured_resistance_ohm"] = 0.02

    assert ("c4b",) not in {one.subjects for one in found(read(unsized))}
    short = long_lead(2.0, 10.0)
    part(short, "own")["curve"] = SLOW
    next(one for one in short["conductors"] if one["id"] == "c4b")["length_m"] = 0.15
    assert ("c4b",) not in {one.subjects for one in found(read(short))}


def test_without_a_rating_or_a_class_the_widest_band_stands() -> None:
    boat = with_curve(None)
    shorts = Shorts.of(boat, analyse_mode(boat, "sailing", events=()))
    own = next(device for device in shorts.devices if device.name == "Radio fuse")

    assert band_of(own).opening(6).longest_s == 20.0
    assert math.isinf(band_of(own).opening(1.05).longest_s)
    unrated = long_lead(2.0, 10.0)
    part(unrated, "own")["rating_a"] = None
    assert ("c4b",) not in {one.subjects for one in found(read(unrated))}


def test_assumed_curves_are_named_by_class_and_own_ones_are_not() -> None:
    (told,) = assumed_curves(with_curve(None, device_class="blade"))
    (unknown,) = assumed_curves(with_curve(None))
    own = small()
    part(own, "fuse")["curve"] = FAST

    assert "1 × blade" in told
    assert "1 × unstated class" in unknown
    assert assumed_curves(read(own)) == ()


def test_the_same_mode_is_worked_out_once() -> None:
    boat = with_curve(FAST)
    answer = analyse_mode(boat, "sailing", events=())

    assert Shorts.of(boat, answer) is Shorts.of(boat, answer)
    assert Shorts.of(with_curve(FAST), answer) is not Shorts.of(boat, answer)


def test_all_wires_of_a_zone_see_the_fault_at_its_far_end() -> None:
    """From the main fuse to the radio's own: a short at the end of the last wire runs through all three."""
    boat = with_curve(FAST)
    shorts = Shorts.of(boat, analyse_mode(boat, "sailing", events=()))
    alone = {one.conductor: one.fault_a for one in shorts.ways if not one.is_return}

    assert shorts.lowest["c2"] == shorts.lowest["c3"] == shorts.lowest["c4"] == alone["c4"]
    assert alone["c4"] < alone["c3"] < alone["c2"]


def test_spans_are_told_in_two_digits() -> None:
    assert span_words(Opening(5.0, 7200.0)) == "5 to 7,200 s"
