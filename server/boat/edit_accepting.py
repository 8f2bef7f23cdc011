"""Edits that let a finding stand, or no longer."""

from server.boat.acceptance import Acceptance
from server.boat.boat import Boat
from server.boat.edit_error import EditError
from server.boat.edit_values import AcceptFinding, WithdrawAcceptance
from server.boat.listed import find


def accept_finding(boat: Boat, edit: AcceptFinding) -> Boat:
    """Let a finding stand; an earlier acceptance of the same finding is replaced."""
    new = edit.acceptance
    find(boat, new.subjects[0], "acceptance.subjects")
    if new.mode is not None:
        find(boat, new.mode, "acceptance.mode", ("modes",))
    return _with(boat, (*(old for old in boat.accepted if old.finding != new.finding), new))


def withdraw_acceptance(boat: Boat, edit: WithdrawAcceptance) -> Boat:
    """Let a finding no longer stand."""
    kept = tuple(old for old in boat.accepted if old.finding != edit.finding)
    if len(kept) == len(boat.accepted):
        raise EditError("finding", "this finding is not accepted.", "There is nothing to withdraw.")
    return _with(boat, kept)


def _with(boat: Boat, accepted: tuple[Acceptance, ...]) -> Boat:
    return boat.model_copy(update={"accepted": accepted})
