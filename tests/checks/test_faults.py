"""Short circuits against the devices before them, on a boat of one battery, fuse, switch and load."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled
from server.checks.faults import idle_devices, unknown_interrupting, weak_devices
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire


def with_fuse(**figures: object) -> Boat:
    body = small()
    part(body, "fuse").update(figures)
    return read(body)


def idle(boat: Boat, mode: str = "sailing") -> list[Finding]:
    return list(idle_devices(boat, analyse_mode(boat, mode, events=())))


def test_a_device_that_cannot_break_the_highest_current_is_a_danger() -> None:
    """12.8 V over a warm battery's 4.4 mΩ, 3.3 of 10 AWG, 0.2 of its lugs and 2 of the fuse."""
    (found,) = weak_devices(with_fuse(interrupting_a=1000.0))

    assert (found.code, found.severity, found.subjects) == (
        "interrupting-too-low",
        "danger",
        ("fuse", "load"),
    )
    assert found.figure is not None
    assert found.limit is not None
    assert found.figure.value == pytest.approx(12.8 / 0.0099, rel=0.02)
    assert found.limit.value == 1000.0
    assert "could draw 1," in found.message
    assert "break 1,000 A" in found.message


def test_a_device_that_can_is_not_spoken_of() -> None:
    assert list(weak_devices(with_fuse(interrupting_a=5000.0))) == []


def test_a_device_without_an_interrupting_rating_is_left_open_by_name() -> None:
    (told,) = unknown_interrupting(with_fuse(interrupting_a=None))

    assert told.endswith("read the interrupting rating off Main fuse")
    assert unknown_interrupting(with_fuse(interrupting_a=5000.0)) == ()


def test_many_devices_without_a_rating_are_counted() -> None:
    ways = [{"id": f"w{n}", "name": f"Way {n}", "device_kind": "fuse"} for n in range(5)]
    section = {
        "id": "dc", "name": "DC", "polarity": "positive", "main_kind": "breaker", "main": {}, "ways": ways,
    }  # fmt: skip
    body = small()
    part(body, "fuse")["interrupting_a"] = None
    body["parts"].append({"kind": "panel", "id": "panel", "name": "Panel", "sections": [section]})

    (told,) = unknown_interrupting(read(body))

    assert told.endswith("Main fuse, Panel, Way 0 and 4 more")


def long_lead(metres: float, fuse_a: float) -> dict[str, Any]:
    """A 10 A lead of 2.5 mm² of some length, out and back, behind a fuse of its own."""
    thin = {"label": "2.5 mm²", "area_mm2": 2.5, "resistance_ohm_per_m": 7.98e-3}
    body = small()
    body["conductors"] = [one for one in body["conductors"] if one["id"] not in ("c4", "c5")]
    body["parts"].append({"kind": "fuse", "id": "own", "name": "Radio fuse", "rating_a": fuse_a})
    body["conductors"] += [
        wire("c4", "plus/stud-2", "own/line"),
        wire("c4b", "own/load", "radio/main", size=thin, length_m=metres),
        wire("c5", "radio/negative", "minus/stud-1", size=thin, length_m=metres),
    ]
    return body


def test_a_fuse_at_the_head_of_a_long_thin_lead_never_opens() -> None:
    """Half flat, about 12.1 V over 2 · 40 m of hot 2.5 mm² (0.81 Ω at 90 °C): less than 15 A."""
    (found,) = idle(read(long_lead(40.0, 20.0)))

    assert (found.code, found.severity, found.subjects) == ("fault-does-not-open", "danger", ("radio",))
    assert found.figure is not None
    assert found.figure.value == pytest.approx(12.1 / (80 * 7.98e-3 * 1.275), rel=0.1)
    assert "“Radio fuse” of 20 A never opens" in found.message


def test_a_long_run_of_thin_wire_keeps_a_breaker_closed() -> None:
    """25 m of 1.5 mm² out and back, 13.3 mΩ/m (IEC 60228 class 5) and 1.275 times that hot: 0.85 Ω."""
    body = long_lead(25.0, 15.0)
    thin = {"label": "1.5 mm²", "area_mm2": 1.5, "resistance_ohm_per_m": 13.3e-3}
    for one in body["conductors"]:
        if one["id"] in {"c4b", "c5"}:
            one["size"] = thin

    (found,) = idle(read(body))

    assert (found.code, found.severity) == ("fault-does-not-open", "danger")
    assert found.figure is not None
    assert found.figure.value == pytest.approx(12.1 / (50 * 13.3e-3 * 1.275), rel=0.1)


def test_a_curve_as_entered_settles_what_an_assumed_one_leaves_open() -> None:
    body = long_lead(40.0, 10.0)
    part(body, "own")["curve"] = [{"multiple": 1.2, "shortest_s": 10.0, "longest_s": 900.0}]
    assert idle(read(body)) == []
    part(body, "own")["curve"] = [{"multiple": 1.2, "shortest_s": 10.0}]
    (found,) = idle(read(body))
    assert found.severity == "cannot-tell"
    assert "may take minutes (at most 900 s" not in found.message
    assert found.message.endswith("or never); look at its time-current curve.")


def test_between_once_and_twice_the_rating_nobody_can_tell_without_the_curve() -> None:
    (found,) = idle(read(long_lead(40.0, 10.0)))

    assert (found.code, found.severity) == ("fault-may-not-open", "cannot-tell")
    assert "look at its time-current curve" in found.message


def test_a_short_lead_opens_its_fuse() -> None:
    assert idle(read(long_lead(4.0, 10.0))) == []


def test_the_demo_boats_break_their_faults_but_for_the_unfused_heater() -> None:
    for path in sorted(bundled("seed_boats").glob("*.json")):
        boat = read_boat(path.read_bytes())
        assert list(weak_devices(boat)) == [], path.name
        slow = {found.subjects for mode in boat.modes for found in idle(boat, mode.id)}
        assert slow == ({("heater",)} if path.stem == "1-sloop" else set()), path.name
