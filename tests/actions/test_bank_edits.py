"""Batteries chained into a bank: names, and how many of a voltage make the boat's in series."""

import pytest

from server.actions.banks import BankAnswers, bank_edit, joins_in_series
from server.actions.fitting import CableAnswers
from server.boat.boat import Boat
from server.boat.edits import AddPart, apply
from server.boat.parts import Battery
from tests.drawing.pictures import seed


def of(volts: float, name: str = "House") -> Battery:
    return Battery(kind="battery", id="one", name=name, chemistry="agm", nominal_voltage_v=volts)


def boat(volts: float, battery: Battery) -> Boat:
    empty = Boat(format="tapchart.boat", version=1, name="Plover", nominal_voltage_v=volts)
    return apply(empty, AddPart(part=battery))


@pytest.mark.parametrize(
    ("whole", "each", "more"),
    [
        (12.0, 12.0, 0),
        (12.0, 6.0, 1),
        (24.0, 12.0, 1),
        (48.0, 12.0, 3),
        (12.0, 2.0, 5),
        (12.0, 8.0, 0),
        (12.0, 24.0, 0),
    ],
)
def test_so_many_more_in_series_make_the_voltage_of_the_boat(whole: float, each: float, more: int) -> None:
    """Volts in series add up: Kirchhoff's second law."""
    assert joins_in_series(boat(whole, of(each)), of(each)) == more


@pytest.mark.parametrize(
    ("name", "expected"),
    [("House", ["House", "House 2", "House 3"]), ("House 2", ["House 2", "House 3", "House 4"])],
)
def test_batteries_of_a_bank_are_counted_on_by_name(name: str, expected: list[str]) -> None:
    battery = of(12.0, name)
    edit = bank_edit(boat(12.0, battery), battery, BankAnswers(2, "parallel", CableAnswers()))

    after = apply(boat(12.0, battery), edit)

    assert [part.name for part in after.parts] == expected
    assert len(after.conductors) == 4
    assert edit.label == f"{name}: 2 more in parallel"


def test_a_battery_that_is_in_series_already_is_not_offered_more() -> None:
    """Two of six volts make twelve already."""
    sloop = seed("1-sloop")
    ours = {part.id: joins_in_series(sloop, part) for part in sloop.parts if isinstance(part, Battery)}

    assert ours == {"house-1": 0, "house-2": 0, "house-3": 0, "house-4": 0, "start": 0}
