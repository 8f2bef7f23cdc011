"""An owner reads what is done on the boat: moved, fitted, made anew, taken out; and nothing only entered."""

import pytest

from server.actions.owner_work import NO_WORK, work_told
from server.boat.boat import Boat
from server.boat.conductors import Conductor, Size
from server.boat.edits import (
    AddConductor,
    AddPart,
    AnyEdit,
    MoveConductorEnd,
    MoveLead,
    RemoveConductor,
    RemovePart,
    SetLength,
    SetSize,
    Splice,
    apply,
)
from server.boat.parts import Fuse
from server.boat.value import TerminalRef
from tests.engine.demo import demo_boat

PLOTTER_FUSE = Fuse(kind="fuse", id="own-fuse", name="Plotter fuse", rating_a=5.0)
SPARE = Fuse(kind="fuse", id="lone-fuse", name="Spare holder")
GAUGE_8 = Size(area_mm2=8.366, label="8 AWG", resistance_ohm_per_m=0.00206)
STUD = TerminalRef(part="negative-bus", terminal="stud-3")


@pytest.fixture(scope="module")
def sloop() -> Boat:
    return demo_boat("1-sloop")


def told(sloop: Boat, *edits: AnyEdit) -> tuple[str, ...]:
    after = sloop
    for edit in edits:
        after = apply(after, edit)
    return work_told(sloop, after)


def test_a_moved_lead_and_its_longer_cable(sloop: Boat) -> None:
    move = MoveLead(part="autopilot", terminal="negative", to=STUD, length_m=5.0)

    assert told(sloop, move) == (
        "Autopilot negative: Engine → Main negative bus",
        "Cable 29 is made anew: 5.00 m of 8 AWG.",
    )


def test_a_fuse_cut_into_a_cable_is_one_sentence(sloop: Boat) -> None:
    cut = Splice(conductor="plotter-pos", part=PLOTTER_FUSE, new_conductor="plotter-pos-2", distance_m=1.0)

    assert told(sloop, cut) == ("A fuse 5 A is fitted into cable 25: Plotter fuse.",)


def test_a_part_by_itself_and_parts_and_cables_taken_out(sloop: Boat) -> None:
    gone = told(sloop, RemovePart(id="outlet"), RemoveConductor(id="vhf-neg"))

    assert told(sloop, AddPart(part=SPARE)) == ("A fuse is fitted: Spare holder.",)
    assert gone[0] == "The chart table outlet is taken out."
    assert "Cable 27 is taken out." in gone


def test_new_cables_and_other_sizes(sloop: Boat) -> None:
    other = TerminalRef(part="engine", terminal="stud-3")
    strap = Conductor(id="new-strap", kind="wire", tail=STUD, head=other, size=GAUGE_8, length_m=1.5)
    bare = Conductor(id="bare", kind="wire", tail=STUD)
    anew = told(sloop, AddConductor(conductor=strap), SetSize(conductor="vhf-neg", size=GAUGE_8))

    assert anew[0].startswith("Cable 27 is made anew: ")
    assert anew[0].endswith(" m of 8 AWG.")
    assert anew[1] == "A new cable is laid from Main negative bus to Engine: 1.50 m of 8 AWG."
    assert told(sloop, AddConductor(conductor=bare)) == (
        "A new cable is laid from Main negative bus to a loose end.",
    )


def test_an_end_that_lands_elsewhere_and_is_no_lead(sloop: Boat) -> None:
    strap = next(
        one for one in sloop.conductors if one.head and one.head.part == "shunt" and one.kind == "wire"
    )
    (loose,) = told(sloop, MoveConductorEnd(conductor=strap.id, end="head"))

    assert " then goes from " in loose
    assert loose.endswith(" to a loose end.")


def test_what_is_only_entered_in_another_way_is_no_work(sloop: Boat) -> None:
    shorter = SetLength(conductor="plotter-neg", length_m=2.9, basis="measured")

    assert told(sloop, shorter) == (NO_WORK,)
    assert told(sloop, SetLength(conductor="plotter-neg")) == (NO_WORK,)
    assert told(sloop) == ()
