"""A conductor that ends on nothing: advice, but a danger where it is alive without a device.

ABYC E-11 (2008) 11.10.1: each ungrounded conductor to a source of power has a device near the source. That a
live end lying loose is insulated or taken off is common practice, no source.
"""

from typing import Any

import pytest

from server.boat.finding import Finding
from tests.checks.small import judged, small, wire


def stray(tail: str, *, loose: str = "head") -> Finding:
    """What is found of a metre of 10 AWG that lands on one terminal only."""
    document: dict[str, Any] = small()
    document["conductors"].append(wire("stray", tail, tail) | {loose: None})
    found = judged(document)
    assert found["loose-end"].subjects == ("stray",)
    return found["loose-end"]


@pytest.mark.parametrize("loose", ["head", "tail"])
def test_from_a_battery_post_it_is_alive_without_a_fuse(loose: str) -> None:
    found = stray("house/positive", loose=loose)

    assert found.severity == "danger"
    assert "it is alive" in found.message
    assert "no fuse or breaker stands between a source and it" in found.message
    assert "11.10.1" in found.source


def test_before_the_fuse_it_is_alive_and_behind_it_it_is_advice() -> None:
    """The 30 A fuse stands between the battery and everything from the switch on."""
    assert stray("fuse/line").severity == "danger"
    behind = [stray(one) for one in ("fuse/load", "switch/out", "plus/stud-3")]
    assert {one.severity for one in behind} == {"advice"}


@pytest.mark.parametrize("tail", ["minus/stud-4", "house/negative", "engine/stud-2"])
def test_on_the_negative_it_is_advice(tail: str) -> None:
    assert stray(tail).severity == "advice"


def test_of_a_conductor_without_any_end_nothing_more_is_said() -> None:
    document = small()
    document["conductors"].append(wire("stray", "plus/stud-3", "plus/stud-4") | {"head": None, "tail": None})

    assert judged(document)["loose-end"].severity == "advice"


def test_what_was_written_of_its_ends_is_said_with_it() -> None:
    document = small()
    noted = {"notes": "From: VHF radio; To: neg bar"}
    document["conductors"].append(
        wire("stray", "plus/stud-3", "plus/stud-4") | {"head": None, "tail": None} | noted
    )
    told = judged(document)["loose-end"].message
    assert told.startswith(
        "An end of a conductor with two loose ends (“From: VHF radio; To: neg bar”) lands on nothing"
    )
    document["conductors"][-1].update(wire("stray", "plus/stud-3", "plus/stud-4") | {"head": None} | noted)
    told = judged(document)["loose-end"].message
    assert told.startswith("An end of the conductor from the positive bus to a loose end lands on nothing")
    assert told.endswith("It is noted: From: VHF radio; To: neg bar.")
