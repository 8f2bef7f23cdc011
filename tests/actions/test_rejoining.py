"""A device taken out of its conductor, with the two pieces joined to one again."""

import pytest

from server.actions.rejoining import Rejoined, rejoined
from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint
from server.boat.constructors import at, busbar, fuse
from server.boat.edits import AddConductor, ChangeValue, SetLength, Splice, apply
from server.boat.parts import AnyPart, Post
from server.boat.references import broken_references
from server.boat.value import Span
from tests.boat.small_boat import conductor
from tests.boat.test_cutting_in import numbered

WIRE = "pilot-n"


def cut(boat: Boat, part: AnyPart | None = None, distance_m: float | None = 0.5) -> Boat:
    """The boat with a part put into the autopilot's negative, near its far end."""
    return apply(
        boat,
        Splice(
            conductor=WIRE,
            part=part or fuse("cut-in", "Cut in", 10.0),
            new_conductor="piece",
            near="head",
            distance_m=distance_m,
            new_cable="cut-off" if distance_m is not None else None,
        ),
    )


def way_out(boat: Boat, part: str = "cut-in") -> Rejoined | str:
    return rejoined(boat, next(one for one in boat.parts if one.id == part))


def joined(boat: Boat) -> Boat:
    found = way_out(boat)
    assert isinstance(found, Rejoined)
    assert found.stays == WIRE
    return apply(boat, found.edit)


@pytest.mark.parametrize("distance_m", [0.5, None])
@pytest.mark.parametrize(
    "part", [fuse("cut-in", "F", 10.0), busbar("cut-in", "B", 4), Post(kind="post", id="cut-in", name="P")]
)
def test_what_was_cut_in_comes_out_again_and_leaves_the_cable_as_it_was(
    part: AnyPart, distance_m: float | None
) -> None:
    before = numbered()
    after = joined(cut(before, part, distance_m))

    assert after.cables == before.cables
    assert after.parts == before.parts
    old, new = conductor(before, WIRE), conductor(after, WIRE)
    assert (new.tail, new.head, new.size, new.length_m) == (old.tail, old.head, old.size, old.length_m)
    assert len(after.conductors) == len(before.conductors)
    assert broken_references(after) == ()


def test_the_words_say_where_the_cable_goes_how_long_it_is_and_which_number_goes() -> None:
    found = way_out(cut(numbered()))

    assert isinstance(found, Rejoined)
    assert found.words.startswith("Cable 12 then goes from Autopilot: negative to engine block: stud 1, ")
    assert found.words.endswith(" m. Number 12A is no more.")


def test_the_longer_piece_stays_unless_it_was_cut_off() -> None:
    boat = cut(numbered(), distance_m=0.5)
    longer = apply(boat, SetLength(conductor="piece", length_m=40.0, basis="measured"))

    after = joined(longer)

    assert conductor(after, WIRE).length_m == pytest.approx(conductor(boat, WIRE).length_m + 40.0)  # type: ignore[operator]


def test_ranges_add_up_and_what_is_not_known_stays_open() -> None:
    boat = apply(
        cut(numbered()), SetLength(conductor="piece", length_m=Span(low=1.0, high=2.0), basis="estimated")
    )
    rest = conductor(boat, WIRE).length_m
    open_ended = apply(boat, SetLength(conductor="piece", length_m=None))

    assert isinstance(rest, float)
    assert conductor(joined(boat), WIRE).length_m == Span(low=rest + 1.0, high=rest + 2.0)
    assert conductor(joined(boat), WIRE).length_basis == "estimated"
    assert conductor(joined(open_ended), WIRE).length_m is None
    assert conductor(joined(open_ended), WIRE).length_basis is None


def test_what_was_stated_of_a_piece_goes_and_the_joint_at_the_far_end_comes() -> None:
    boat = apply(cut(numbered()), ChangeValue(id=WIRE, field="resistance_ohm", value=0.01))
    boat = apply(boat, ChangeValue(id="piece", field="head_joint", value={"style": "cage"}))

    after = conductor(joined(boat), WIRE)

    assert after.resistance_ohm is None
    assert after.head_joint == Joint(style="cage")


def test_unlike_cables_are_not_made_one_and_it_says_why() -> None:
    boat = apply(cut(numbered()), ChangeValue(id="piece", field="insulation_c", value=60.0))

    assert (
        way_out(boat) == "The cables on its two sides are of unlike make, so they cannot be joined into one."
    )


def test_nothing_is_joined_where_the_part_sits_between_no_two_conductors() -> None:
    boat = cut(numbered())
    third = apply(
        boat,
        AddConductor(
            conductor=Conductor(id="third", kind="link", tail=at("cut-in.line"), head=at("bus.stud-4"))
        ),
    )
    loose = apply(boat, ChangeValue(id="piece", field="head", value=None))
    ring = apply(boat, ChangeValue(id="piece", field="head", value={"part": "pilot", "terminal": "negative"}))

    assert {way_out(one) for one in (third, loose, ring)} == {""}
    assert way_out(boat, "pilot") == ""
