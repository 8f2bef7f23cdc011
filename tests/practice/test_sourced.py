"""A published number keeps its origin, and a result its weakest one."""

import pytest
from pydantic import ValidationError

from server.practice.sourced import Assumption, Sourced, mark, status_of, weakest


def band(low: float, value: float, high: float) -> Assumption:
    return Assumption(low=low, value=value, high=high, unit="Ω", source="a book", status="derived")


def test_a_result_is_only_as_sure_as_its_weakest_figure() -> None:
    assert weakest("verified", "derived") == "derived"
    assert weakest("derived", "memory", "verified") == "memory"
    assert weakest("verified") == "verified"


def test_a_figure_from_memory_is_marked_and_may_not_decide() -> None:
    remembered = Sourced(value=1, unit="V", source="a book", status="memory")
    read = Sourced(value=1, unit="V", source="a book", status="verified")

    assert mark(remembered.status) == "from memory, confirm"
    assert not remembered.may_decide
    assert mark(read.status) == ""
    assert read.may_decide


def test_an_unknown_status_word_is_refused() -> None:
    with pytest.raises(ValueError, match="guessed"):
        status_of("guessed")


def test_a_product_names_both_sources_and_both_notes() -> None:
    base = Sourced(value=160, unit="A", source="table", status="verified", note="at 30 °C")
    factor = Sourced(value=0.75, unit="1", source="note 1", status="memory")

    product = base.times(factor)

    assert product.value == pytest.approx(120)
    assert (product.unit, product.source, product.status) == ("A", "table; note 1", "memory")
    assert product.note == "at 30 °C"


def test_a_product_of_verified_figures_is_derived() -> None:
    verified = Sourced(value=2, unit="1", source="table", status="verified")

    assert verified.times(verified).status == "derived"


@pytest.mark.parametrize("figures", [(2, 1, 3), (1, 4, 3), (float("nan"), 1, 2), (1, 2, float("inf"))])
def test_a_band_out_of_order_or_endless_is_refused(figures: tuple[float, float, float]) -> None:
    with pytest.raises(ValidationError):
        band(*figures)


def test_scaling_a_band_scales_all_three_figures() -> None:
    scaled = band(1, 2, 4).scaled(0.5, "mΩ")

    assert (scaled.low, scaled.value, scaled.high, scaled.unit) == (0.5, 1, 2, "mΩ")


@pytest.mark.parametrize("factor", [0, -1])
def test_a_band_is_never_turned_around(factor: float) -> None:
    with pytest.raises(ValueError, match="positive"):
        band(1, 2, 4).scaled(factor, "Ω")
