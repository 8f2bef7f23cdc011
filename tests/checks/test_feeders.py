"""Shared feeders, loads fed from the middle of a string, and what cannot be judged for want of a table.

The faults are those planted in the demo boats; the first two rules are common practice, no source.
"""

import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled
from server.checks.judge import findings, not_assessed
from server.engine.analysis import analyse_mode
from tests.checks.small import SIZE, judged, move, part, read, small, wire


def demo(name: str) -> Boat:
    return read_boat((bundled("seed_boats") / f"{name}.json").read_bytes())


def named(code: str, boat: Boat, mode: str) -> list[Finding]:
    return [one for one in findings(boat, analyse_mode(boat, mode)) if one.code == code]


def test_the_trawlers_screens_share_the_windlass_feeder() -> None:
    """Its key file: forward-feed and forward-neg carry windlass and wheelhouse panel."""
    (found,) = named("feeder-shared", demo("2-trawler"), "anchoring")

    assert set(found.subjects) == {"forward-feed", "forward-neg"}
    assert found.source_status == "common-practice"
    assert found.figure is not None
    assert found.limit is not None
    assert found.figure.value > found.limit.value


@pytest.mark.parametrize(("name", "mode"), [("1-sloop", "starting"), ("4-outboard", "starting")])
def test_the_way_from_the_battery_that_everything_shares_is_no_shared_feeder(name: str, mode: str) -> None:
    assert named("feeder-shared", demo(name), mode) == []


def test_the_workboats_tracker_hangs_on_the_middle_of_a_string() -> None:
    (found,) = named("midpoint-fed", demo("3-workboat"), "working")

    assert found.subjects[0] == "tracker"
    assert found.severity == "advice"


def test_an_equaliser_at_the_middle_excuses_the_load() -> None:
    document = small()
    second = part(document, "house") | {"id": "upper", "name": "Upper"}
    document["parts"].append(second)
    move(document, "c1", "tail", "upper/positive")
    document["conductors"].append(wire("middle", "house/positive", "upper/negative"))
    move(document, "c4", "tail", "house/positive")
    document["nominal_voltage_v"] = 24.0
    assert "midpoint-fed" in judged(document)

    evening = {"kind": "converter", "id": "even", "name": "Equaliser", "output_v": 12.0,
               "rated_current_a": 20.0, "role": "equaliser"}  # fmt: skip
    document["parts"].append(evening)
    document["conductors"].append(wire("even-out", "even/output", "house/positive"))
    assert "midpoint-fed" not in judged(document)


def test_a_metric_boat_says_that_its_ampacity_table_is_not_shipped() -> None:
    positive, negative = [one for one in not_assessed(demo("3-workboat")) if "ampacity" in one]

    assert "table not shipped" in positive
    assert "table not shipped" in negative
    curves, inputs = not_assessed(demo("1-sloop"))
    assert "two feeds meet inside a load" in inputs
    assert "time-current bands are assumed" in curves


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"insulation_c": None}, "size or insulation temperature is not stated"),
        ({"size": None}, "size or insulation temperature is not stated"),
        ({"size": SIZE | {"label": "garden hose"}}, "in no published table"),
    ],
)
def test_what_nobody_stated_is_not_judged_and_said(change: dict[str, object], reason: str) -> None:
    document = small()
    one = next(item for item in document["conductors"] if item["id"] == "c2")
    one.update(change)
    one["length_m"] = 3.0

    assert any(reason in said for said in not_assessed(read(document)))


def test_a_device_without_a_rating_is_not_judged_and_said() -> None:
    document = small()
    del part(document, "fuse")["rating_a"]
    next(item for item in document["conductors"] if item["id"] == "c2")["length_m"] = 3.0

    assert any("rating of the device is not stated" in said for said in not_assessed(read(document)))


def test_a_boat_without_modes_has_nothing_to_judge() -> None:
    (curves,) = not_assessed(read(small() | {"modes": []}))

    assert "time-current bands are assumed" in curves
