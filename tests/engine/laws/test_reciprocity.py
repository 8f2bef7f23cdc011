"""What all inputs of an event are told at once, against the split of each input's own sag.

A network of resistances is reciprocal (Tellegen; any textbook on circuits): one solution from the heavy
load's side answers for all inputs. The split solves for each input by itself, so the two are independent.
"""

import numpy as np
import pytest

from server.engine.analysis import UnknownModeError, analyse_mode, explained
from server.engine.bands import UnitCurrents, spread
from server.engine.event_ports import LARGELY, SMALLEST_LOSS_V, EventPorts
from server.engine.solution import EventSolution, Solution
from tests.engine.boats import boat, conductor
from tests.engine.demo import demo_boat
from tests.engine.laws.definitions import post_voltage, transfer_ohm

EVENTS = (
    ("1-sloop", "starting", "engine-start"),
    ("2-trawler", "anchoring", "windlass-break-out"),
    ("3-workboat", "starting", "port-start"),
)


@pytest.fixture(params=EVENTS, ids=[event for _, _, event in EVENTS])
def solved(request: pytest.FixtureRequest) -> EventSolution:
    """An event of a demo boat."""
    name, mode, event = request.param
    return Solution.of(demo_boat(name), mode).event(event)


def test_transfer_resistance_seen_from_the_heavy_load_is_that_seen_from_each_input(
    solved: EventSolution,
) -> None:
    """R_ij = Σ R_e u_e(i) u_e(j) = R_ji; to rounding."""
    u = solved.source_network.unit_currents(np.append(solved.elements, solved.heavy_element))
    transfer = transfer_ohm(solved.source_network, u[:, :-1], u[:, -1:])[:, 0]

    assert EventPorts(solved).transfer_ohm == pytest.approx(np.nan_to_num(transfer), abs=1e-12)


def test_floor_seen_from_the_batteries_is_that_seen_from_each_input(solved: EventSolution) -> None:
    """Σ u_b V_b over the batteries, by one solution or by one for each input; to rounding."""
    unit = solved.source_network.unit_currents(solved.elements)
    floor = EventPorts(solved).floor_v

    assert floor == pytest.approx(post_voltage(solved.present, unit), abs=1e-11, nan_ok=True)


def test_common_wires_are_those_of_the_split_that_carry_most_of_both_currents(solved: EventSolution) -> None:
    """The same wires, volts and fractions, to rounding; the signs of both currents agree in all of them."""
    split, labels = solved.split_of(solved.elements), solved.net.labels
    both = split.unit[:, :-1] * np.sign(split.unit[:, -1:])
    common = (
        (both > LARGELY) & (np.abs(split.unit[:, -1:]) > LARGELY) & (abs(split.share_v) > SMALLEST_LOSS_V)
    )
    wanted = [
        {
            labels[row].element: row
            for row in np.flatnonzero(common[:, at]).tolist()
            if labels[row].kind == "wire"
        }
        for at in range(len(solved.elements))
    ]

    found = EventPorts(solved).common_wires

    assert [{one.element for one in wires} for wires in found] == [set(rows) for rows in wanted]
    assert any(found)
    for column, wires in enumerate(found):
        for one in wires:
            row = wanted[column][one.element]
            assert one.share_v == pytest.approx(split.share_v[row, column], abs=1e-12)
            assert one.load_fraction == pytest.approx(abs(split.unit[row, column]), abs=1e-12)
            assert one.heavy_fraction == pytest.approx(abs(split.unit[row, -1]), abs=1e-12)


def test_bands_of_all_inputs_at_once_are_those_of_each_by_its_adjoint(solved: EventSolution) -> None:
    """The derivative of a voltage by a figure, from the figure's side or from the voltage's; to rounding."""
    point, linear = solved.present, solved.linear
    answers = linear.across(linear.port_columns(solved.elements)).T
    units = UnitCurrents.of(point, point.element_v[None], point.current_a[None])
    each = zip(*spread(*solved.uncertain.swings(answers, units)), strict=True)

    assert [(one.value - one.low, one.high - one.value) for one in solved.lowest] == [
        pytest.approx(one, abs=1e-12) for one in each
    ]


def test_an_input_that_was_not_asked_for_has_no_shared_path_and_all_else_alike() -> None:
    """Leaving out the split changes no other figure."""
    lean = analyse_mode(demo_boat("1-sloop"), "starting", explained=())
    whole = analyse_mode(demo_boat("1-sloop"), "starting")

    pairs = [
        (a, b)
        for x, y in zip(lean.loads, whole.loads, strict=True)
        for a, b in zip(x.events, y.events, strict=True)
    ]
    assert pairs
    for short, full in pairs:
        assert (short.lowest, short.floor_v, short.sag_v) == (full.lowest, full.floor_v, full.sag_v)
        with pytest.raises(LookupError, match="not split"):
            _ = short.shared_path


def test_one_input_explained_is_as_in_the_whole_answer() -> None:
    """The split of one input is a column of the split of all; to rounding."""
    one = explained(demo_boat("1-sloop"), "starting", "engine-start", ("autopilot", "supply"))
    whole = analyse_mode(demo_boat("1-sloop"), "starting", events=["engine-start"])
    same = next(load.events[0] for load in whole.loads if load.part == "autopilot")

    assert [share.element for share in one.shared_path] == [share.element for share in same.shared_path]
    assert [share.share_v for share in one.shared_path] == pytest.approx(
        [share.share_v for share in same.shared_path], abs=1e-12
    )
    assert one.best_tap == same.best_tap
    assert one.best_tap_v == pytest.approx(same.best_tap_v, abs=1e-9)


def test_an_input_that_is_not_fed_cannot_be_explained() -> None:
    """The reason names input, part and event."""
    with pytest.raises(UnknownModeError, match="no input “supply” of “nothing”"):
        explained(demo_boat("1-sloop"), "starting", "engine-start", ("nothing", "supply"))


def test_a_heavy_load_that_no_source_reaches_shares_nothing() -> None:
    """Its cable is off: no transfer resistance, no wire in common, no inrush."""
    subject = boat(conductors=[conductor("w-start", head=None)])
    solution = Solution.of(subject, "starting")
    ports = EventPorts(solution.event(solution.events[0].id))

    assert not ports.is_fed
    assert ports.transfer_ohm.tolist() == [0.0] * len(ports.solved.elements)
    assert not any(ports.common_wires)
