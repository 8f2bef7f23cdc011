"""Why a load falls or is kicked: each element's part, adding up to the figure that is shown."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.drawing.loop_strip import rounded_to_sum

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
        dip = point.before_v - point.lowest.value
        ends = f"from {_volts(point.before_v)} before to {_volts(point.lowest.value)} at the lowest"
        words = f"The parts add up to {_volts(dip)}: {ends}."
        found.append(
            SplitView("event-why-dip", f"Why it falls so low: {point.name}", _rows(point.dip_causes), words)
        )
    high = point.release_highest
    if point.kick_causes and high is not None and high.value - point.before_v >= SMALLEST_V:
        ends = f"from {_volts(point.before_v)} before to {_volts(high.value)} after the release"
        words = f"The parts add up to {_volts(high.value - point.before_v)}: {ends}."
        found.append(
            SplitView("event-why-kick", f"Why it is kicked up: {point.name}", _rows(point.kick_causes), words)
        )
    return tuple(found)


def _rows(causes: "Sequence[CauseShare]") -> tuple[ShareView, ...]:
    """The largest parts first; rounded so that what is shown adds up."""
    ordered = sorted(causes, key=lambda share: -abs(share.share_v))
    listed, rest = ordered[:_MOST], ordered[_MOST:]
    values = [share.share_v for share in listed]
    hundredths = rounded_to_sum([*values, sum(share.share_v for share in rest)])
    rows = [
        ShareView(share.name, _CAUSES[share.cause], _volts(shown / 100))
        for share, shown in zip(listed, hundredths, strict=False)
    ]
    if rest:
        rows.append(ShareView(f"{len(rest)} smaller parts", "together", _volts(hundredths[-1] / 100)))
    return tuple(rows)


def _volts(value: float) -> str:
    return f"{value + 0.0:.2f} V".replace("-", "−")
