"""Finding: the result of one check on one thing, and the edits that would mend it."""

from typing import Literal

from server.boat.acceptance import Acceptance, finding_id
from server.boat.edits import AnyEdit
from server.boat.figure import Basis, Figure, Severity
from server.boat.value import Value

__all__ = ["Basis", "Figure", "Finding", "Mend", "MendStep", "RuleKind", "Severity"]

RuleKind = Literal["law", "standard", "yardstick"]


class MendStep(Value):
    """A step of a mend that is done by hand: what to do, and which loads are then alive and which dead.

    ``goes_dead`` are what the step takes the power from, ``blinks`` those that lose it on the way alone.
    """

    what: str
    alive: tuple[str, ...] = ()
    dead: tuple[str, ...] = ()
    goes_dead: tuple[str, ...] = ()
    blinks: tuple[str, ...] = ()


class Mend(Value):
    """A way to mend a finding: what to do in words, and the edits that do it.

    One that changes nothing on the boat, as an order of turning switches, has steps in the place of edits.
    """

    label: str
    edits: tuple[AnyEdit, ...] = ()
    steps: tuple[MendStep, ...] = ()


class Finding(Value):
    """What, how much, against which limit, from which source, and what would mend it.

    ``accepted`` says who lets it stand and why; an accepted finding is told apart from open ones.
    """

    code: str
    severity: Severity
    subjects: tuple[str, ...]
    mode: str | None = None
    event: str | None = None
    figure: Figure | None = None
    limit: Figure | None = None
    message: str
    source: str
    source_status: Literal["verified", "derived", "office", "memory", "common-practice", "document"]
    rule_kind: RuleKind = "yardstick"
    mends: tuple[Mend, ...] = ()
    accepted: Acceptance | None = None

    @property
    def id(self) -> str:
        """Code, subjects, mode and event: the same finding keeps its id from answer to answer."""
        return finding_id(self.code, self.subjects, self.mode, self.event)
