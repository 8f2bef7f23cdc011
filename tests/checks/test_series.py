"""Which of two devices in series opens first, by curves as entered and by assumed bands."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.series import opening_out_of_turn
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire
from tests.checks.test_faults import long_lead

QUICK = [{"multiple": 1.5, "shortest_s": 0.01, "longest_s": 0.1},
         {"multiple": 1000.0, "shortest_s": 0.001, "longest_s": 0.1}]  # fmt: skip
LAZY = [{"multiple": 1.5, "shortest_s": 5.0, "longest_s": 50.0},
        {"multiple": 1000.0, "shortest_s": 1.0, "longest_s": 50.0}]  # fmt: skip
SLOWEST = [{"multiple": 1.5, "shortest_s": 100.0, "longest_s": 500.0},
           {"multiple": 1000.0, "shortest_s": 100.0, "longest_s": 500.0}]  # fmt: skip
WIDE = [{"multiple": 1.5, "shortest_s": 0.01, "longest_s": 50.0},
        {"multiple": 1000.0, "shortest_s": 0.001, "longest_s": 50.0}]  # fmt: skip


def three(main: dict[str, Any], own: dict[str, Any]) -> dict[str, Any]:
    """Bank fuse, then a main fuse, then the radio's own; a bank's own fuse has none before it."""
    body = long_lead(2.0, 10.0)
    body["parts"].append({"kind": "fuse", "id": "second", "name": "Feeder fuse", "rating_a": 20.0, **main})
    part(body, "own").update(own)
    part(body, "fuse").update({"curve": SLOWEST, "rating_a": 300.0})
    body["parts"].append({"kind": "busbar", "id": "far", "name": "Far bus", "studs": 4})
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c4"]
    body["conductors"] += [
        wire("c4", "plus/stud-2", "second/line"),
        wire("f1", "second/load", "far/stud-1"),
        wire("f2", "far/stud-2", "own/line"),
    ]
    return body


def told(body: dict[str, Any]) -> dict[str, Finding]:
    boat = read(body)
    found = opening_out_of_turn(boat, analyse_mode(boat, "sailing", events=()))
    return {one.subjects[-1]: one for one in found}


def test_a_lazy_device_before_a_quick_one_opens_in_turn() -> None:
    assert told(three({"curve": LAZY}, {"curve": QUICK})) == {}


def test_a_quick_device_before_a_lazy_one_opens_first() -> None:
    found = told(three({"curve": QUICK}, {"curve": LAZY}))
    one = found["own"]

    assert (one.code, one.severity, one.subjects) == (
        "opens-out-of-turn",
        "advice",
        ("second", "second", "own"),
    )
    assert (
        "which opens first, after 0.001 to 0.1 s against 1 to 50 s: all behind it goes dark." in one.message
    )
    assert one.source.startswith("common practice, no source")


def test_curves_that_overlap_cannot_tell() -> None:
    one = told(three({"curve": LAZY}, {"curve": WIDE}))["own"]

    assert one.severity == "cannot-tell"
    assert "look up the curves of both" in one.message


@pytest.mark.parametrize(("before_a", "is_told"), [(20.0, False), (10.0, True), (8.0, True)])
def test_with_assumed_bands_only_an_upstream_device_that_is_not_larger_is_told(
    before_a: float, is_told: bool
) -> None:
    kind = {"device_class": "thermal-magnetic-breaker"}
    found = told(three({"rating_a": before_a, **kind}, kind))

    assert ("own" in found) == is_told
    assert all(one.source_status == "memory" for one in found.values())


def test_an_assumed_band_that_lies_wholly_before_the_other_is_told_as_open() -> None:
    one = told(three({"device_class": "blade", "rating_a": 2.0}, {"curve": LAZY}))["own"]

    assert (one.severity, one.source_status) == ("cannot-tell", "memory")


def test_devices_that_feed_either_way_between_two_sources_have_no_turn() -> None:
    """Two fused batteries, a fused wire between their buses, and a branch off that wire."""
    body = small()
    body["parts"] += [
        {**part(body, "house"), "id": "other", "name": "Other", "bank": "other"},
        {"kind": "fuse", "id": "other-fuse", "name": "Other fuse", "rating_a": 30.0, "curve": LAZY},
        {"kind": "busbar", "id": "others", "name": "Other bus", "studs": 4},
        {"kind": "busbar", "id": "middle", "name": "Middle", "studs": 4},
        {"kind": "fuse", "id": "near", "name": "Near fuse", "rating_a": 30.0, "curve": QUICK},
        {"kind": "fuse", "id": "far", "name": "Far fuse", "rating_a": 30.0, "curve": QUICK},
        {"kind": "fuse", "id": "own", "name": "Radio fuse", "rating_a": 10.0, "curve": LAZY},
    ]
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c4"]
    part(body, "fuse")["curve"] = SLOWEST
    body["conductors"] += [
        wire("o1", "other/positive", "other-fuse/line"),
        wire("o2", "other-fuse/load", "others/stud-1"),
        wire("o3", "other/negative", "minus/stud-5"),
        wire("m1", "plus/stud-2", "near/line"),
        wire("m2", "near/load", "middle/stud-1"),
        wire("m3", "middle/stud-2", "far/line"),
        wire("m4", "far/load", "others/stud-2"),
        wire("r1", "middle/stud-3", "own/line"),
        wire("r2", "own/load", "radio/main"),
    ]

    assert told(body) == {}


def test_a_device_of_unknown_rating_is_left_out() -> None:
    assert told(three({"curve": QUICK, "rating_a": None}, {"curve": LAZY})) == {}
