"""Puts lists of findings together, and one finding opened."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from server.actions import in_time
from server.actions.answers import answer
from server.actions.findings import all_findings, not_assessed
from server.actions.mending import finding_of, trial
from server.actions.yard import OpenBoat, Yard
from server.units import Second
from server.web.views.finding_filter import FindingFilter
from server.web.views.finding_opened import (
    MendsView,
    OpenedView,
    Typed,
    accept_view,
    mends_view,
    opened_view,
)
from server.web.views.findings import MEND_CAUTION, FindingsView, Listing, counted
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.boat.finding import Finding
    from server.engine.answer import ModeAnswer


def findings_view(
    opened: OpenBoat, listing: Listing, found: "Sequence[Finding]", left_open: "Sequence[str]"
) -> FindingsView:
    """Findings with what was not assessed and not seen beside them."""
    return FindingsView(
        title=counted(found),
        groups=listing.groups(found),
        clean="" if found else "Nothing was found in what was entered.",
        caution=MEND_CAUTION if found else "",
        not_assessed=tuple(text for text in left_open if not text.startswith(_NOT_SEEN)),
        not_seen=tuple(gap.what for gap in opened.boat.not_seen),
        accepted=listing.accepted(found),
    )


BUDGET_S: Second = 0.7
"""For so long mends are tried before those that were found are shown."""
_NOT_SEEN = "not seen: "
"""How an answer marks what the document itself says was not seen, which has a heading of its own."""


def all_findings_view(yard: Yard, opened: OpenBoat, listing: Listing, chosen: FindingFilter) -> FindingsView:
    """The findings of all modes that a filter shows."""
    found = [one for one in all_findings(yard, opened.sha, opened.boat) if chosen.shows(one)]
    view = findings_view(opened, listing, found, not_assessed(yard, opened.sha, opened.boat))
    if found or not chosen.pairs:
        return view
    return replace(view, title="none of these", clean="No finding of this choice.")


def opened_finding(  # noqa: PLR0913 - each names one thing of the finding
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    finding_id: str,
    *,
    kept: tuple[tuple[str, str], ...] = (),
    in_place: bool = False,
    waits: bool = False,
    typed: "Typed | None" = None,
) -> OpenedView:
    """One finding with its arithmetic; its mends follow, unless who asks ``waits`` for all of them.

    ``kept`` is what its forms carry along, so that the same choice of findings comes back after them.

    Raises:
        UnknownChoiceError: there is no such finding.
    """
    from server.checks.accepted import come_back
    from server.checks.mending.patient import Patient
    from server.checks.working import working

    boat = opened.boat
    finding = finding_of(yard, opened.sha, boat, finding_id)
    modes = tuple(_in_time(yard, opened, mode.id) for mode in boat.modes)
    if finding.accepted is not None:
        mends = MendsView(f"mends-{finding.id}")
    elif waits:
        mends = mends_of(yard, opened, state, finding_id, in_place=in_place, budget_s=math.inf)
    else:
        mends = MendsView(
            f"mends-{finding.id}",
            more_url=_mends_url(state, finding_id, 0, in_place=in_place),
            wait_url=state.url("/findings/one", finding=finding_id, mends="all", **dict(kept)),
            in_place=in_place,
        )
    return opened_view(
        state,
        boat,
        opened.rev,
        finding,
        working(Patient(boat, finding, modes)),
        mends,
        accept=accept_view(state, opened.rev, finding, typed or Typed(), dict(kept)),
        kept=dict(kept),
        come_back=come_back(boat, finding),
    )


def mends_of(  # noqa: PLR0913 - each names one thing of the finding
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    finding_id: str,
    *,
    in_place: bool,
    shown: int = 0,
    budget_s: Second = BUDGET_S,
) -> MendsView:
    """The mends of a finding beyond those ``shown`` that are found within some time; the rest follows.

    Raises:
        UnknownChoiceError: there is no such finding.
    """
    finding = finding_of(yard, opened.sha, opened.boat, finding_id)
    tried = trial(yard, opened.sha, opened.boat, finding_id)
    found = tried.go_on(budget_s)
    more_url = "" if tried.is_over else _mends_url(state, finding_id, len(found), in_place=in_place)
    return mends_view(state, opened.rev, finding, found, shown=shown, more_url=more_url, in_place=in_place)


def _mends_url(state: ViewState, finding_id: str, shown: int, *, in_place: bool) -> str:
    more = {"bench": "yes"} if in_place else {}
    return state.url("/findings/mends", finding=finding_id, shown=str(shown), **more)


def _in_time(yard: Yard, opened: OpenBoat, mode: str) -> "ModeAnswer":
    return in_time.whole(yard, opened.sha, opened.boat, answer(yard, opened.sha, opened.boat, mode))
