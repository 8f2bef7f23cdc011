"""A put-down is judged by the server: what the list bars is refused, what it offers is let through."""

from pathlib import Path

import pytest

from server.actions.choices import Chosen
from server.actions.pick_ups import pick_up
from server.actions.put_downs import BarredPlaceError, refuse_barred
from server.actions.words import BREAKS
from server.actions.yard import Yard, open_boat, open_yard
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import AnyEdit, EditError, MoveLead, Rename, Several
from server.boat.value import TerminalRef

STARTING = Chosen("starting", "engine-start")


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Yard:
    return open_yard(tmp_path_factory.mktemp("yard"), demo=True)


def move(part: str, terminal: str, to: TerminalRef) -> MoveLead:
    return MoveLead(part=part, terminal=terminal, to=to)


def to(part: str, terminal: str) -> TerminalRef:
    return TerminalRef(part=part, terminal=terminal)


def refuse(yard: Yard, edit: AnyEdit, chosen: Chosen | None = STARTING, boat: str = "sloop") -> None:
    mode, event = (None, None) if chosen is None else (chosen.mode, chosen.event)
    refuse_barred(yard, boat, 1, edit, mode, event)


@pytest.mark.parametrize(
    ("part", "terminal"),
    [("autopilot", "negative"), ("autopilot", "supply"), ("starter", "motor"), ("alternator", "positive")],
)
def test_every_place_is_judged_as_the_list_judges_it(yard: Yard, part: str, terminal: str) -> None:
    """The list is the reference: it is held to the findings after the very move in ``tests/checks``."""
    held = pick_up(yard, open_boat(yard, "sloop"), part, terminal, STARTING)
    barred = 0
    for tap in held.taps:
        if tap.present or not tap.breaks:
            refuse(yard, move(part, terminal, tap.terminal))
            continue
        barred += 1
        with pytest.raises(BarredPlaceError) as refused:
            refuse(yard, move(part, terminal, tap.terminal))

        assert refused.value.place == tap.place
        assert set(refused.value.reasons) == {BREAKS[one] for one in tap.breaks}

    assert barred


def test_without_a_mode_the_worst_one_decides(yard: Yard) -> None:
    with pytest.raises(BarredPlaceError, match="negative lead of Cabin heater cannot go on Engine"):
        refuse(yard, move("heater", "negative", to("engine", "stud-2")), None)


def test_a_negative_lead_never_goes_to_the_positive_side(yard: Yard) -> None:
    with pytest.raises(BarredPlaceError) as refused:
        refuse(yard, move("heater", "negative", to("main-fuse", "load")))

    assert refused.value.reasons == (BREAKS["other-polarity"],)


def test_a_way_that_another_lead_has_is_taken(yard: Yard) -> None:
    taken = open_boat(yard, "sloop")
    lies = pick_up(yard, taken, "plotter", "supply", STARTING).present
    assert lies is not None
    with pytest.raises(BarredPlaceError) as refused:
        refuse(yard, move("autopilot", "supply", lies.terminal))

    assert refused.value.reasons == (BREAKS["way-occupied"],)


def test_leads_among_other_edits_are_judged_on_the_boat_that_those_leave(yard: Yard) -> None:
    barred = move("heater", "negative", to("engine", "stud-2"))
    with pytest.raises(BarredPlaceError):
        refuse(yard, Several(edits=(Rename(name="Teal"), barred), label="both"))

    moved = move("heater", "negative", to("negative-bus", "stud-5"))
    refuse(yard, Several(edits=(Rename(name="Teal"), moved), label="both"))


def test_two_leads_are_judged_together_too(yard: Yard) -> None:
    """Four lugs are the most on one stud (ABYC E-11, by way of the rules table): each fits alone."""
    opened = open_boat(yard, "sloop")
    held = pick_up(yard, opened, "autopilot", "negative", STARTING)
    bus = next(tap for tap in held.taps if tap.rank == 1)
    studs = (bus.terminal, *bus.same_as)
    ends = {ref: sum(ref in {one.tail, one.head} for one in opened.boat.conductors) for ref in studs}
    stud, on_it = max(ends.items(), key=lambda pair: pair[1])
    movers = [
        part.id
        for part in opened.boat.parts
        if part.kind == "load" and part.id not in {"starter"} and lies_elsewhere(yard, part.id, stud)
    ][: 5 - on_it]
    moves = tuple(move(part, "negative", stud) for part in movers)
    for one in moves:
        refuse(yard, one)

    with pytest.raises(BarredPlaceError, match="All leads of") as refused:
        refuse(yard, Several(edits=moves, label="all"))

    assert any("stud" in reason for reason in refused.value.reasons)


def lies_elsewhere(yard: Yard, part: str, stud: TerminalRef) -> bool:
    opened = open_boat(yard, "sloop")
    own = {one.id: one for one in opened.boat.parts}[part]
    if "negative" not in {getattr(one, "returns_to", "") for one in getattr(own, "inputs", ())}:
        return False
    held = pick_up(yard, opened, part, "negative", STARTING)
    return any(
        stud in (tap.terminal, *tap.same_as) and not tap.breaks and not tap.present for tap in held.taps
    )


def test_what_puts_no_lead_down_passes_unread(yard: Yard) -> None:
    refuse(yard, Rename(name="Teal"), Chosen("no such mode", None))


def test_a_move_that_does_not_fit_the_boat_is_refused_as_an_edit(yard: Yard) -> None:
    with pytest.raises(EditError):
        refuse(yard, move("ghost", "negative", to("negative-bus", "stud-5")))


def test_a_boat_without_modes_bars_nothing(tmp_path: Path) -> None:
    from server.actions.boats import take_in

    yard = open_yard(tmp_path, demo=True)
    sloop = open_boat(yard, "sloop").boat
    boat: Boat = sloop.model_copy(update={"modes": (), "events": ()})
    taken = take_in(yard, boat_bytes(boat), "without-modes").row.id

    refuse(yard, move("heater", "negative", to("engine", "stud-2")), None, taken)
