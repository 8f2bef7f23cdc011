"""Leads between two sources: either end can feed a short (ABYC E-11 11.10.1.1.1, 7 in from each source)."""

from typing import Any

import pytest

from server.actions.findings import all_findings
from server.actions.mending import offers
from server.actions.results import Results
from server.boat.finding import Finding
from server.checks.location import distant_devices
from server.checks.paths import Paths
from server.checks.protection import oversized_devices
from server.checks.two_sources import (
    alternators_own_end,
    limits_not_stated,
    one_end_unprotected,
    sources_without_device,
)
from tests.checks.small import judged, move, part, read, small, wire


def two_banks(*, near: bool, far: bool, metres: float = 4.0, **lead: object) -> dict[str, Any]:
    """The small boat with a start battery joined to its positive bus, fused at either end or not."""
    body = small()
    body["parts"].append(
        {**part(body, "house"), "id": "start", "name": "Start", "bank": "start", "use": "start"}
    )
    body["conductors"] += [wire("s0", "start/negative", "minus/stud-4")]
    here = "plus/stud-3"
    if near:
        body["parts"].append({"kind": "fuse", "id": "near", "name": "House end fuse", "rating_a": 50.0})
        body["conductors"].append(wire("s1", here, "near/line", length_m=0.1))
        here = "near/load"
    if far:
        body["parts"].append({"kind": "fuse", "id": "far", "name": "Start end fuse", "rating_a": 50.0})
        body["conductors"].append(wire("s3", "far/load", "start/positive", length_m=0.1))
    there = "far/line" if far else "start/positive"
    body["conductors"].append(wire("s2", here, there, length_m=metres, **lead))
    return body


def one_end(body: dict[str, Any]) -> list[Finding]:
    return list(one_end_unprotected(read(body)))


def bare(body: dict[str, Any]) -> list[Finding]:
    return list(sources_without_device(read(body)))


def test_a_lead_fused_at_both_ends_is_sound() -> None:
    assert one_end(two_banks(near=True, far=True)) == []
    assert bare(two_banks(near=True, far=True)) == []


def test_a_lead_fused_at_one_end_is_fed_bare_from_the_other() -> None:
    """The house's own fuse sits a metre from it; the start battery's first device is 5 m along its lead."""
    found = {one.subjects[0]: one for one in one_end(two_banks(near=False, far=False))}
    one = found["fuse"]

    assert (one.code, one.severity, one.rule_kind) == ("one-end-unprotected", "fault", "standard")
    assert one.subjects[1:] == ("s2", "c3", "c2")
    assert one.figure is not None
    assert one.limit is not None
    assert one.figure.value == pytest.approx(4.0 + 1.0 + 1.0)
    assert one.limit.value == pytest.approx(0.1778)
    assert "between the house and the start at the first alone" in one.message


def test_a_second_device_at_the_other_end_clears_it() -> None:
    assert one_end(two_banks(near=False, far=True)) == []


@pytest.mark.parametrize(("sheathed", "told"), [(None, "cannot-tell"), ("no", "fault"), ("yes", None)])
def test_a_sheath_that_nobody_stated_is_asked_for(sheathed: str | None, told: str | None) -> None:
    """In a sheath the whole way 72 in (1.83 m) are allowed from a battery (E-11 exc. 2)."""
    body = two_banks(near=False, far=False, metres=0.5)
    for one in body["conductors"]:
        if one["id"] in {"s2", "c2", "c3"}:
            one.update({"sheathed": sheathed, "length_m": 0.4})

    found = one_end(body)

    assert [one.severity for one in found] == ([told] if told else [])
    assert all(("say whether it runs in a sheath" in one.message) == (sheathed is None) for one in found)


