"""Finding: the result of one check on one thing, and the edits that would mend it."""

from typing import Literal

from server.boat.edits import AnyEdit
from server.boat.value import Value

Severity = Literal["danger", "fault", "advice", "cannot-tell"]
RuleKind = Literal["law", "standard", "yardstick"]
Basis = Literal["computed", "assumed", "measured", "rule"]


class Figure(Value):
    """A number with its unit and how it came about."""

    value: float
    unit: str
    basis: Basis


class Mend(Value):
    """A way to mend a finding: what to do in words, and the edits that do it."""

    label: str
    edits: tuple[AnyEdit, ...] = ()


class Finding(Value):
    """What, how much, against which limit, from which source, and what would mend it."""

    code: str
    severity: Severity
    subjects: tuple[str, ...]
    mode: str | None = None
    event: str | None = None
    figure: Figure | None = None
    limit: Figure | None = None
    message: str
    source: str
    source_status: Literal["verified", "derived", "memory", "common-practice", "document"]
    rule_kind: RuleKind = "yardstick"
    mends: tuple[Mend, ...] = ()

    @property
    def id(self) -> str:
        """Code, subjects, mode and event: the same finding keeps its id from answer to answer."""
        return "-".join((self.code, *self.subjects, self.mode or "any", self.event or "steady"))
