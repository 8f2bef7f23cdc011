"""How long broken files take to be refused, and a full list to be read onto a large boat."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from server.actions.importing_tables import table_text
from server.actions.survey_list import read_list
from server.actions.survey_rows import SurveyRow
from server.actions.survey_text import MOST_ROWS, TableError, read_text
from server.boat.document import DocumentError, check_caps, read_boat
from tests.actions import broken_imports
from tests.actions.broken_imports import Broken
from tests.bench.boats import boat_of_conductors
from tests.bench.clock import timed

AIM_S = 1.0
LARGE = 1_000
FEWER = 20
"""Of how many files one is tried in the smallest bench."""


@dataclass(frozen=True)
class ImportRow:
    """The slowest of some files."""

    what: str
    files: int
    slowest: str
    took_s: float


def import_rows(*, smallest: bool = False) -> Iterator[ImportRow]:
    """Boats, tables, and a list as long as may be on a large boat."""
    yield _slowest("broken boats", tuple(broken_imports.boats()), _boat, smallest=smallest)
    tables = (*broken_imports.tables(), *broken_imports.workbooks())
    yield _slowest("broken tables", tables, _table, smallest=smallest)
    boat = boat_of_conductors(50 if smallest else LARGE)
    rows = [SurveyRow(number=str(n), what="Light", size="14 AWG", length="3") for n in range(MOST_ROWS)]
    count = MOST_ROWS // FEWER if smallest else MOST_ROWS
    took = timed(lambda: read_list(boat, rows[:count]), runs=1)
    yield ImportRow(f"{count} rows onto {len(boat.conductors)} conductors", 1, "", took.best_s)


def _slowest(
    what: str, files: tuple[Broken, ...], read: Callable[[bytes], None], *, smallest: bool
) -> ImportRow:
    tried = files[::FEWER] if smallest else files
    times = {one.name: timed(lambda one=one: read(one.body), runs=1).best_s for one in tried}  # type: ignore[misc]
    name = max(times, key=lambda one: times[one])
    return ImportRow(what, len(tried), name, times[name])


def _boat(body: bytes) -> None:
    try:
        check_caps(read_boat(body))
    except DocumentError:
        return
    raise AssertionError("a broken boat was read")


def _table(body: bytes) -> None:
    try:
        read_text(table_text(body))
    except TableError:
        return
    raise AssertionError("a broken table was read")
