"""What a boat's card says: worked out once for each body and engine version, then kept in the store."""

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from functools import cache
from importlib.metadata import version

from server.actions.findings import all_findings
from server.actions.yard import Yard, open_boat
from server.store.values import BoatRow

KIND = "card-2"
_SEVERITIES = ("danger", "fault", "advice", "cannot-tell")


@dataclass(frozen=True)
class Summary:
    """Open findings by severity, accepted ones, the worst open one in words, what was not seen, a picture."""

    counts: dict[str, int]
    accepted: int
    worst: str
    not_seen: int
    picture: str


@cache
def engine_version() -> str:
    """What the kept summaries depend on besides the body."""
    return version("tapchart")


def known_summaries(yard: Yard, rows: Iterable[BoatRow]) -> dict[str, Summary]:
    """The summaries that are kept already, by boat."""
    rows = tuple(rows)
    kept = yard.store.derived_get_many({row.sha for row in rows}, engine_version(), KIND)
    return {row.id: Summary(**json.loads(kept[row.sha])) for row in rows if row.sha in kept}


def summary(yard: Yard, boat_id: str) -> Summary:
    """A boat's summary, worked out if it is not kept yet.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    opened = open_boat(yard, boat_id)
    known = known_summaries(yard, (opened.row,))
    if boat_id in known:
        return known[boat_id]
    made = _made(yard, boat_id)
    yard.store.derived_put(opened.sha, engine_version(), KIND, json.dumps(asdict(made)).encode())
    return made


def _made(yard: Yard, boat_id: str) -> Summary:
    from server.actions.pictures import card
    from server.checks.accepted import open_ones

    opened = open_boat(yard, boat_id)
    every = all_findings(yard, opened.sha, opened.boat)
    left_open = open_ones(every)
    return Summary(
        counts={severity: sum(one.severity == severity for one in left_open) for severity in _SEVERITIES},
        accepted=len(every) - len(left_open),
        worst=left_open[0].message if left_open else "",
        not_seen=len(opened.boat.not_seen),
        picture=card(opened.boat).markup,
    )
