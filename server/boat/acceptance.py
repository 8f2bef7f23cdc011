"""Acceptances: findings that a surveyor lets stand, with a name, a reason and the figure as it was then."""

from typing import Annotated

from pydantic import Field

from server.boat.figure import Figure, Severity
from server.boat.value import Id, Name, Text, Value

Code = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]{0,63}$")]
Subject = Annotated[str, Field(pattern=r"^[a-z][a-z0-9.-]{0,127}$")]


class Acceptance(Value):
    """One finding that somebody lets stand.

    Code, subjects, mode and event say which; severity, figure and limit are as accepted: the finding comes
    back once it is worse than that.
    """

    code: Code
    subjects: Annotated[tuple[Subject, ...], Field(min_length=1)]
    mode: Id | None = None
    event: Id | None = None
    severity: Severity
    figure: Figure | None = None
    limit: Figure | None = None
    by: Name
    reason: Annotated[Text, Field(min_length=1)]

    @property
    def finding(self) -> str:
        """The id of the finding that is accepted."""
        return finding_id(self.code, self.subjects, self.mode, self.event)


def finding_id(code: str, subjects: tuple[str, ...], mode: str | None, event: str | None) -> str:
    """Code, subjects, mode and event: the same finding keeps its id from answer to answer."""
    return "-".join((code, *subjects, mode or "any", event or "steady"))
