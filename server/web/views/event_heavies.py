"""Every event of the boat in time, each with the load that it hits worst."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.boat.modes import Event
from server.web.views.controls import HeadView
from server.web.views.event_chart import worst_first
from server.web.views.event_figures import VERDICT_MARKS, margin_words
from server.web.views.figures import amperes, sag_volts
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.actions.events_in_time import Figures
    from server.engine.transient.answer import PointAnswer


@dataclass(frozen=True)
class HeavyRowView:
    """One event; ``trouble`` says why there is nothing to be said of it."""

    id: str
    link_id: str
    url: str
    name: str
    mode: str
    inrush: str = ""
    hit: str = ""
    lowest: str = ""
    verdict: str = ""
    verdict_mark: str = ""
    margin: str = ""
    trouble: str = ""


@dataclass(frozen=True)
class HeaviesView:
    """``events/_heavies.html``; ``lost`` is what takes the battery off an alternator in the mode.

    ``coils`` is what each coil does when it is let go.
    """

    rows: tuple[HeavyRowView, ...]
    mode: str
    lost: tuple[str, ...]
    load_dump: str
    coils: tuple[str, ...]


@dataclass(frozen=True)
class HeaviesPageView:
    """``events/all.html``: the same on a page of its own, for readers without script."""

    title: str
    head: HeadView
    heavies: HeaviesView
    back_url: str


def heavy_row(event: Event, mode_name: str, figures: "Figures", state: ViewState) -> HeavyRowView:
    """One event in time, or the reason why it is not."""
    row = HeavyRowView(
        id=f"event-heavy-{event.id}",
        link_id=f"event-heavy-{event.id}-link",
        url=replace(state, mode=event.mode, event=event.id).url(),
        name=event.name.removesuffix(f" in {mode_name}"),
        mode=mode_name,
    )
    if figures.why:
        return replace(row, trouble=figures.why)
    heavy = f"{event.heavy.part}.{event.heavy.input}"
    others = (point for key, point in figures.points.items() if key != heavy)
    hit = min(others, key=worst_first, default=None)
    if hit is None:
        return replace(row, inrush=amperes(figures.inrush_a), hit="nothing else is on")
    return replace(
        row,
        inrush=amperes(figures.inrush_a),
        hit=hit.name,
        lowest=sag_volts(hit.lowest.value),
        verdict=VERDICTS[hit.verdict],
        verdict_mark=VERDICT_MARKS[hit.verdict],
        margin=f"{margin_words(hit)}{_ridden(hit)}",
    )


def _ridden(hit: "PointAnswer") -> str:
    """What makes a load keep running though it has less than it needs for a while."""
    return ", and rides that through" if hit.verdict == "keeps-running" and hit.below_need_s > 0 else ""
