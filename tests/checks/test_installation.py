"""Sizes, sparks, earth links and metal as a return, one broken at a time on the small boat."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled
from server.checks.installation import earth_links, metal_as_return, sparks_in_vapour, thin_conductors
from tests.checks.small import move, part, read, small, wire


def only(check: Callable[[Boat], Iterator[Finding]], document: dict[str, Any]) -> Finding:
    (found,) = check(read(document))
    return found


def thin(label: str, area_mm2: float, **more: object) -> dict[str, Any]:
    body = small()
    size = {"label": label, "area_mm2": area_mm2, "resistance_ohm_per_m": 0.02}
    next(one for one in body["conductors"] if one["id"] == "c4").update(size=size, **more)
    return body


def test_a_conductor_by_itself_is_at_least_16_awg() -> None:
    """33 CFR 183.425(e): law for petrol inboards, a yardstick for the others."""
    found = only(thin_conductors, thin("18 AWG", 0.82))
    law = thin("18 AWG", 0.82) | {"practice": {"propulsion_fuel": "petrol", "propulsion": "inboard"}}

    assert (
        found.message
        == "The radio's positive lead is 18 AWG; 16 AWG is the smallest for a conductor by itself."
    )
    assert found.limit is not None
    assert found.limit.value == pytest.approx(1.31, abs=0.01)
    assert found.rule_kind == "yardstick"
    assert only(thin_conductors, law).rule_kind == "law"


@pytest.mark.parametrize(
    ("label", "area_mm2", "more"),
    [
        ("16 AWG", 1.31, {}),
        ("16 AWG", 1.3, {}),
        ("18 AWG", 0.82, {"sheathed": "yes"}),
        ("20 AWG", 0.52, {"length_m": 0.1}),
    ],
)
def test_large_enough_in_a_sheath_or_a_pigtail_is_not_spoken_of(
    label: str, area_mm2: float, more: dict[str, Any]
) -> None:
    """183.425(d): 18 AWG in a sheath; (g): pigtails under 7 in exempt; 1.3 mm² is how 16 AWG is printed."""
    assert list(thin_conductors(read(thin(label, area_mm2, **more)))) == []


def test_thinner_than_18_awg_is_too_thin_even_in_a_sheath() -> None:
    assert "in a sheath" in only(thin_conductors, thin("20 AWG", 0.52, sheathed="yes")).message


def test_the_metric_practice_starts_at_one_square_millimetre() -> None:
    """ISO 10133:2012 7.7: 1 mm² by itself, 0.75 mm² in a sheath."""
    metric = {"practice": {"profile": "iso-metric"}}

    found = only(thin_conductors, thin("0.75 mm²", 0.75) | metric)

    assert "1 mm² is the smallest" in found.message
    assert found.rule_kind == "standard"
    assert list(thin_conductors(read(thin("0.75 mm²", 0.75, sheathed="yes") | metric))) == []


def in_vapour(protected: str | None) -> dict[str, Any]:
    body = small() | {"zones": [{"id": "bilge", "name": "Engine bilge", "vapour_risk": True}]}
    for name in ("fuse", "house"):
        part(body, name)["zone"] = "bilge"
    if protected is not None:
        part(body, "fuse")["ignition_protected"] = protected
    return body


def test_a_part_that_can_spark_in_vapour_is_a_danger_and_an_unknown_one_is_left_open_by_name() -> None:
    certain, unknown = only(sparks_in_vapour, in_vapour("no")), only(sparks_in_vapour, in_vapour(None))

    assert (certain.severity, certain.subjects) == ("danger", ("fuse",))
    assert (unknown.severity, unknown.subjects) == ("cannot-tell", ("bilge", "fuse"))
    assert unknown.message.endswith("Look for the mark of ignition protection on Main fuse.")
    assert list(sparks_in_vapour(read(in_vapour("yes")))) == []


def test_many_unknown_parts_are_counted_and_motors_are_among_them() -> None:
    body = in_vapour(None)
    pumps = [
        {
            "kind": "load",
            "id": f"pump{n}",
            "name": f"Pump {n}",
            "role": "bilge-pump",
            "zone": "bilge",
            "inputs": [{"id": "main", "demand": {"kind": "constant-current", "current_a": 3.0}}],
        }
        for n in range(4)
    ]
    body["parts"] += pumps

    assert only(sparks_in_vapour, body).message.endswith("on Main fuse, Pump 0, Pump 1 and 2 more.")


def bonded(*links: tuple[str, str]) -> dict[str, Any]:
    body = small()
    body["parts"].append({"kind": "bonding", "id": "hull", "name": "Hull", "role": "hull", "studs": 6})
    body["conductors"] += [wire(f"b{n}", *ends) for n, ends in enumerate(links)]
    return body


def test_a_load_that_returns_by_the_hull_is_a_fault() -> None:
    """ABYC E-11 11.5.4: two wires, the hull is no return."""
    body = bonded(("hull/stud-2", "minus/stud-4"))
    move(body, "c5", "head", "hull/stud-1")

    found = only(metal_as_return, body)

    assert (found.code, found.subjects) == ("metal-as-return", ("radio", "negative"))
    assert list(metal_as_return(read(small()))) == []


def test_one_link_to_the_bonding_is_right_and_two_are_not() -> None:
    one = bonded(("hull/stud-1", "minus/stud-4"))
    two = bonded(("hull/stud-1", "minus/stud-4"), ("hull/stud-2", "engine/stud-2"))

    assert list(earth_links(read(one))) == []
    assert list(earth_links(read(small()))) == []
    found = only(earth_links, two)
    assert (found.severity, found.subjects) == ("advice", ("b0", "b1"))
    assert "where one should" in found.message


def test_with_insulated_poles_no_link_is_allowed() -> None:
    body = bonded(("hull/stud-1", "minus/stud-4")) | {"earthing": {"system": "insulated"}}

    found = only(earth_links, body)

    assert found.severity == "fault"
    assert "1 conductors join the wiring to the bonding where none should" in found.message


def test_the_demo_boats_have_none_of_these() -> None:
    checks = (thin_conductors, sparks_in_vapour, metal_as_return, earth_links)
    for path in sorted(bundled("seed_boats").glob("*.json")):
        boat = read_boat(path.read_bytes())
        assert [found for check in checks for found in check(boat)] == [], path.name


def test_a_link_that_nobody_entered_is_to_be_looked_for_where_the_negative_is_grounded() -> None:
    bus = {"kind": "bonding", "id": "bonding", "name": "Bonding bus", "role": "bonding-bus", "studs": 3}
    body = small() | {"earthing": {"system": "negative-grounded"}}
    assert list(earth_links(read(body))) == []
    body["parts"].append(bus)

    (one,) = earth_links(read(body))

    assert (one.code, one.severity, one.subjects) == ("no-earth-link", "cannot-tell", ("bonding",))
    assert "look for the link at the main negative bus" in one.message
    body["conductors"].append(wire("link", "bonding/stud-1", "minus/stud-5"))
    assert list(earth_links(read(body))) == []
    body["conductors"].pop()
    assert list(earth_links(read(body | {"earthing": {"system": "insulated"}}))) == []
