"""Electronic outputs that go dark together: told to be looked up, as no document states what a module needs.

Electronics on 12 V restart below 9.0 to 10.8 V (assumption, from memory).
"""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.outputs import modules_that_brown_out
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, wire
from tests.checks.test_panels import panelled


def module(inrush_a: float = 300.0, **section: object) -> dict[str, Any]:
    """Radio and fan on a panel of electronic outputs, beside a winch on the same battery."""
    body = panelled(2.0)
    part(body, "panel")["sections"][0] |= {"name": "Outputs", "electronic_outputs": True} | section
    part(body, "fuse")["rating_a"] = 400.0
    demand = {
        "kind": "motor", "running_current_a": 60.0, "inrush_current_a": inrush_a, "inrush_voltage_v": 12.0,
    }  # fmt: skip
    body["parts"].append(
        {"kind": "load", "id": "winch", "name": "Winch", "role": "winch", "heavy": True,
         "inputs": [{"id": "motor", "demand": demand}]}
    )  # fmt: skip
    body["conductors"] += [
        wire("w1", "plus/stud-3", "winch/motor"),
        wire("w2", "winch/negative", "minus/stud-5"),
    ]
    body["modes"][0]["on"].append({"part": "winch"})
    return body


def dark(body: dict[str, Any]) -> list[Finding]:
    boat = read(body)
    return list(modules_that_brown_out(boat, analyse_mode(boat, "sailing")))


def test_all_that_a_module_feeds_is_named_where_it_may_go_dark() -> None:
    (one,) = dark(module())

    assert (one.code, one.severity, one.subjects) == ("outputs-brown-out", "cannot-tell", ("panel", "dc"))
    assert one.message.startswith("When the winch turns, the outputs of Panel, Outputs, have ")
    assert (
        "all it feeds goes dark together: Radio, Fan. Look up its lowest voltage; 9.0 to 10.8 V"
        in one.message
    )
    assert (one.event is not None, one.source_status) == (True, "memory")
    assert one.figure is not None
    assert 5 < one.figure.value < 10.8


@pytest.mark.parametrize("sound", [module(5.0), module(electronic_outputs=False), panelled(2.0)])
def test_a_small_dip_plain_breakers_and_a_mode_without_an_event_are_not_spoken_of(
    sound: dict[str, Any],
) -> None:
    assert dark(sound) == []


def test_nothing_on_it_or_nothing_to_assume_is_not_judged() -> None:
    body = module()
    for one in body["modes"][0]["on"]:
        one["part"] = "winch"
    body["modes"][0]["on"] = body["modes"][0]["on"][:1]
    assert dark(body) == []
    assert dark(module() | {"nominal_voltage_v": 48.0}) == []
