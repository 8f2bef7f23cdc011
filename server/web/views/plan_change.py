"""What a change of the plan did, in words: conductors, drops, loads and findings before and after."""

from dataclasses import dataclass

from server.actions.plan_changes import AmpacityChange, DropChange, PlanChange, WireChange
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.value import Span
from server.web.views.changes import STEPS, pair_view
from server.web.views.figures import NONE, per_cent
from server.web.views.forms import FormView
from server.web.views.lengths import BASES, conductor_name

MOST_TOLD = 12
_HOT = {"yes": "in the engine space", "no": "outside engine spaces", None: ""}


@dataclass(frozen=True)
class BeforeAfterView:
    """One thing before and after."""

    name: str
    before: str
    after: str
    note: str


@dataclass(frozen=True)
class PlanChangeView:
    """``plan/_change.html``: what the last change on the plan did; empty until there is one."""

    label: str = ""
    headline: str = ""
    wires: tuple[BeforeAfterView, ...] = ()
    more_wires: str = ""
    carries: tuple[BeforeAfterView, ...] = ()
    more_carries: str = ""
    drops: tuple[BeforeAfterView, ...] = ()
    loads: tuple[BeforeAfterView, ...] = ()
    removed: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    unjudged: tuple[str, ...] = ()
    undo: FormView | None = None


def plan_change_view(boat: Boat, change: PlanChange, undo: FormView | None) -> PlanChangeView:
    """Before and after the last change."""
    compared = change.compared
    moved = () if compared is None else tuple(p for p in compared.pairs if p.direction != "unchanged")
    return PlanChangeView(
        label=STEPS[change.revision.step] + (change.revision.label or "an edit"),
        headline=_headline(change),
        wires=tuple(_wire(boat, one) for one in change.wires[:MOST_TOLD]),
        more_wires=_more(len(change.wires) - MOST_TOLD),
        carries=tuple(_carried(boat, one) for one in change.carries[:MOST_TOLD]),
        more_carries=_more(len(change.carries) - MOST_TOLD),
        drops=tuple(drop for drop in map(_drop, change.drops) if drop.before != drop.after),
        loads=tuple(
            BeforeAfterView(one.name, one.before, one.after, one.direction) for one in map(pair_view, moved)
        ),
        removed=() if compared is None else compared.removed,
        added=() if compared is None else compared.added,
        unjudged=() if compared is None else compared.unjudged,
        undo=undo,
    )


def length_words(conductor: Conductor) -> str:
    """A length with how it came about.

    >>> length_words(Conductor(id="w", kind="wire", length_m=4.5, length_basis="routed"))
    '4.50 m, along the cable run'
    """
    length = conductor.length_m
    if length is None:
        return "not known"
    told = f"{length.low:g} to {length.high:g} m" if isinstance(length, Span) else f"{length:.2f} m"
    basis = BASES[conductor.length_basis]
    return f"{told}, {basis}" if basis else told


def wire_name(boat: Boat, conductor: Conductor) -> str:
    """A conductor as it is called, with the parts at its ends where it has no name of its own."""
    if conductor.name is not None:
        return conductor.name
    names = {part.id: part.name for part in boat.parts}
    ends = ["loose end" if end is None else names[end.part] for end in (conductor.tail, conductor.head)]
    number = conductor_name(boat, conductor) if conductor.cable is not None else "wire"
    return f"{number[0].upper()}{number[1:]}, {ends[0]} to {ends[1]}"


def _headline(change: PlanChange) -> str:
    count = len(change.wires)
    if not count:
        return "No conductor is longer, shorter or warmer than before."
    lengths = [
        (one.before.length_m, one.after.length_m)
        for one in change.wires
        if isinstance(one.before.length_m, float) and isinstance(one.after.length_m, float)
    ]
    more = sum(after - before for before, after in lengths)
    sign = "more" if more >= 0 else "less"
    which = "1 conductor changes" if count == 1 else f"{count} conductors change"
    return f"{which}: {abs(more):.1f} m {sign} in all."


def _wire(boat: Boat, one: WireChange) -> BeforeAfterView:
    was, now = _HOT[one.before.in_engine_space], _HOT[one.after.in_engine_space]
    note = "" if was == now else (now or "not known whether in the engine space")
    return BeforeAfterView(
        wire_name(boat, one.after), length_words(one.before), length_words(one.after), note
    )


def _carried(boat: Boat, one: AmpacityChange) -> BeforeAfterView:
    told = [f"beside {one.beside} other{'s' if one.beside > 1 else ''}"] if one.beside else []
    told += [words for words in (_HOT[one.conductor.in_engine_space],) if words]
    told += ["from memory, confirm in the standard"] if one.after.status == "memory" else []
    before, after = (f"{figure.value:.3g} A" for figure in (one.before, one.after))
    return BeforeAfterView(wire_name(boat, one.conductor), before, after, "; ".join(told))


def _drop(one: DropChange) -> BeforeAfterView:
    limit = "" if one.limit is None else f"limit {per_cent(one.limit)}"
    return BeforeAfterView(one.name, per_cent(one.before), per_cent(one.after), limit or NONE)


def _more(count: int) -> str:
    if count <= 0:
        return ""
    return "and 1 more conductor" if count == 1 else f"and {count} more conductors"
