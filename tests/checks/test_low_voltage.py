"""Steady voltage at electronics against what they need, on the small boat with a flat battery."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.low_voltage import low_voltages
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small


def found(volts: float, need: object = 10.0, **more: object) -> list[Finding]:
    """The radio with the bank at a rest voltage; of its 20 W about 0.1 V are lost on the way."""
    body: dict[str, Any] = small()
    part(body, "house")["rest_voltage_v"] = volts
    part(body, "radio")["inputs"][0]["minimum_voltage_v"] = need
    part(body, "radio").update(more)
    boat = read(body)
    return list(low_voltages(boat, analyse_mode(boat, "sailing")))


def test_below_what_it_needs_is_a_fault_with_both_figures() -> None:
    (one,) = found(9.8)

    assert (one.code, one.severity, one.mode) == ("low-voltage", "fault", "sailing")
    assert one.figure is not None
    assert one.figure.value == pytest.approx(9.7, abs=0.05)
    assert one.limit is not None
    assert one.limit.value == 10.0
    assert one.message == "In Sailing, the radio stands at 9.7 V all the while; it needs 10.0 V."
    assert found(10.3) == []


def test_within_a_range_of_needs_it_cannot_be_told() -> None:
    (one,) = found(10.2, {"low": 9.5, "high": 10.5})

    assert one.severity == "cannot-tell"
    assert one.limit is not None
    assert one.limit.value == 10.5
    assert "it needs 9.5 to 10.5 V" in one.message
    assert [one.severity for one in found(9.4, {"low": 9.5, "high": 10.5})] == ["fault"]


def test_an_assumed_need_is_to_be_looked_up() -> None:
    """Electronics on 12 V are assumed to restart below 10 V, from memory."""
    (one,) = found(9.6, None)

    assert (one.severity, one.source_status) == ("cannot-tell", "memory")
    assert "look up what its maker says" in one.message
    assert found(10.5, None) == []


def test_a_lamp_has_no_need_and_what_is_off_is_not_judged() -> None:
    lamp = {
        "role": "lights",
        "inputs": [{"id": "main", "demand": {"kind": "constant-current", "current_a": 1.0}}],
    }

    assert found(8.0, None, **lamp) == []
    body = small()
    body["modes"][0]["on"] = []
    part(body, "house")["rest_voltage_v"] = 9.0
    boat = read(body)
    assert list(low_voltages(boat, analyse_mode(boat, "sailing"))) == []
