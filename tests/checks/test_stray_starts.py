"""Starting current in thin wires beside its way, against Kirchhoff's division and the adiabatic limit."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.checks.stray_starts import starts_beside_their_way
from server.engine.analysis import analyse_mode
from server.engine.event_currents import event_currents, start_currents
from server.engine.solution import Solution
from tests.engine.boats import boat, part, wire

THIN = {"label": "16 AWG", "area_mm2": 1.31, "resistance_ohm_per_m": 0.0134}
THICK = {"label": "4/0 AWG", "area_mm2": 107.0, "resistance_ohm_per_m": 0.00016}


def bonded(strap_ohm: float, *, insulation_c: float | None = 105.0, **starter: object) -> Boat:
    """A thin bonding wire beside a strap, both from the block to the negative bar."""
    thin = wire("bond", "block.stud-2", "bar.stud-3", size=THIN, insulation_c=insulation_c, length_m=1.0)
    strap = wire("w-strap", "block.stud-3", "bar.stud-1", size=THICK, measured_resistance_ohm=strap_ohm)
    thick = [
        wire(name, *ends, size=THICK, length_m=0.5)
        for name, ends in {
            "w-battery": ("battery.positive", "fuse.line"),
            "w-start": ("switch.out", "starter.supply"),
        }.items()
    ]
    return boat(parts=[part("starter", **starter)], conductors=[thin, strap, *thick])


def found(one: Boat) -> list[Finding]:
    return list(starts_beside_their_way(one, analyse_mode(one, "starting")))


def test_a_bonding_wire_beside_a_poor_strap_carries_its_share_of_the_start() -> None:
    """Two ways in parallel divide the current as their conductances (Kirchhoff)."""
    one = bonded(0.004)
    (told,) = found(one)
    event = Solution.of(one, "starting").events[0].id
    amps = start_currents(one, "starting", event)

    assert (told.code, told.severity, told.subjects) == ("start-beside-its-way", "advice", ("bond",))
    assert told.figure is not None
    assert told.limit is not None
    assert told.limit.value == 25.0
    assert told.figure.value == pytest.approx(amps["bond"])
    ohm = {"bond": 0.0134 * (1 + 0.00393 * 20) + 0.0005, "w-strap": 0.004}
    assert amps["bond"] / amps["w-strap"] == pytest.approx(ohm["w-strap"] / ohm["bond"], rel=0.05)
    assert "which may carry 25 A all day" in told.message


def test_a_start_that_lasts_longer_than_the_wire_is_a_danger() -> None:
    """By (k S / I)² with k at most 134.8 for 105 °C insulation: 1.31 mm² stands 100 A for 3.1 s."""
    (told,) = found(bonded(0.01, duty_on_s=10.0))

    assert told.figure is not None
    assert (134.8 * 1.31 / told.figure.value) ** 2 < 10
    assert told.severity == "danger"


def test_a_little_more_than_all_day_is_told_too() -> None:
    (told,) = found(bonded(0.002))

    assert told.figure is not None
    assert 25 < told.figure.value < 50
    assert told.severity == "advice"


def test_a_sound_strap_leaves_the_bonding_wire_alone() -> None:
    assert found(bonded(0.0002)) == []


def test_without_an_ampacity_what_would_burn_within_the_start_is_told() -> None:
    (told,) = found(bonded(0.01, insulation_c=None))

    assert told.limit is None
    assert told.source.startswith("adiabatic limit")
    assert found(bonded(0.002, insulation_c=None)) == []


def test_what_is_meant_to_share_is_left_alone() -> None:
    plain = bonded(0.004)
    wires = [
        one.model_copy(update={"parallel_group": "strap"}) if one.id == "bond" else one
        for one in plain.conductors
    ]
    assert found(plain.model_copy(update={"conductors": tuple(wires)})) == []


def test_a_start_that_draws_nothing_asks_nothing() -> None:
    dark = {"id": "starting", "name": "Dark", "positions": [{"part": "switch", "position": "off"}]}
    one = boat(modes=[{**dark, "on": [{"part": "starter"}]}])

    assert found(one) == []


def test_a_wire_without_a_length_is_named_without_one() -> None:
    plain = bonded(0.004)
    wires: list[Any] = [
        one.model_copy(update={"length_m": None, "measured_resistance_ohm": 0.015})
        if one.id == "bond"
        else one
        for one in plain.conductors
    ]
    (told,) = found(plain.model_copy(update={"conductors": tuple(wires)}))

    assert "of 16 AWG, which may carry" in told.message


def test_what_the_start_adds_is_less_than_what_runs_by_what_ran_before() -> None:
    one = bonded(0.004)
    event = Solution.of(one, "starting").events[0].id

    added, runs = start_currents(one, "starting", event), event_currents(one, "starting", event)

    assert 0 < runs["w-battery"] - added["w-battery"] < 4
