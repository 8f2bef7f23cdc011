"""The picture stays put: how tangled it is, and what moves in it when a lead, a load or a part comes or goes.

The bounds are what was measured on the demo boats; no standard says how many crossings a drawing may have.
"""

import random
from collections.abc import Iterator, Sequence

import pytest

from server.boat.boat import Boat
from server.boat.constructors import electronics, wire
from server.boat.edits import (
    AddConductor,
    AddPart,
    AnyEdit,
    MoveLead,
    RemovePart,
    SetRowOrder,
    Several,
    apply,
)
from server.boat.leads import leads
from server.drawing.card import overview
from server.drawing.row_order import row_blocks
from tests.drawing.measured import crossings, laid_out, lanes, out_of_order, rows
from tests.drawing.pictures import BOATS, seed

MOST_CROSSINGS = {"1-sloop": 11, "2-trawler": 36, "3-workboat": 6, "4-outboard": 2, "5-large-yacht": 27}
OF_A_NAIVE_ORDER = 0.6
"""The picture's own order has at most this share of the crossings of rows in the order of their names."""
WHOLE_YACHT = 1200
"""With all 190 loads of the large yacht one by one: 1,122 when it was measured."""
EACH = 6
"""So many moves, and so many parts taken out, are tried on each boat."""


@pytest.mark.parametrize("name", BOATS)
def test_few_lines_cross_and_fewer_than_with_rows_in_the_order_of_their_names(name: str) -> None:
    boat = seed(name)
    by_name = tuple(part.id for part in sorted(boat.parts, key=lambda part: part.name))

    own = crossings(laid_out(boat))
    naive = crossings(laid_out(boat.model_copy(update={"row_order": by_name})))

    assert own <= MOST_CROSSINGS[name]
    assert own <= OF_A_NAIVE_ORDER * naive


def test_two_hundred_loads_one_by_one_cross_less_than_by_their_names() -> None:
    yacht = seed("5-large-yacht")
    everything = frozenset(part.id for part in yacht.parts)
    by_name = tuple(part.id for part in sorted(yacht.parts, key=lambda part: part.name))

    layout = laid_out(yacht, everything)
    own, naive = (
        crossings(layout),
        crossings(laid_out(yacht.model_copy(update={"row_order": by_name}), everything)),
    )

    assert len(layout.plates) > 190
    assert own <= WHOLE_YACHT
    assert own < naive


def moves(boat: Boat, rng: random.Random) -> Iterator[MoveLead]:
    """Leads to places where others of their polarity lie."""
    movable = [lead for lead in leads(boat) if lead.last is not None]
    for lead in rng.sample(movable, min(EACH, len(movable))):
        others = [one for one in leads(boat) if one.polarity == lead.polarity and one.tap is not None]
        taps = [one.tap for one in others if one.tap != lead.tap and one.part != lead.part]
        to = rng.choice([tap for tap in taps if tap is not None and tap.part != lead.part])
        yield MoveLead(part=lead.part, terminal=lead.terminal, to=to)


def additions(boat: Boat, rng: random.Random) -> Iterator[Several]:
    """A load more, on taps that are there."""
    taps = {
        side: [one.tap for one in leads(boat) if one.polarity == side and one.tap is not None]
        for side in ("positive", "negative")
    }
    for _ in range(2):
        plus, minus = rng.choice(taps["positive"]), rng.choice(taps["negative"])
        yield Several(
            label="One more",
            edits=(
                AddPart(part=electronics("one-more", "One more", 5.0)),
                AddConductor(conductor=wire("more-p", f"{plus.part}.{plus.terminal}", "one-more.main")),
                AddConductor(conductor=wire("more-n", "one-more.negative", f"{minus.part}.{minus.terminal}")),
            ),
        )


def changed_places(boat: Boat, edits: Iterator[AnyEdit]) -> list[tuple[int, int]]:
    """How many rows, and how many bars, changed places with a neighbour, edit by edit."""
    before = laid_out(boat)
    found = []
    for edit in edits:
        after = laid_out(apply(boat, edit))
        found.append((out_of_order(rows(before), rows(after)), out_of_order(lanes(before), lanes(after))))
    return found


@pytest.mark.parametrize("name", BOATS)
def test_a_moved_lead_and_an_added_load_leave_all_rows_and_bars_in_their_order(name: str) -> None:
    boat, rng = seed(name), random.Random(7)

    moved, added = changed_places(boat, moves(boat, rng)), changed_places(boat, additions(boat, rng))

    # A load of a large boat may leave the fold of its panel, and then has a row of its own.
    assert set(moved) <= ({(0, 0)} if name != "5-large-yacht" else {(0, 0), (1, 0)})
    assert set(added) == {(0, 0)}


@pytest.mark.parametrize("name", BOATS)
def test_a_part_taken_out_leaves_all_rows_in_their_order(name: str) -> None:
    """A bar may change places where what fed it is gone: it hangs on another bar then, or on none."""
    boat, rng = seed(name), random.Random(7)
    loads = [part for part in boat.parts if part.kind == "load"]
    others = [part for part in boat.parts if part.kind != "load"]

    of_loads = changed_places(boat, (RemovePart(id=part.id) for part in rng.sample(loads, 3)))
    of_others = changed_places(boat, (RemovePart(id=part.id) for part in rng.sample(others, EACH)))

    assert set(of_loads) == {(0, 0)}
    assert {of_rows for of_rows, _ in of_others} == {0}
    assert max(of_bars for _, of_bars in of_others) <= 2


def rows_of(boat: Boat, parts: Sequence[str]) -> list[str]:
    """The parts of the rows from the top down, as far as they are among some."""
    found = [plate.rung.part for plate in laid_out(boat).plates]
    return [part for part in dict.fromkeys(found) if part in parts]


def test_rows_keep_an_order_chosen_by_hand_and_new_ones_come_where_they_would() -> None:
    sloop = seed("1-sloop")
    (block,) = row_blocks(laid_out(sloop).circuit.rungs)
    turned = apply(sloop, SetRowOrder(parts=tuple(reversed(block))))
    added = apply(turned, next(iter(additions(sloop, random.Random(1)))))

    assert rows_of(sloop, block) == list(block)
    assert rows_of(turned, block) == list(reversed(block))
    with_new = rows_of(added, (*block, "one-more"))
    assert [part for part in with_new if part != "one-more"] == list(reversed(block))
    assert with_new[with_new.index("one-more") - 1] == block[-1]


def test_rows_stay_with_those_of_their_voltage_whatever_order_is_asked_for() -> None:
    workboat = seed("3-workboat")
    high, low = row_blocks(laid_out(workboat).circuit.rungs)
    turned = apply(workboat, SetRowOrder(parts=(*low, *high)))

    assert rows(laid_out(turned)) == rows(laid_out(workboat))


def test_the_overview_is_the_whole_picture_without_a_word() -> None:
    layout = laid_out(seed("5-large-yacht"))

    small = overview(layout)

    assert (small.width, small.height) == (layout.width, layout.height)
    assert "<text" not in small.markup
    assert len(small.markup) < 25_000
