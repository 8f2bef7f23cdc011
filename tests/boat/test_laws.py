"""Laws that hold for every boat and every edit."""

import os
from contextlib import suppress

import hypothesis.strategies as st
from hypothesis import HealthCheck, given, settings

from server.boat.boat import Boat
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import EditError, MoveLead, apply, edit_json, label, read_edit
from server.boat.following import followed
from server.boat.leads import Landings, lead, leads
from server.boat.references import broken_references
from server.boat.routes import Routes
from server.boat.terminals import terminals
from server.boat.value import TerminalRef
from tests.boat.strategies import boats, edits, several

LAW = settings(
    max_examples=int(os.environ.get("TAPCHART_EXAMPLES", "100")),
    derandomize="TAPCHART_EXAMPLES" not in os.environ,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


def _sides(boat: Boat) -> dict[str, tuple[TerminalRef | None, TerminalRef | None]]:
    return {conductor.id: (conductor.tail, conductor.head) for conductor in boat.conductors}


@LAW
@given(boats())
def test_what_is_exported_and_imported_comes_out_byte_for_byte(boat: Boat) -> None:
    body = boat_bytes(boat)

    assert read_boat(body) == boat
    assert boat_bytes(read_boat(body)) == body


@LAW
@given(st.data())
def test_any_sequence_of_edits_leaves_a_valid_document(data: st.DataObject) -> None:
    boat = data.draw(boats(3))
    for step in range(data.draw(st.integers(1, 8))):
        edit = data.draw(edits(boat, f"new{step}") | several(boat, f"new{step}"))
        assert label(boat, edit)
        refused: EditError | None = None
        try:
            boat = apply(boat, edit)
        except EditError as error:
            refused = error

        assert refused is None or (refused.field and refused.message and refused.mend)
        assert broken_references(boat) == ()
        assert read_boat(boat_bytes(boat)) == boat


@LAW
@given(st.data())
def test_an_edit_leaves_the_boat_before_it_as_it_was_and_can_be_made_again_from_its_json(
    data: st.DataObject,
) -> None:
    before = data.draw(boats(3))
    edit = data.draw(edits(before, "new") | several(before, "new"))
    body = boat_bytes(before)
    try:
        after = apply(before, edit)
    except EditError:
        after = before

    assert boat_bytes(before) == body
    assert read_edit(edit_json(edit)) == edit
    if after is not before:
        assert boat_bytes(apply(read_boat(body), read_edit(edit_json(edit)))) == boat_bytes(after)


@LAW
@given(st.data())
def test_moving_a_lead_keeps_what_is_in_line_and_moves_one_end_only(data: st.DataObject) -> None:
    before = data.draw(boats(4))
    landings = Landings.of(before)
    movable = [found for found in leads(before, landings) if found.last is not None]
    old = data.draw(st.sampled_from(movable))
    others = [part for part in before.parts if part.id not in {old.part, *old.inline}]
    target = data.draw(st.sampled_from(others))
    to = TerminalRef(part=target.id, terminal=data.draw(st.sampled_from(terminals(target))))

    after = apply(before, MoveLead(part=old.part, terminal=old.terminal, to=to))
    new = lead(after, old.part, old.terminal)

    assert new.inline[: len(old.inline)] == old.inline
    assert new.conductors[: len(old.conductors)] == old.conductors
    moved = {name for name, ends in _sides(after).items() if ends != _sides(before)[name]}
    assert moved <= {old.last}
    assert after.parts is before.parts
    shared = [a is b for a, b in zip(after.conductors, before.conductors, strict=True)]
    assert shared.count(False) <= 1


@LAW
@given(st.data())
def test_after_any_edit_what_is_routed_is_as_long_as_its_way_and_nothing_is_left_to_follow(
    data: st.DataObject,
) -> None:
    boat = data.draw(boats(3))
    boat = followed(boat.model_copy(update={"runs": (), "waypoints": ()}), boat)
    for step in range(data.draw(st.integers(1, 6))):
        edit = data.draw(edits(boat, f"new{step}") | several(boat, f"new{step}"))
        with suppress(EditError):
            boat = apply(boat, edit)
        routes = Routes.of(boat)
        routed = [one for one in boat.conductors if one.length_basis == "routed" and not one.length_fixed]

        assert followed(boat, boat) is boat
        for one in routed:
            route = routes.between(one.tail.part, one.head.part) if one.tail and one.head else None
            assert route is not None
            assert one.length_m == route.length_m


@LAW
@given(boats())
def test_every_lead_ends_on_its_tap_or_says_why_not(boat: Boat) -> None:
    for found in leads(boat):
        assert (found.last is None) == (found.reason is not None)
        if found.last is not None:
            assert found.conductors[-1] == found.last
            last = next(c for c in boat.conductors if c.id == found.last)
            assert found.tap == (last.tail if found.far == "tail" else last.head)
