"""Breakers against ABYC E-11's table by cranking rating, as publicly reprinted."""

from typing import Any

import pytest

from server.actions.mending import offers
from server.actions.results import Results
from server.boat.finding import Finding
from server.checks.interrupting import breakers_below_table
from tests.checks.small import move, part, read, small, wire


def main_breaker(cca: float | None, breaks_a: float | None, **battery: object) -> dict[str, Any]:
    body = small()
    part(body, "fuse").update({"kind": "breaker", "name": "Main breaker", "interrupting_a": breaks_a})
    part(body, "house").update({"cranking_a": cca, **battery})
    return body


def found(body: dict[str, Any]) -> list[Finding]:
    return list(breakers_below_table(read(body)))


@pytest.mark.parametrize(
    ("cca", "asked"), [(650.0, 1500.0), (651.0, 3000.0), (1100.0, 3000.0), (1101.0, 5000.0)]
)
def test_a_main_breaker_answers_to_the_tables_first_column(cca: float, asked: float) -> None:
    """12 and 24 V: to 650 CCA 1500 A, to 1100 CCA 3000 A, above 5000 A."""
    (one,) = found(main_breaker(cca, asked - 1))

    assert (one.code, one.severity, one.subjects) == ("interrupting-below-table", "fault", ("fuse", "fuse"))
    assert one.limit is not None
    assert (one.limit.value, one.source_status, one.rule_kind) == (asked, "verified", "standard")
    assert "of a main breaker" in one.message
    assert found(main_breaker(cca, asked)) == []


def test_a_branch_breaker_answers_to_the_second_column() -> None:
    """900 CCA: 3000 A of a main breaker, 1500 A of a branch one."""
    body = main_breaker(900.0, 3000.0)
    move(body, "c4", "head", "own/line")
    body["parts"].append(
        {"kind": "breaker", "id": "own", "name": "Radio breaker", "rating_a": 5.0, "interrupting_a": 1000.0}
    )
    body["conductors"].append(wire("c4b", "own/load", "radio/main"))

    (one,) = found(body)

    assert one.subjects == ("own", "own")
    assert "table asks for 1,500 A of a branch breaker" in one.message


def test_batteries_in_parallel_add_and_those_in_series_do_not() -> None:
    body = main_breaker(600.0, 1500.0)
    assert found(body) == []
    second = {**part(body, "house"), "id": "second", "name": "Second"}
    body["parts"].append(second)
    body["conductors"] += [
        wire("j1", "second/positive", "house/positive"),
        wire("j2", "second/negative", "house/negative"),
    ]
    assert len(found(body)) == 1
    series = main_breaker(600.0, 1500.0, nominal_voltage_v=6.0)
    series["parts"].append({**part(series, "house"), "id": "second", "name": "Second"})
    series["conductors"] += [wire("j", "second/positive", "house/negative")]
    assert found(series) == []


@pytest.mark.parametrize(
    "battery", [{"cranking_standard": "en"}, {"capacity_ah": 600.0}, {"chemistry": "lifepo4"}]
)
def test_beyond_the_table_the_makers_figure_decides_instead(battery: dict[str, object]) -> None:
    cca = None if "chemistry" in battery else 900.0

    assert found(main_breaker(cca, 1000.0, **battery)) == []


def test_fuses_unstated_ratings_and_another_practice_are_left_out() -> None:
    fuse = main_breaker(900.0, 1000.0)
    part(fuse, "fuse")["kind"] = "fuse"
    assert found(fuse) == []
    assert found(main_breaker(900.0, None)) == []
    metric = main_breaker(900.0, 1000.0) | {"practice": {"profile": "iso-metric"}}
    assert found(metric) == []


def test_a_panel_without_figures_is_left_out_and_a_main_in_it_is_not() -> None:
    body = main_breaker(900.0, 3000.0)
    ways = [{"id": "radio", "name": "Radio", "device_kind": "breaker"}]
    main = {"main_kind": "breaker", "main": {"rating_a": 20.0, "interrupting_a": 1000.0}}
    section = {"id": "dc", "name": "DC", "polarity": "positive", "ways": ways, **main}
    body["parts"].append({"kind": "panel", "id": "panel", "name": "Panel", "sections": [section]})
    move(body, "c4", "head", "panel/dc-feed")
    body["conductors"].append(wire("c4b", "panel/dc-radio", "radio/main"))

    assert [one.subjects for one in found(body)] == [("panel", "panel.dc-feed")]


def test_its_mend_breaks_what_the_table_asks_for() -> None:
    boat = read(main_breaker(900.0, 1500.0))
    (one,) = breakers_below_table(boat)
    (offer,) = offers(Results(), "boat", boat, one.id)

    assert offer.mend.label == "One that can break 3,000 A in place of the main breaker"