def test_a_limit_from_memory_only_advises() -> None:
    """ISO 10133's 200 mm could not be confirmed."""
    body = two_banks(near=False, far=False) | {"practice": {"profile": "iso-metric"}}
    for one in body["conductors"]:
        one["sheathed"] = "no"
    found = {one.subjects[0]: one for one in one_end(body)}

    assert (found["fuse"].severity, found["fuse"].source_status) == ("advice", "memory")
    assert found["fuse"].message.endswith("confirm that in the standard, and fit a second device there.")


def test_batteries_of_one_bank_need_no_device_between_them() -> None:
    body = two_banks(near=False, far=False)
    part(body, "start").update({"bank": None, "use": "house"})
    part(body, "house").update({"bank": None})
    assert one_end(body) == []
    for name in ("start", "house"):
        part(body, name).update({"bank": None, "use": None})
    assert len(one_end(body)) == 1


def test_banks_joined_by_bare_copper_are_a_danger_told_once() -> None:
    body = two_banks(near=False, far=False)
    body["conductors"] = [one for one in body["conductors"] if one["id"] not in {"c1", "c2"}]
    body["conductors"].append(wire("c1", "house/positive", "switch/in"))

    (one,) = bare(body)

    assert (one.code, one.severity, one.source_status) == ("source-without-device", "danger", "verified")
    assert one.subjects[:2] == ("house", "start")
    assert one.figure is not None
    assert one.figure.value == pytest.approx(1.0 + 1.0 + 4.0)


def test_posts_nearer_than_seven_inches_are_exempt() -> None:
    body = small()
    body["parts"].append({**part(body, "house"), "id": "start", "name": "Start", "bank": "start"})
    body["conductors"].append(wire("j", "start/positive", "house/positive", length_m=0.15))

    assert bare(body) == []


def with_alternator(to: str, metres: float = 2.0) -> dict[str, Any]:
    body = small()
    body["parts"].append({"kind": "alternator", "id": "alt", "name": "Alternator", "rated_current_a": 80.0})
    body["conductors"] += [
        wire("a1", to, "alt/positive", length_m=metres),
        wire("a2", "alt/negative", "engine/stud-2"),
    ]
    return body


def test_an_alternator_on_the_battery_itself_has_a_bare_lead() -> None:
    (one,) = bare(with_alternator("house/positive"))

    assert one.subjects == ("alt", "a1")
    assert "stands between the house and the alternator" in one.message
    assert bare(with_alternator("house/positive", 0.1)) == []


@pytest.mark.parametrize(
    ("limits", "metres", "sheathed", "told"),
    [
        ("no", 2.0, "yes", True),
        ("no", 0.9, "yes", False),
        ("no", 0.9, None, True),
        ("no", 0.1, None, False),
        ("yes", 2.0, None, False),
        (None, 2.0, None, False),
    ],
)
def test_an_alternator_that_does_not_limit_itself_needs_a_device_at_its_own_end(
    limits: str | None, metres: float, sheathed: str | None, told: bool
) -> None:
    """E-11 11.10.1.1.1: 7 in from the source, 40 in (1.02 m) in a sheath; self-limiting ones are excepted."""
    body = with_alternator("own/load", metres)
    part(body, "alt")["self_limiting"] = limits
    body["parts"].append({"kind": "fuse", "id": "own", "name": "Alternator fuse", "rating_a": 60.0})
    body["conductors"].append(wire("a0", "plus/stud-3", "own/line"))
    next(one for one in body["conductors"] if one["id"] == "a1")["sheathed"] = sheathed
    boat = read(body)

    assert [one.subjects for one in alternators_own_end(boat)] == ([("alt", "a1")] if told else [])
    assert bool(limits_not_stated(boat)) == (limits is None)
    metric = read(body | {"practice": {"profile": "iso-metric"}})
    assert list(alternators_own_end(metric)) == []


