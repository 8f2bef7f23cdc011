"""A conductor cut in two keeps its number on one piece; bars and posts are cut in like fuses."""

import pytest

from server.boat.boat import Boat
from server.boat.cable_numbers import lettered
from server.boat.conductors import Cable
from server.boat.constructors import at, busbar, fuse
from server.boat.edits import EditError, RemovePart, SetRowOrder, Splice, apply, label
from server.boat.parts import AnyPart, Post
from server.boat.references import broken_references
from tests.boat.small_boat import BOAT, conductor

TWIN = Cable(
    id="twelve",
    number="12",
    construction="twin",
    sheathed=True,
    cores=2,
    jacket="white",
    notes="behind the tank",
)


def numbered(*numbers: str | None) -> Boat:
    """A boat whose autopilot negative is a core of cable 12, with more cables of these numbers."""
    more = tuple(
        Cable(id=f"more{n}", number=number, construction="single") for n, number in enumerate(numbers)
    )
    wires = tuple(
        one.model_copy(update={"cable": "twelve", "core": "black"}) if one.id == "pilot-n" else one
        for one in BOAT.conductors
    )
    return BOAT.model_copy(update={"cables": (*BOAT.cables, TWIN, *more), "conductors": wires})


def cut(part: AnyPart | None = None, distance_m: float | None = 0.5) -> Splice:
    return Splice(
        conductor="pilot-n",
        part=part or fuse("cut-in", "Cut in", 10.0),
        new_conductor="piece",
        near="head",
        distance_m=distance_m,
        new_cable="cut-off",
    )


def test_the_piece_that_is_cut_off_is_a_cable_of_its_own_with_the_next_letter() -> None:
    boat = apply(numbered("12A", "12C"), cut())
    piece = next(cable for cable in boat.cables if cable.id == "cut-off")

    assert (piece.number, piece.construction, piece.cores) == ("12B", "single", 1)
    assert (piece.sheathed, piece.jacket, piece.notes) == (True, "white", None)
    assert (conductor(boat, "piece").cable, conductor(boat, "piece").core) == ("cut-off", None)
    assert (conductor(boat, "pilot-n").cable, conductor(boat, "pilot-n").core) == ("twelve", "black")
    assert broken_references(boat) == ()


def test_without_a_cut_or_a_cable_there_is_no_new_one() -> None:
    wires = tuple(one.model_copy(update={"cable": None}) for one in BOAT.conductors)
    bolted = apply(numbered(), cut(distance_m=None))

    for boat in (bolted, apply(BOAT.model_copy(update={"conductors": wires}), cut())):
        assert all(cable.id != "cut-off" for cable in boat.cables)
        assert conductor(boat, "piece").cable is None


def test_a_cable_without_a_number_gives_one_without() -> None:
    boat = numbered()
    nameless = tuple(one.model_copy(update={"number": None}) for one in boat.cables)

    after = apply(boat.model_copy(update={"cables": nameless}), cut())

    assert next(cable for cable in after.cables if cable.id == "cut-off").number is None


@pytest.mark.parametrize(
    ("number", "taken", "expected"),
    [
        ("12", (), "12A"),
        ("12", ("12A", "12B"), "12C"),
        ("12A", ("12A",), "12B"),
        ("W7", ("W7",), "W7A"),
        ("FEED", ("FEED",), "FEEDA"),
        ("3", tuple(f"3{letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"), "3AA"),
        ("3", tuple(f"3{a}{b}" for a in ("", *"AB") for b in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"), "3CA"),
        ("9" * 120, (), "9" * 118 + "A"),
    ],
)
def test_a_number_goes_on_with_the_first_letter_that_no_cable_has(
    number: str, taken: tuple[str, ...], expected: str
) -> None:
    assert lettered(numbered(*taken), number) == expected


def test_a_bar_and_a_post_are_cut_in_with_both_pieces_on_them() -> None:
    bar = apply(BOAT, cut(busbar("cut-in", "Bar", 4)))
    post = apply(BOAT, cut(Post(kind="post", id="cut-in", name="Post")))

    assert conductor(bar, "piece").tail == at("cut-in.stud-1")
    assert conductor(bar, "pilot-n").head == at("cut-in.stud-2")
    assert conductor(post, "piece").tail == conductor(post, "pilot-n").head == at("cut-in.stud")
    assert broken_references(bar) == broken_references(post) == ()


def test_rows_are_kept_in_an_order_chosen_by_hand_until_a_part_goes() -> None:
    boat = apply(BOAT, SetRowOrder(parts=("plotter", "pilot")))

    assert boat.row_order == ("plotter", "pilot")
    assert apply(boat, RemovePart(id="plotter")).row_order == ("pilot",)
    assert apply(boat, SetRowOrder()) == BOAT
    assert label(BOAT, SetRowOrder(parts=("pilot",))) == "Rows of the picture moved"
    assert label(boat, SetRowOrder()) == "Rows of the picture in their own order"


@pytest.mark.parametrize(("parts", "word"), [(("ghost",), "no part"), (("pilot", "pilot"), "two places")])
def test_an_order_of_rows_names_each_part_aboard_once(parts: tuple[str, ...], word: str) -> None:
    with pytest.raises(EditError) as refused:
        apply(BOAT, SetRowOrder(parts=parts))

    assert word in refused.value.message
