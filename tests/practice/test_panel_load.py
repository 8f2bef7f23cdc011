"""The load calculation of a panelboard.

The reference holds it as: A, what must be available continuously; B, what is intermittent; the total is A and
the greater of a tenth of B and the largest item of B. Only the first line was read in public, so all of it is
from memory and never decides.
"""

import pytest

from server.practice.panel_load import PanelItem, column_of, panel_load


def test_the_largest_of_column_b_counts_where_it_is_above_a_tenth() -> None:
    items = [PanelItem(20.0, "A"), PanelItem(5.0, "A"), PanelItem(12.0, "B"), PanelItem(5.0, "B")]

    assert panel_load(items).value == 25.0 + 12.0


def test_a_tenth_of_column_b_counts_where_it_is_above_the_largest() -> None:
    items = [PanelItem(20.0, "A"), *(PanelItem(1.0, "B") for _ in range(15))]

    assert panel_load(items).value == pytest.approx(20.0 + 1.5)


def test_without_column_b_only_a_counts() -> None:
    assert panel_load([PanelItem(7.0, "A")]).value == 7.0
    assert panel_load([]).value == 0.0


def test_it_is_from_memory_and_says_so() -> None:
    found = panel_load([PanelItem(7.0, "A")])

    assert not found.may_decide
    assert found.unit == "A"
    assert "ABYC E-11" in found.source


@pytest.mark.parametrize(
    ("role", "column"),
    [
        ("navigation-lights", "A"),
        ("blower", "A"),
        ("bilge-pump", "A"),
        ("radio", "A"),
        ("electronics", "A"),
        ("alarm", "A"),
        ("refrigeration", "A"),
        ("engine-control", "A"),
        ("lights", "B"),
        ("outlet", "B"),
        ("windlass", "B"),
        ("winch", "B"),
        ("other", "B"),
        ("no such role", "B"),
    ],
)
def test_columns_by_role(role: str, column: str) -> None:
    """The lists of columns A and B as remembered in the reference."""
    assert column_of(role, continuous=False) == column
    assert column_of(role, continuous=True) == "A"
