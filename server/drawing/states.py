"""What the answers say about the drawn things: currents, what is alive, what a selection lights."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.boat.value import nominal
from server.drawing.circuit import Circuit, Rung, Step, Vertex
from server.drawing.polarity import nominal_side
from server.engine.answer import BranchFlow, EventAnswer, EventInfo, InputAnswer, ModeAnswer, Verdict

VERDICT_WORDS: Mapping[Verdict, str] = {
    "keeps-running": "keeps running",
    "restarts": "restarts",
    "too-close-to-call": "too close to call",
    "limit-not-known": "limit not known",
}
STATE_WORDS = {
    "not-connected": "not connected",
    "switched-off": "switched off",
    "shorted": "shorted",
    "cannot-run": "cannot run",
    "not-solved": "not solved",
}
WORST_FIRST: tuple[Verdict, ...] = ("restarts", "too-close-to-call", "limit-not-known", "keeps-running")


@dataclass(frozen=True, slots=True)
class RungState:
    """What a plate says: figure, verdict in word and shape, steady drop, and a line for those who listen."""

    figure: str = ""
    verdict: Verdict | None = None
    word: str = ""
    drop: str = ""
    spoken: str = ""


@dataclass(frozen=True, slots=True)
class States:
    """Everything the SVG needs from the answers, by element, terminal and rung."""

    currents_a: Mapping[str, float]
    live: frozenset[Vertex] | None
    rungs: Mapping[str, RungState]
    own: frozenset[str]
    shared: frozenset[str]
    selected: str | None
    heavy: str | None = None


def states(  # noqa: PLR0913, PLR0917 - what is told and what it is told about
    boat: Boat,
    c: Circuit,
    answer: ModeAnswer | None,
    event_id: str | None,
    selected: str | None,
    findings: Sequence[Finding] = (),
) -> States:
    """The answers arranged for the drawing; without an answer the picture shows the wiring alone."""
    own = _own_path(c, selected) if selected else frozenset()
    if answer is None:
        return States({}, None, {}, own, frozenset(), selected)
    by_part: dict[str, list[InputAnswer]] = {}
    for load in answer.loads:
        by_part.setdefault(load.part, []).append(load)
    info = next((e for e in answer.events if e.event == event_id), None)
    flows = {flow.element: flow for flow in answer.flows}
    rungs = {
        rung.key: _source_state(rung, flows.get(rung.part), at_event=info is not None)
        if rung.kind == "source"
        else _rung_state(rung, by_part, info, findings)
        for rung in c.rungs
    }
    currents = {
        f.element: f.event_current_a if info and f.event_current_a is not None else f.current_a
        for f in answer.flows
    }
    shared = frozenset(
        share.element
        for load in by_part.get(selected or "", ())
        if (hit := _in_event(load, event_id)) is not None
        for share in hit.shared_path
    )
    return States(
        currents, answer.live_terminals, rungs, own, shared, selected, info.heavy_part if info else None
    )


def _in_event(load: InputAnswer, event_id: str | None) -> EventAnswer | None:
    return next((e for e in load.events if e.event == event_id), None)


def _rung_state(
    rung: Rung, by_part: dict[str, list[InputAnswer]], info: EventInfo | None, findings: Sequence[Finding]
) -> RungState:
    if rung.kind == "fold":
        return _with_findings(_fold_state(rung, by_part, info), rung, findings)
    answers = by_part.get(rung.part, [])
    if not answers or rung.kind not in ("load", "converter"):
        return RungState()
    if info and info.heavy_part == rung.part:
        figure = f"{info.inrush_a:.0f} A" if info.inrush_a is not None else ""
        return RungState(figure, None, "inrush", _drop(answers), f"starts in this event, inrush {figure}")
    fed = [a for a in answers if a.state == "fed"]
    if not fed:
        word = STATE_WORDS.get(answers[0].state, answers[0].state)
        return RungState("", None, word, "", answers[0].reason or word)
    hits = [(hit, a) for a in fed if info and (hit := _in_event(a, info.event)) is not None]
    if not hits:
        volts = min((a.voltage_v for a in fed if a.voltage_v is not None), default=None)
        figure = f"{volts:.1f} V" if volts is not None else ""
        return RungState(
            figure, None, "" if any(a.on for a in fed) else "off in this mode", _drop(fed), figure
        )
    hit, _ = min(hits, key=lambda h: (WORST_FIRST.index(h[0].verdict), h[0].lowest.value))
    word = VERDICT_WORDS[hit.verdict]
    figure = f"{hit.lowest.value:.1f} V low"
    need = f", needs {hit.need_v:.1f} V" if hit.need_v is not None else ""
    return RungState(figure, hit.verdict, word, _drop(fed), f"lowest {hit.lowest.value:.1f} V{need}, {word}")


SMALLEST_CHARGE_A = 0.05
"""What rounds to nothing on a plate."""


def _source_state(rung: Rung, flow: BranchFlow | None, *, at_event: bool) -> RungState:
    """What a charging source of one output gives, and at which voltage."""
    if flow is None or len(rung.left) > 1:
        return RungState()
    amps, volts = flow.current_a, flow.drop_v
    if at_event and flow.event_current_a is not None and flow.event_drop_v is not None:
        amps, volts = flow.event_current_a, flow.event_drop_v
    if abs(amps) < SMALLEST_CHARGE_A:
        return RungState("", None, "gives nothing in this mode")
    figure, at = f"{abs(amps):.0f} A", f"at {abs(volts):.1f} V"
    return RungState(figure, None, f"gives, {at}", "", f"gives {figure} {at}")


def _drop(answers: list[InputAnswer]) -> str:
    worst = max((a.drop.judged_fraction for a in answers if a.drop), default=None)
    return f"{worst * 100:.1f} % drop" if worst is not None else ""


def _fold_state(rung: Rung, by_part: dict[str, list[InputAnswer]], info: EventInfo | None) -> RungState:
    hits = [
        hit
        for part in rung.members
        for a in by_part.get(part, ())
        if info and a.state == "fed" and (hit := _in_event(a, info.event)) is not None
    ]
    count = f"{len(rung.members)} loads"
    if not hits:
        return RungState(count, None, "", "", count)
    worst = min(hits, key=lambda h: (WORST_FIRST.index(h.verdict), h.lowest.value))
    same = sum(h.verdict == worst.verdict for h in hits)
    word = VERDICT_WORDS[worst.verdict]
    told = f"{same} {word}" if worst.verdict != "keeps-running" else "all keep running"
    lowest = min(h.lowest.value for h in hits)
    return RungState(
        f"{lowest:.1f} V low", worst.verdict, told, count, f"{count}, {told}, lowest {lowest:.1f} V"
    )


def _with_findings(state: RungState, rung: Rung, findings: Sequence[Finding]) -> RungState:
    """A fold's state with the number of findings about what it holds."""
    held = set(rung.members)
    count = sum(not held.isdisjoint(finding.subjects) for finding in findings)
    if not count:
        return state
    noun = "finding" if count == 1 else "findings"
    drop = f"{state.drop or state.figure} · ▲ {count}"
    figure = state.figure if state.drop else ""
    return replace(state, figure=figure, drop=drop, spoken=f"{state.spoken}, {count} {noun}")


