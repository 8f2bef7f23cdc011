"""The checks find what was planted in the demo boats, and nothing where nothing was planted.

The planted faults and their figures stand in the key beside the seed tests, written from the boats' drawings.
"""

import pytest

from server.actions.findings import all_findings
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled


def boat(name: str) -> Boat:
    return read_boat((bundled("seed_boats") / f"{name}.json").read_bytes())


def found(name: str) -> tuple[Finding, ...]:
    return all_findings(Results(), name, boat(name))


def named(findings: tuple[Finding, ...]) -> set[tuple[str, str]]:
    """Code and first subject of each finding."""
    return {(one.code, one.subjects[0]) for one in findings}


def test_the_sloops_planted_faults_are_found_and_nothing_else() -> None:
    assert named(found("1-sloop")) == {
        ("restarts", "autopilot"),
        ("returned-to-block", "autopilot"),
        ("drop-too-close", "autopilot"),
        ("uncounted", "fridge"),
        ("drop-over-limit", "tricolour"),
        ("device-above-conductor", "heater-pos"),
        ("device-above-negative", "heater-neg"),
        ("fault-does-not-open", "heater"),
        ("link-offset", "instrument-link"),
        ("monitor-error", "shunt"),
    }


def test_the_trawlers_planted_faults_are_found() -> None:
    hit = named(found("2-trawler"))

    assert {("device-above-conductor", "combiner-b"), ("uncounted", "inverter")} <= hit
    assert {part for code, part in hit if code == "restarts"} >= {"radar", "ais"} or "radar" in str(hit)


def test_the_workboats_thin_strap_leaves_one_control_unit_too_close_to_call() -> None:
    """It is below its 15 V for about as long as the 20 ms that it rides through."""
    hit = [one for one in found("3-workboat") if one.event == "star-start" and "link" not in one.code]

    assert [(one.code, one.subjects[0]) for one in hit] == [("too-close", "star-engine-control")]
    assert "and rides through 20 ms: too close to call." in hit[0].message


@pytest.mark.parametrize("name", ["4-outboard", "5-large-yacht"])
def test_a_boat_without_planted_faults_is_clean(name: str) -> None:
    assert found(name) == ()


def test_every_finding_says_what_against_which_limit_and_from_which_source() -> None:
    for name in ("1-sloop", "2-trawler", "3-workboat"):
        for one in found(name):
            assert one.message.endswith(".")
            assert one.source
            assert one.limit is None or one.figure is not None


def test_a_finding_keeps_its_id_and_no_two_share_one() -> None:
    first, second = found("2-trawler"), found("2-trawler")

    assert [one.id for one in first] == [one.id for one in second]
    assert len({one.id for one in first}) == len(first)


def test_mends_never_lead_to_a_block_or_a_battery_post() -> None:
    for name in ("1-sloop", "2-trawler", "3-workboat"):
        kinds = {part.id: part.kind for part in boat(name).parts}
        for one in found(name):
            for mend in one.mends:
                for edit in mend.edits:
                    assert edit.kind == "move-lead"
                    assert kinds[edit.to.part] not in {"battery", "engine-block"}