def test_an_alternator_without_any_device_or_any_lead() -> None:
    body = with_alternator("house/positive")
    part(body, "alt")["self_limiting"] = "no"
    body["parts"] = [one for one in body["parts"] if one["id"] != "fuse"]
    body["conductors"] = [one for one in body["conductors"] if one["id"] not in {"c1", "c2"}]
    (one,) = alternators_own_end(read(body))
    assert "has no device on its lead" in one.message
    body["conductors"] = [one for one in body["conductors"] if one["id"] not in {"a1"}]
    assert list(alternators_own_end(read(body))) == []


def test_an_alternator_behind_the_bank_fuse_is_no_concern_here() -> None:
    assert bare(with_alternator("plus/stud-3")) == []


def test_the_lead_of_an_alternator_answers_to_the_device_at_the_batterys_end() -> None:
    """10 AWG of 105 °C may have 60 A (33 CFR 183.425 Table 5, E-11 100 %)."""
    body = with_alternator("plus/stud-3")
    assert "device-above-conductor" not in judged(body)
    part(body, "fuse")["rating_a"] = 100.0
    boat = read(body)

    found = oversized_devices(boat, Paths(boat, boat.modes[0]))

    assert {one.subjects for one in found} >= {("a1",), ("c3",)}


def test_the_larger_of_two_devices_before_a_lead_counts() -> None:
    """An alternator's own breaker of 100 A is no help to a lead that the battery's 30 A fuse would save."""
    body = with_alternator("own/load")
    body["parts"].append({"kind": "breaker", "id": "own", "name": "Breaker", "rating_a": 100.0})
    body["conductors"].append(wire("a0", "plus/stud-3", "own/line"))
    boat = read(body)

    found = {one.subjects[0]: one for one in oversized_devices(boat, Paths(boat, boat.modes[0]))}

    assert "“Breaker” of 100 A" in found["a1"].message
    assert "“Breaker” of 100 A" in found["a0"].message


def test_a_cranking_lead_is_exempt_until_something_else_hangs_on_it() -> None:
    """E-11 11.10.1.1.1 exc. 1 speaks of the cranking motor's own conductors alone."""
    body = with_alternator("house/positive")
    demand = {"kind": "motor", "running_current_a": 150.0}
    starter = {"kind": "load", "id": "starter", "name": "Starter", "role": "starter", "heavy": True,
               "inputs": [{"id": "motor", "demand": demand}]}  # fmt: skip
    body["parts"].append(starter)
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "a1"]
    body["conductors"] += [
        wire("s1", "house/positive", "starter/motor", length_m=3.0),
        wire("s2", "starter/negative", "engine/stud-3"),
    ]
    assert bare(body) == []
    body["conductors"].append(wire("a1", "starter/motor", "alt/positive"))
    (one,) = bare(body)
    assert one.subjects == ("alt", "s1", "a1")


def test_a_battery_on_nothing_is_asked_nothing() -> None:
    body = small() | {"conductors": []}

    assert bare(body) == []
    assert one_end(body) == []
    assert list(distant_devices(read(body))) == []


@pytest.mark.parametrize("on_a_lead", [True, False])
def test_an_alternators_own_end_is_mended_by_a_fuse_there(on_a_lead: bool) -> None:
    """60 A by its rating; 10 AWG of 105 °C carries 60 A (33 CFR 183.425 Table 5)."""
    body = with_alternator("plus/stud-3")
    part(body, "alt").update({"self_limiting": "no", "rated_current_a": 50.0})
    if not on_a_lead:
        body["parts"] = [one for one in body["parts"] if one["id"] != "fuse"]
        move(body, "c1", "head", "switch/in")
        body["conductors"] = [one for one in body["conductors"] if one["id"] != "c2"]
    boat = read(body)
    one = next(f for f in all_findings(Results(), "boat", boat) if f.code == "source-end-unprotected")
    labels = [offer.mend.label for offer in offers(Results(), "boat", boat, one.id)]

    assert any(
        "60 A fuse in the alternator's positive lead 100 mm from the alternator" in it for it in labels
    )
    assert all(("100 mm from the house" in it) == (not on_a_lead) for it in labels)
