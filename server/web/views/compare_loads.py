"""The loads of two boats side by side, each as its own workbench tells it."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from server.actions.compare import Pair
from server.actions.comparing import Compared
from server.actions.words import VERDICTS
from server.boat.events import events_of
from server.checks.words import listed
from server.web.views.compare_sides import Sides, short_side
from server.web.views.figures import NONE, per_cent, sag_volts
from server.web.views.loads import LoadRowView, basis_words, drop_band, drop_likeliest, rows
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.engine.answer import Drop

DIRECTIONS = {"better": "○ better", "worse": "▽ worse", "unchanged": "– unchanged"}
SIDES: tuple[Literal[0, 1], ...] = (0, 1)


@dataclass(frozen=True)
class LoadsPairView:
    """One load on both boats, each as the workbench tells it."""

    id: str
    name: str
    before: LoadRowView | None
    after: LoadRowView | None
    drop: str
    drop_limit: str
    drop_band: str
    direction: str
    mark: str


@dataclass(frozen=True)
class LoadsView:
    """``compare/_loads.html``: ``more_url`` while the event in time is on its way."""

    first: str
    second: str
    event: str
    headline: str
    counts: str
    basis: str
    rows: tuple[LoadsPairView, ...]
    unchanged: tuple[LoadsPairView, ...]
    lost: str
    more_url: str
    page_url: str


def loads_view(sides: Sides, of: Compared, state: ViewState) -> LoadsView:
    """Every load on both boats, the worse off first."""
    before, after = (_rows(of, state, side) for side in SIDES)
    made = [_pair(of, pair, before, after) for pair in of.pairs]
    event = next((one.name for one in events_of(sides.second.boat) if one.id == state.event), "")
    counts = {way: sum(one.mark == way for one in made) for way in DIRECTIONS}
    refines = of.standing.is_refining
    return LoadsView(
        first=short_side(sides.first, sides.root),
        second=short_side(sides.second, sides.root),
        event=event,
        headline=_headline(of),
        counts=" · ".join(f"{count} {way}" for way, count in counts.items()),
        basis=basis_words(of.standing),
        rows=tuple(one for one in made if one.mark != "unchanged"),
        unchanged=tuple(one for one in made if one.mark == "unchanged"),
        lost=f"Not running any more: {listed(of.lost)}." if of.lost else "",
        more_url=sides.url("/loads", waits="yes", **sides.kept(state)) if refines else "",
        page_url=sides.url(waits="yes", **sides.kept(state)),
    )


def _pair(
    of: Compared, pair: Pair, before: dict[str, LoadRowView], after: dict[str, LoadRowView]
) -> LoadsPairView:
    row = f"load-row-{pair.part}-{pair.input}"
    drop, limit, band = drop_words(*(_drop(of, side, pair) for side in SIDES))
    return LoadsPairView(
        id=f"pair-{pair.part}-{pair.input}",
        name=pair.name,
        before=before.get(row),
        after=after.get(row),
        drop=drop,
        drop_limit=limit,
        drop_band=band,
        direction=DIRECTIONS[pair.direction],
        mark=pair.direction,
    )


def _drop(of: Compared, side: Literal[0, 1], pair: Pair) -> "Drop | None":
    loads = () if of.answers is None else of.answers[side].loads
    return next((load.drop for load in loads if (load.part, load.input) == (pair.part, pair.input)), None)


def drop_words(before: "Drop | None", after: "Drop | None") -> tuple[str, str, str]:
    """Both drops, the limit they are judged by, and the band of the second one where that reaches over it."""
    lost, limits = zip(*(_lost_and_limit(one) for one in (before, after)), strict=True)
    between = f"{lost[0]} → {lost[1]}" if lost[0] != lost[1] else lost[1]
    limit = " → ".join(dict.fromkeys(filter(None, limits)))
    return between, f"limit {limit}" if limit else "", "" if after is None else drop_band(after)


def _lost_and_limit(drop: "Drop | None") -> tuple[str, str]:
    if drop is None:
        return NONE, ""
    return drop_likeliest(drop), "" if drop.limit_fraction is None else per_cent(drop.limit_fraction)


def _rows(of: Compared, state: ViewState, side: Literal[0, 1]) -> dict[str, LoadRowView]:
    if of.answers is None:
        return {}
    return {row.id: row for row in rows(of.answers[side], state.event, state, of.standing.basis)}


def _headline(of: Compared) -> str:
    moved = [pair for pair in of.pairs if pair.direction != "unchanged"]
    if not moved:
        return "No load is noticeably better or worse off."
    most = max(moved, key=lambda pair: abs(pair.gain_v))
    before = _volts(most.before_v, most.before_verdict)
    return f"{most.name}: {before} → {_volts(most.after_v, most.after_verdict)}."


def _volts(value: float | None, verdict: str | None) -> str:
    words = {str(key): word for key, word in VERDICTS.items()}
    return sag_volts(value) + (f", {words[verdict]}" if verdict in words else "")
