"""Figures of findings: a number with its unit and how it came about."""

from typing import Literal

from server.boat.value import Value

Severity = Literal["danger", "fault", "advice", "cannot-tell"]
Basis = Literal["computed", "assumed", "measured", "rule"]


class Figure(Value):
    """A number with its unit and how it came about."""

    value: float
    unit: str
    basis: Basis
