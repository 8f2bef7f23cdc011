"""Mends are reasonable jobs: near, no larger device than now, good in every event of the mode.

The bounds are our own (common practice, no source).
"""

import pytest

from server.actions.choices import Chosen
from server.actions.findings import all_findings
from server.actions.mending_moves import kept_moves
from server.actions.pick_ups import lead_ends
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.edits import MoveLead, apply
from server.boat.finding import Finding
from server.boat.leads import lead
from server.boat.value import nominal
from server.bundled import bundled
from server.checks.events import event_findings
from server.engine.analysis import analyse_mode


def boat(name: str) -> Boat:
    return read_boat((bundled("seed_boats") / f"{name}.json").read_bytes())


def offered(name: str) -> list[tuple[Finding, MoveLead]]:
    """The moves that are looked for first where a load restarts or is too close to call."""
    results, whole = Results(), boat(name)
    found = list[tuple[Finding, MoveLead]]()
    for finding in all_findings(results, name, whole):
        if finding.code in {"restarts", "too-close"} and finding.mode is not None:
            part, terminal = finding.subjects
            chosen = Chosen(finding.mode, finding.event)
            mends = kept_moves(results, name, whole, part, terminal, chosen)
            edits = [edit for mend in mends for edit in mend.edits]
            found += [(finding, edit) for edit in edits if isinstance(edit, MoveLead)]
    return found


@pytest.mark.parametrize("name", ["1-sloop", "2-trawler", "3-workboat"])
def test_a_mend_is_near_and_holds_in_every_event_of_the_mode(name: str) -> None:
    found = boat(name)
    mends = offered(name)
    assert mends
    for finding, move in mends:
        moved = apply(found, move)
        last = lead(found, move.part, move.terminal).last
        before, after = (
            next(one.length_m for one in one_boat.conductors if one.id == last) for one_boat in (found, moved)
        )
        if before is not None and after is not None:
            assert nominal(after) <= 2 * nominal(before) + 3
        assert move.terminal in lead_ends(found, move.part, finding.subjects[1])
        solved = analyse_mode(moved, str(finding.mode))
        troubled = [one.subjects for one in event_findings(moved, solved)]
        assert finding.subjects not in troubled
