"""One finding for everything that carries more than the rating that was entered for it."""

from server.boat.finding import Figure, Finding, Severity
from server.units import Ampere

AS_ENTERED = "rating as entered, maker's figure; current computed"


def over_rating(
    name: str, subjects: tuple[str, str], amps: tuple[Ampere, Ampere], how_long: str, severity: Severity
) -> Finding:
    """``name`` carries the first current and may carry the second ``how_long``: a full end of a sentence."""
    carries, limit = amps
    return Finding(
        code="over-rating",
        severity=severity,
        subjects=subjects,
        figure=Figure(value=carries, unit="A", basis="computed"),
        limit=Figure(value=limit, unit="A", basis="rule"),
        message=f"{name} carries {carries:.0f} A; it may carry {limit:.0f} A{how_long}",
        source=AS_ENTERED,
        source_status="document",
    )
