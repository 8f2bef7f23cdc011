"""A boat whose practice names an office's own table is judged by it; the figures are made up."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.edits import ChangeValue, apply
from server.checks.judge import not_assessed
from server.checks.protection import conductor_ampacity
from server.checks.ratings import overloaded_conductors
from server.engine.analysis import analyse_mode
from server.practice.office_text import read_office_table
from server.practice.sourced import NoFigure, Sourced
from tests.checks.small import read, small
from tests.practice.test_office import HEAD


def metric(rows: str | None) -> Boat:
    """The small boat in 6 mm² by metric practice, with an office's table or without."""
    body: dict[str, Any] = small() | {"practice": {"profile": "iso-metric"}}
    size = {"label": "6 mm²", "area_mm2": 6.0, "resistance_ohm_per_m": 0.0033}
    body["conductors"] = [one | {"size": size} for one in body["conductors"]]
    boat = read(body)
    if rows is None:
        return boat
    table = read_office_table(HEAD + rows).model_dump(mode="json")
    return apply(boat, ChangeValue(field="practice.ampacity_table", value=table))


def ampacity(boat: Boat, **change: object) -> Sourced | NoFigure:
    return conductor_ampacity(boat, boat.conductors[0].model_copy(update=change))


def test_without_a_table_nothing_passes_and_nothing_fails() -> None:
    boat = metric(None)

    assert isinstance(ampacity(boat), NoFigure)
    assert any("table not shipped" in one for one in not_assessed(boat))


def test_with_a_table_the_finding_says_whose_figure_it_is() -> None:
    """20 W of a radio through 6 mm² that is allowed 1 A by the made-up table."""
    boat = metric("size; 90; 105\n6; 1; 1\n")

    found = list(overloaded_conductors(boat, analyse_mode(boat, "sailing")))

    assert found
    assert found[0].severity == "danger"
    assert found[0].source_status == "office"
    assert found[0].source.startswith(
        "office's own table, Made-up standard, edition 2099, table 1, typed by A. Bee"
    )
    assert not any("table not shipped" in one for one in not_assessed(boat))
    roomy = metric("size; 90; 105\n6; 50; 60\n")
    assert list(overloaded_conductors(roomy, analyse_mode(roomy, "sailing"))) == []


def test_engine_space_and_bundle_are_those_of_the_conductor() -> None:
    boat = metric("size; 105\n6; 50\nengine space; 0.5\nbundle 2+; 0.8\n")
    bundled = boat.model_copy(
        update={"conductors": tuple(one.model_copy(update={"bundle": "loom"}) for one in boat.conductors)}
    )

    values = [
        one.value
        for one in (ampacity(boat), ampacity(boat, in_engine_space="yes"), ampacity(bundled))
        if isinstance(one, Sourced)
    ]

    assert values == [50.0, 25.0, 40.0]


def test_a_document_keeps_its_table() -> None:
    boat = metric("size; 105\n6; 50\nengine space; 0.5\nbundle 2+; 0.8\n")

    assert Boat.model_validate_json(boat.model_dump_json(exclude_none=True)) == boat
    without = apply(boat, ChangeValue(field="practice.ampacity_table", value=None))
    assert without.practice.ampacity_table is None


def makers(amps: float | None, **conductor: object) -> Sourced | NoFigure:
    body = small()
    stated = {} if amps is None else {"makers_ampacity_a": amps}
    body["cables"] = [{"id": "reel", "construction": "single"} | stated]
    body["conductors"][0] |= {"cable": "reel", **conductor}
    boat = read(body)
    return conductor_ampacity(boat, boat.conductors[0])


def test_the_cable_makers_figure_goes_before_every_table() -> None:
    """10 AWG of 105 °C may carry 60 A by 33 CFR 183.425 Table 5; in an engine space 0.85 of it (note 1)."""
    table, own = makers(None), makers(72.0)
    hot, unknown = makers(72.0, in_engine_space="yes"), makers(72.0, in_engine_space="yes", insulation_c=None)
    thin = makers(72.0, in_engine_space="yes", insulation_c=50.0)

    assert isinstance(table, Sourced)
    assert isinstance(own, Sourced)
    assert isinstance(hot, Sourced)
    assert (table.value, own.value, own.status) == (60.0, 72.0, "office")
    assert own.source == "the cable maker's figure, as entered"
    assert hot.value == pytest.approx(72.0 * 0.85)
    assert isinstance(unknown, NoFigure)
    assert "insulation temperature is not stated" in unknown.reason
    assert isinstance(thin, NoFigure)
