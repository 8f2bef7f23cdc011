"""What was last worked out, by the hash of the document that it follows from."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from server.actions.kept import Kept
from server.boat.boat import Boat
from server.store.values import Revision, TakeBack

if TYPE_CHECKING:
    from server.actions.events_in_time import Figures
    from server.actions.trying import Trial
    from server.boat.finding import Finding, Mend
    from server.checks.ground import Ground
    from server.drawing.shapes import Layout
    from server.drawing.svg import Svg
    from server.engine.answer import EventAnswer, LoopStep, ModeAnswer, PickUp
    from server.engine.transient.answer import EventRun, PointPair
    from server.engine.transient.event_in_time import EventInTime
    from server.papers.owner_sheet import Moment

AnswerKey = tuple[str, str, str | None]
"""Hash of the document, mode, and event or all events."""

LeadKey = tuple[str, str, str, str, str | None]
"""Hash of the document, part, terminal or input, mode, event."""

RunKey = tuple[str, str, str, "tuple[PointPair, ...]", bool]
"""Hash of the document, mode, event, probes, and whether bands are drawn."""


FoundKey = tuple[str, str, str | None, frozenset[str]]
"""Hash of the document, mode, event or all events, and the events that were known in time."""


@dataclass(frozen=True, kw_only=True)
class Results:
    """Caches; every value in them follows from the hash of a document and from the question alone.

    Revisions, and what undo and redo would do at them, are kept by boat and number: they never change.
    Without ``explains`` events are worked out as far as they are judged by, which is quicker: no waveforms
    and no causes.
    """

    explains: bool = True

    revisions: "Kept[tuple[str, int], Revision]" = field(default_factory=lambda: Kept(32))
    take_backs: "Kept[tuple[str, int], tuple[TakeBack | None, TakeBack | None]]" = field(
        default_factory=lambda: Kept(64)
    )
    boats: "Kept[str, Boat]" = field(default_factory=lambda: Kept(32))
    answers: "Kept[AnswerKey, ModeAnswer]" = field(default_factory=lambda: Kept(64))
    explained: "Kept[tuple[LeadKey, bool], EventAnswer]" = field(default_factory=lambda: Kept(256))
    wholes: "Kept[tuple[str, str], ModeAnswer]" = field(default_factory=lambda: Kept(8))
    findings: "Kept[FoundKey, tuple[Finding, ...]]" = field(default_factory=lambda: Kept(64))
    whole_findings: "Kept[tuple[str, str], tuple[Finding, ...]]" = field(default_factory=lambda: Kept(64))
    trials: "Kept[tuple[str, str], Trial]" = field(default_factory=lambda: Kept(64))
    moves: "Kept[LeadKey, tuple[Mend, ...]]" = field(default_factory=lambda: Kept(256))
    unjudged: "Kept[str, tuple[str, ...]]" = field(default_factory=lambda: Kept(64))
    pick_ups: "Kept[LeadKey, PickUp]" = field(default_factory=lambda: Kept(64))
    refined: "Kept[LeadKey, PickUp]" = field(default_factory=lambda: Kept(64))
    grounds: "Kept[tuple[str, str], Ground]" = field(default_factory=lambda: Kept(16))
    loops: "Kept[LeadKey, tuple[LoopStep, ...]]" = field(default_factory=lambda: Kept(256))
    worst: "Kept[str, tuple[str, str] | tuple[()]]" = field(default_factory=lambda: Kept(64))
    layouts: "Kept[tuple[object, ...], Layout]" = field(default_factory=lambda: Kept(32))
    diagrams: "Kept[tuple[object, ...], Svg]" = field(default_factory=lambda: Kept(32))
    runs: "Kept[RunKey, EventRun]" = field(default_factory=lambda: Kept(16))
    solved: "Kept[tuple[str, str, str], EventInTime]" = field(default_factory=lambda: Kept(4))
    moments: "Kept[str, tuple[Moment, ...]]" = field(default_factory=lambda: Kept(32))
    figures: "Kept[tuple[str, str, str], Figures]" = field(default_factory=lambda: Kept(512))
