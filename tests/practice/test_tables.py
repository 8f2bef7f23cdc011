"""Every shipped row says where it comes from."""

import pytest

from server.practice.sourced import status_of
from server.practice.tables import rows, table_names


def test_all_tables_are_found() -> None:
    assert {"table5_ampacity", "assumptions", "rules", "iec60228_class5"} <= set(table_names())


@pytest.mark.parametrize("table", table_names())
def test_every_row_has_a_source_and_a_known_status(table: str) -> None:
    assert rows(table)
    for row in rows(table):
        assert row["source"].strip(), row
        status_of(row["status"])
        assert None not in row.values(), f"a short row in {table}: {dict(row)}"


def test_the_unconfirmed_iso_ampacity_table_is_not_shipped() -> None:
    assert not [name for name in table_names() if "10133" in name]
