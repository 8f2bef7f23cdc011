"""Distance of the first device from the battery, on the small boat; ABYC E-11 (2008) 11.10.1.1.1."""

from typing import Any

import pytest

from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled
from server.checks.location import distant_devices
from tests.checks.small import part, read, small, wire


def found(document: dict[str, Any]) -> list[Finding]:
    boat = read(document)
    return list(distant_devices(boat))


def fuse_at(metres: float | None, sheathed: str | None = None) -> dict[str, Any]:
    body = small()
    next(one for one in body["conductors"] if one["id"] == "c1").update(length_m=metres, sheathed=sheathed)
    return body


@pytest.mark.parametrize("metres", [0.17, None])
def test_a_fuse_within_seven_inches_is_not_spoken_of(metres: float | None) -> None:
    """7 in = 0.178 m; a length that nobody knows cannot be called too long here."""
    assert found(fuse_at(metres)) == []


def test_an_open_conductor_may_not_be_longer() -> None:
    (one,) = found(fuse_at(0.5, "no"))

    assert (one.code, one.severity, one.subjects) == ("device-too-far", "fault", ("fuse", "c1"))
    assert one.limit is not None
    assert one.limit.value == pytest.approx(0.1778)
    assert "sits 0.50 m from the battery along the conductor; ABYC E-11 allows 0.18 m (7 in): " in one.message


def test_in_a_sheath_on_the_battery_72_inches_are_allowed() -> None:
    assert found(fuse_at(1.8, "yes")) == []
    (one,) = found(fuse_at(1.9, "yes"))
    assert one.limit is not None
    assert one.limit.value == pytest.approx(1.8288)


def test_where_nobody_said_whether_it_is_sheathed_the_answer_is_open() -> None:
    (one,) = found(fuse_at(1.0))
    (far,) = found(fuse_at(2.5))

    assert one.severity == "cannot-tell"
    assert "say whether it runs in a sheath" in one.message
    assert far.severity == "fault"


def test_a_switch_before_the_fuse_does_not_end_the_way() -> None:
    body = small()
    body["parts"].append({"kind": "fuse", "id": "late", "name": "Late fuse", "rating_a": 5.0})
    body["conductors"] += [wire("d1", "switch/in", "late/line", length_m=0.1, sheathed="no")]
    part(body, "fuse")["kind"] = "breaker"
    body["conductors"][1]["tail"] = {"part": "house", "terminal": "positive"}

    assert {one.subjects for one in found(body)} >= {("late", "c2", "d1")}


def test_the_metric_practice_allows_any_length_in_a_sheath() -> None:
    body = fuse_at(5.0, "yes") | {"practice": {"profile": "iso-metric"}}

    assert found(body) == []


def test_the_metric_practice_allows_200_mm_in_the_open_from_memory_and_so_only_advises() -> None:
    """ISO 10133:2000 8.1, 200 mm: partly read in a public text, the rest from memory."""
    metric = {"practice": {"profile": "iso-metric"}}

    assert found(fuse_at(0.19, "no") | metric) == []
    (one,) = found(fuse_at(0.21, "no") | metric)
    assert (one.severity, one.source_status) == ("advice", "memory")
    assert one.limit is not None
    assert one.limit.value == pytest.approx(0.2)
    assert "ISO 10133 allows 0.20 m (200 mm): confirm that in the standard" in one.message
    assert [one.severity for one in found(fuse_at(0.19, "no"))] == ["fault"]


def test_a_cranking_lead_is_exempt() -> None:
    """Exception 1: the fuse behind the starter's own lead is not reached by the battery."""
    body = small()
    motor = {"kind": "motor", "running_current_a": 100.0}
    starter = {"kind": "load", "id": "starter", "name": "Starter", "role": "starter", "heavy": True}
    body["parts"].append(starter | {"inputs": [{"id": "main", "demand": motor}]})
    body["conductors"] += [wire("s1", "house/positive", "starter/main", length_m=3.0, sheathed="no")]
    body["conductors"][0].update(length_m=0.1)

    assert found(body) == []


def test_the_demo_boats_keep_their_fuses_near_the_batteries() -> None:
    for path in sorted(bundled("seed_boats").glob("*.json")):
        boat = read_boat(path.read_bytes())
        assert list(distant_devices(boat)) == [], path.name
