"""Broken files of every kind are refused with their place, and nothing of them is kept.

How long each takes is measured in the bench.
"""

from collections.abc import Iterator

import pytest

from server.actions import boats
from server.actions.importing_tables import table_text
from server.actions.survey_list import read_list
from server.actions.survey_text import TableError, read_text
from server.actions.troubles import DocumentError
from server.actions.yard import Yard, open_yard
from server.boat.document import read_boat
from server.bundled import bundled
from tests.actions import broken_imports
from tests.actions.broken_imports import Broken

BOATS = tuple(broken_imports.boats())
TABLES = (*broken_imports.tables(), *broken_imports.workbooks())
ROWS = tuple(broken_imports.wrong_rows())
OUTBOARD = read_boat((bundled("seed_boats") / "4-outboard.json").read_bytes())


def name_of(broken: Broken) -> str:
    """How a case is called."""
    return broken.name[:60]


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    """A yard that must stay empty."""
    yard = open_yard(tmp_path_factory.mktemp("broken"))
    yield yard
    assert yard.store.boats() == ()
    yard.store.close()


def test_there_are_more_than_two_hundred_of_them() -> None:
    assert len({one.name for one in (*BOATS, *TABLES, *ROWS)}) == len((*BOATS, *TABLES, *ROWS)) > 200


@pytest.mark.parametrize("broken", BOATS, ids=name_of)
def test_a_broken_boat_is_refused_with_its_place_and_none_is_kept(yard: Yard, broken: Broken) -> None:
    with pytest.raises(DocumentError) as error:
        boats.take_in(yard, broken.body, "broken-boat")

    assert 0 < len(error.value.problems) <= 10
    assert all(one.path and one.message and one.mend for one in error.value.problems)
    assert len(str(error.value)) < 4_000


@pytest.mark.parametrize("broken", TABLES, ids=name_of)
def test_a_broken_table_is_refused_with_its_place(broken: Broken) -> None:
    with pytest.raises(TableError) as error:
        read_text(table_text(broken.body))

    assert error.value.place
    assert error.value.message
    assert error.value.mend
    assert len(str(error.value)) < 500


@pytest.mark.parametrize("broken", ROWS, ids=name_of)
def test_a_wrong_cell_is_named_beside_its_row_and_the_row_asks_for_nothing(broken: Broken) -> None:
    rows = [line.row for line in read_text(table_text(broken.body))]
    (read,) = read_list(OUTBOARD, rows)

    assert read.errors
    assert not read.edits


def test_a_workbook_is_read_as_its_cells_say_and_nothing_is_worked_out() -> None:
    body = broken_imports.workbook(
        ("Tag", "From", "To", "Length", "Size", "Deck"),
        (7, "Bus", "Radio", 3.5, "35 mm²", True),
        (8.0, "=A1", None, "=1+2", None, None),
    )
    first, second = (line.row for line in read_text(table_text(body)))

    assert (first.number, first.length, first.size, first.note) == ("7", "3.5", "35 mm²", "Deck: yes")
    assert (second.number, second.tail, second.length) == ("8", "=A1", "=1+2")
