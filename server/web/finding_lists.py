"""Puts lists of findings together, and one finding opened."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from server.actions import in_time
from server.actions.answers import answer
from server.actions.findings import all_findings, not_assessed
from server.actions.mending import finding_of, offers
from server.actions.yard import OpenBoat, Yard
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
    """One finding with its arithmetic; its mends follow, unless the page waits for them.

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
        mends = mends_of(yard, opened, state, finding_id, in_place=in_place)
    else:
        more = {"bench": "yes"} if in_place else {}
        more_url = state.url("/findings/mends", finding=finding_id, **more)
        mends = MendsView(f"mends-{finding.id}", more_url=more_url, in_place=in_place)
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


def mends_of(yard: Yard, opened: OpenBoat, state: ViewState, finding_id: str, *, in_place: bool) -> MendsView:
    """The mends of a finding, each with what it does to all others.

    Raises:
        UnknownChoiceError: there is no such finding.
    """
    finding = finding_of(yard, opened.sha, opened.boat, finding_id)
    offered = offers(yard, opened.sha, opened.boat, finding_id)
    return mends_view(state, opened.rev, finding, offered, in_place=in_place)


def _in_time(yard: Yard, opened: OpenBoat, mode: str) -> "ModeAnswer":
    return in_time.whole(yard, opened.sha, opened.boat, answer(yard, opened.sha, opened.boat, mode))
