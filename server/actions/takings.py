"""Revisions that bring in a whole document: one of the boat's own restored, or an option taken over.

They are no edits of the document; what was done stands in the revision as JSON of a kind of its own.
"""

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from server.boat.value import Value
from server.store.values import RevisionEntry, Role


class Restoring(Value):
    """An earlier revision of the same boat brought back."""

    kind: Literal["restore-revision"] = "restore-revision"
    rev: int


class TakingOver(Value):
    """An option's document, as a whole or its own steps on top, made the boat it came from."""

    kind: Literal["take-over-option"] = "take-over-option"
    option: str
    rev: int
    way: Literal["whole", "on-top"]
    role_before: Role
    role_after: Role


Taking = Annotated[Restoring | TakingOver, Field(discriminator="kind")]
_TAKING: TypeAdapter[Restoring | TakingOver] = TypeAdapter(Taking)
_KINDS = ('{"kind":"restore-revision"', '{"kind":"take-over-option"')


def taking_json(taking: Restoring | TakingOver) -> str:
    """The text that a revision keeps; it begins with the kind."""
    return taking.model_dump_json()


def taking_of(entry: RevisionEntry) -> Restoring | TakingOver | None:
    """What a revision brought in; None where it is an ordinary edit, or a boat's first revision."""
    if entry.edit is None or not entry.edit.startswith(_KINDS):
        return None
    return _TAKING.validate_json(entry.edit)


def taken_over(entry: RevisionEntry) -> TakingOver | None:
    """Which option a revision took over; None where it did something else."""
    taking = taking_of(entry)
    return taking if isinstance(taking, TakingOver) else None
