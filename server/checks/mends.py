"""Mends: edits that clear a finding and are no hazard themselves.

Only moves to admissible taps are offered here; never a bare battery post, never a larger fuse.
"""

from server.boat.boat import Boat
from server.boat.edits import MoveLead
from server.boat.finding import Finding, Mend
from server.boat.leads import Landings, Polarity, lead
from server.boat.modes import Mode
from server.boat.parts import Load
from server.boat.value import TerminalRef
from server.checks.paths import Paths, node, source_posts
from server.engine.answer import ModeAnswer

STOP_FIRST = "Stop the engine and take the negative off every battery first."


def with_mends(boat: Boat, answer: ModeAnswer, found: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings, those that a better tap would clear with the move to it."""
    best = _best_taps(answer)
    if not best:
        return found
    mode = next(mode for mode in boat.modes if mode.id == answer.mode)
    helper = _Taps(boat, mode)
    return tuple(_mended(helper, finding, best) for finding in found)


def _best_taps(answer: ModeAnswer) -> dict[tuple[str, str, str], tuple[TerminalRef, float]]:
    """For each input and event that is badly off: the best admissible tap, where that reaches the need."""
    return {
        (load.part, load.input, seen.event): (seen.best_tap, seen.best_tap_v)
        for load in answer.loads
        for seen in load.events
        if seen.best_tap is not None and seen.best_tap_v is not None
        if seen.verdict in {"restarts", "too-close-to-call"}
        if seen.need_v is None or seen.best_tap_v > seen.need_v
    }


class _Taps:
    """Which of a load's leads a tap would take, and what the tap is called."""

    def __init__(self, boat: Boat, mode: Mode) -> None:
        self.landings = Landings.of(boat)
        self.boat = boat
        self.closed = Paths(boat, mode).closed
        self.positive = {post for _, post in source_posts(boat, "positive")}

    def terminal_for(self, part: str, name: str, tap: TerminalRef) -> str | None:
        """The terminal whose lead the tap would take; None where that lead cannot be moved."""
        import networkx as nx

        reached = nx.node_connected_component(self.closed, node(tap))
        side: Polarity = "positive" if reached & self.positive else "negative"
        load = self.landings.parts[part]
        returns_to = (
            next((i.returns_to for i in load.inputs if i.id == name), "negative")
            if isinstance(load, Load)
            else "negative"
        )
        terminal = name if side == "positive" else returns_to
        return terminal if lead(self.boat, part, terminal, self.landings).last is not None else None

    def place(self, tap: TerminalRef) -> str:
        """The tap's part by name."""
        return self.landings.parts[tap.part].name


def _mended(
    taps: _Taps, finding: Finding, best: dict[tuple[str, str, str], tuple[TerminalRef, float]]
) -> Finding:
    if finding.code not in {"restarts", "too-close"} or finding.event is None:
        return finding
    part, name = finding.subjects
    if (part, name, finding.event) not in best:
        return finding
    tap, volts = best[part, name, finding.event]
    terminal = taps.terminal_for(part, name, tap)
    if terminal is None:
        return finding
    side = "positive" if terminal == name else "negative"
    label = f"Move its {side} to {taps.place(tap)}: {volts:.1f} V. {STOP_FIRST}"
    return finding.model_copy(
        update={"mends": (Mend(label=label, edits=(MoveLead(part=part, terminal=terminal, to=tap),)),)}
    )
