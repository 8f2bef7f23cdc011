"""Why a load falls or is kicked: each element's part, adding up to the figure that is shown."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.checks.shown_shares import between, dip_shares, kick_shares

if TYPE_CHECKING:
    from server.engine.transient.answer import CauseShare, PointAnswer

_CAUSES = {
    "resistance": "its resistance",
    "inductance": "its inductance: the current changes fast",
    "source": "the battery's own voltage gives way",
}
SMALLEST_V = 0.1
"""A kick that does not show in tenths of a volt is not split."""
_MOST = 12
"""So many elements are listed one by one; the smallest of the others are summed in one row."""


@dataclass(frozen=True)
class ShareView:
    """One element's part, by one cause."""

    name: str
    cause: str
    volts: str


@dataclass(frozen=True)
class SplitView:
    """A dip or a kick split into its parts; ``sum_words`` says what they add up to."""

    id: str
    title: str
    rows: tuple[ShareView, ...]
    sum_words: str


def splits(point: "PointAnswer") -> tuple[SplitView, ...]:
    """The dip of a point at its lowest, and its kick where there is one."""
    found = []
    if point.dip_causes:
        dip = between(point.before_v, point.lowest.value)
        ends = f"from {_volts(point.before_v)} before to {_volts(point.lowest.value)} at the lowest"
        words = f"The parts add up to {_volts(dip)}: {ends}."
        found.append(
            SplitView("event-why-dip", f"Why it falls so low: {point.name}", _rows(dip_shares(point)), words)
        )
    high = point.release_highest
    if point.kick_causes and high is not None and high.value - point.before_v >= SMALLEST_V:
        ends = f"from {_volts(point.before_v)} before to {_volts(high.value)} after the release"
        words = f"The parts add up to {_volts(between(high.value, point.before_v))}: {ends}."
        found.append(
            SplitView(
                "event-why-kick",
                f"Why it is kicked up: {point.name}",
                _rows(kick_shares(point, high.value)),
                words,
            )
        )
    return tuple(found)


def _rows(shares: "Sequence[tuple[CauseShare, float]]") -> tuple[ShareView, ...]:
    """The largest parts one by one, the others in one row."""
    rows = [ShareView(share.name, _CAUSES[share.cause], _volts(shown)) for share, shown in shares[:_MOST]]
    if rest := [shown for _, shown in shares[_MOST:]]:
        rows.append(ShareView(f"{len(rest)} smaller parts", "together", _volts(sum(rest))))
    return tuple(rows)


def _volts(value: float) -> str:
    return f"{value + 0.0:.2f} V".replace("-", "−")