def _own_path(c: Circuit, selected: str) -> frozenset[str]:
    """A load's own loop: by closed contacts to the nearest post, and home to the same bank."""
    part = c.parts.get(selected)
    if part is None:
        return frozenset()
    ports = [at for at in c.links.at if at[0] == selected]
    positive = [at for at in ports if nominal_side(part, at[1]) == "positive"]
    posts = {at: p for p in c.places.values() if p.kind == "battery" for at in p.terminals}
    feeding = frozenset(at for at, p in posts.items() if p.side == "positive")
    returning = frozenset(at for at, p in posts.items() if p.side == "negative")
    found: set[str] = set()
    banks: set[str] = set()
    for at in positive:
        end, steps = c.links.path(at, feeding)
        found |= _elements(steps)
        if end is not None:
            bank = _bank(c, end[0])
            banks |= bank
            found |= bank | _jumpers(c, bank)
    home = frozenset(at for at in returning if at[0] in banks) or returning
    for at in ports:
        if at not in positive:
            found |= _elements(c.links.path(at, home)[1])
    return frozenset(found)


def _elements(steps: tuple[Step, ...]) -> set[str]:
    return {i for step in steps for i in (step.ids if step.is_conductor else (step.element,))}


def _bank(c: Circuit, battery: str) -> set[str]:
    """The batteries that are wired together with one."""
    bank, ring = {battery}, [battery]
    while ring:
        here = ring.pop()
        for chain in c.chains.values():
            ends = {chain.a_at[0], chain.b_at[0]}
            if here in ends and c.places[chain.a].kind == c.places[chain.b].kind == "battery":
                ring.extend(ends - bank)
                bank |= ends
    return bank


def _jumpers(c: Circuit, bank: set[str]) -> set[str]:
    return {
        i
        for ch in c.chains.values()
        if {ch.a_at[0], ch.b_at[0]} <= bank
        for step in ch.steps
        for i in step.ids
    }


def line_width(current_a: float | None, area_mm2: float | None) -> float:
    """Stroke width on a logarithmic scale of current: 1 A 2 px, 10 A 3.4, 100 A 4.8; else by section."""
    from math import log10

    if current_a is not None:
        return 2 + 1.4 * log10(max(abs(current_a), 1.0))
    return 2 + 1.6 * max(0.0, log10(max(area_mm2 or 1.0, 2.0) / 2.0))


def areas_mm2(boat: Boat) -> dict[str, float]:
    """The section of each sized conductor."""
    return {k.id: k.size.area_mm2 for k in boat.conductors if k.size}


def metres(boat: Boat) -> dict[str, float]:
    """The length of each measured or estimated conductor."""
    return {k.id: nominal(k.length_m) for k in boat.conductors if k.length_m is not None}
