"""Laws of the checks on random boats: what mends mends, and names mean nothing."""

import json
from typing import Any

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from server.boat.boat import Boat
from server.boat.constructors import at, fuse, wire
from server.boat.document import boat_bytes, read_boat
from server.boat.finding import Finding
from server.boat.leads import lead
from server.checks.judge import findings
from server.engine.analysis import analyse_mode
from tests.boat.strategies import THIN, boats

MODE = "starting"
LAWS = settings(
    max_examples=30, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)


def found(boat: Boat) -> tuple[Finding, ...]:
    return findings(boat, analyse_mode(boat, MODE))


def dangers(every: tuple[Finding, ...]) -> set[tuple[str, tuple[str, ...]]]:
    return {(one.code, one.subjects) for one in every if one.severity == "danger"}


def fused(boat: Boat, load: str) -> Boat:
    """The boat with a 10 A fuse that breaks 20 kA, 0.1 m from where the load's positive lead is tapped in."""
    held = lead(boat, load, "main")
    assert held.tap is not None
    assert held.far == "head"
    added = fuse("added", "Added fuse", 10.0).model_copy(update={"interrupting_a": 20_000.0})
    conductors = tuple(
        one.model_copy(update={"head": at("added.load")}) if one.id == held.last else one
        for one in boat.conductors
    )
    tap = f"{held.tap.part}.{held.tap.terminal}"
    pigtail = wire("pigtail", "added.line", tap, THIN, length_m=0.1)
    return boat.model_copy(update={"parts": (*boat.parts, added), "conductors": (*conductors, pigtail)})


@LAWS
@given(boats(), st.integers(0, 4))
def test_an_adequate_device_removes_unprotected_and_adds_no_danger(boat: Boat, chosen: int) -> None:
    before = found(boat)
    bare = [one for one in before if one.code == "unprotected-lead"]
    assume(bare)
    load, name = bare[chosen % len(bare)].subjects

    after = found(fused(boat, load))

    assert ("unprotected-lead", (load, name)) in dangers(before)
    assert ("unprotected-lead", (load, name)) not in dangers(after)
    assert dangers(after) <= dangers(before)


def renamed(boat: Boat) -> Boat:
    """The same boat with other ids and names of all parts."""
    body = json.loads(boat_bytes(boat))
    ids = {part["id"]: f"x{number}" for number, part in enumerate(body["parts"])}
    for part in body["parts"]:
        part["id"], part["name"] = ids[part["id"]], f"Thing {part['id']}"
    return read_boat(json.dumps(_mapped(body, ids)).encode())


def _mapped(value: object, ids: dict[str, str], key: str = "") -> object:
    if isinstance(value, dict):
        return {name: _mapped(one, ids, name) for name, one in value.items()}
    if isinstance(value, list):
        return [_mapped(one, ids, key) for one in value]
    if isinstance(value, str) and key in {"part", "subject", "subjects", "engine", "parts"}:
        return ids.get(value, value)
    return value


def said(every: tuple[Finding, ...], ids: dict[str, str]) -> list[tuple[Any, ...]]:
    """What findings say, without names; subjects as they would be called after the renaming."""
    return sorted(
        (
            one.code,
            one.severity,
            tuple(sorted(_subject(subject, ids) for subject in one.subjects)),
            None if one.figure is None else round(one.figure.value, 9),
            None if one.limit is None else round(one.limit.value, 9),
            one.source,
        )
        for one in every
    )


def _subject(subject: str, ids: dict[str, str]) -> str:
    part, dot, rest = subject.partition(".")
    return ids.get(part, part) + dot + rest


@LAWS
@given(boats())
def test_renaming_changes_nothing(boat: Boat) -> None:
    ids = {part.id: f"x{number}" for number, part in enumerate(boat.parts)}

    assert said(found(renamed(boat)), {}) == said(found(boat), ids)
