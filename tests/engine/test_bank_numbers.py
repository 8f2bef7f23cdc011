"""The lead of a charging source: what every bank has and takes at each place, held to the moved boat."""

import pytest

from server.boat.boat import Boat
from server.boat.edit_values import MoveLead
from server.boat.edits import apply
from server.boat.parts import Battery
from server.engine.analysis import analyse_mode, pick_up
from server.engine.answer import BankAnswer, TapAnswer
from server.engine.ranking import charge, charge_sign
from tests.engine.demo import demo_boat

LEADS = (
    ("1-sloop", "alternator", "positive", "under-way"),
    ("1-sloop", "alternator", "negative", "under-way"),
    ("1-sloop", "solar", "positive", "moored"),
    ("1-sloop", "solar", "negative", "sailing"),
)


def batteries(subject: Boat, bank: str) -> list[Battery]:
    return [one for one in subject.parts if isinstance(one, Battery) and (one.bank or one.name) == bank]


def by_hand(subject: Boat, mode: str, bank: str) -> tuple[float, float]:
    """Volts and current of a bank from the boat's own solution: of n in a row each counts one n-th."""
    flows = {flow.element: flow for flow in analyse_mode(subject, mode, events=[]).flows}
    found = batteries(subject, bank)
    in_a_string = [subject.nominal_voltage_v / one.nominal_voltage_v for one in found]
    strings = sum(1 / n for n in in_a_string)
    volts = sum(abs(flows[one.id].drop_v) for one in found) / strings
    taken = sum(-flows[one.id].current_a / n for one, n in zip(found, in_a_string, strict=True))
    return volts, taken


@pytest.mark.parametrize(("name", "part_id", "terminal", "mode"), LEADS)
def test_banks_at_a_place_are_those_of_the_moved_boat(
    name: str, part_id: str, terminal: str, mode: str
) -> None:
    """Decision 4: the answer at a place is the analysis of the boat after that very move."""
    subject = demo_boat(name)
    found = pick_up(subject, part_id, terminal, mode, None)
    compared = 0
    for tap in found.taps:
        move = MoveLead(part=part_id, terminal=terminal, to=tap.terminal)
        moved = subject if tap.present else apply(subject, move)
        for bank in tap.banks:
            volts, taken = by_hand(moved, mode, bank.name)
            assert bank.after_v == pytest.approx(volts, abs=1e-8)
            assert bank.current_after_a == pytest.approx(taken, abs=1e-6)
            volts, taken = by_hand(subject, mode, bank.name)
            assert bank.before_v == pytest.approx(volts, abs=1e-8)
            assert bank.current_before_a == pytest.approx(taken, abs=1e-6)
            compared += 1

    assert compared >= 2 * len(found.taps) > 0


def test_a_source_that_is_off_and_a_load_say_nothing_of_banks() -> None:
    subject = demo_boat("1-sloop")

    for part_id, terminal in (("alternator", "positive"), ("plotter", "supply")):
        assert all(not tap.banks for tap in pick_up(subject, part_id, terminal, "starting", None).taps)


def test_a_bank_says_whether_its_shunt_counts_the_source() -> None:
    """By the drawing: past the shunt's battery side nothing is counted; a bank without one counts nothing."""
    subject = demo_boat("1-sloop")
    shunt = next(one for one in subject.parts if one.kind == "measuring-shunt")
    held = pick_up(subject, "solar", "negative", "sailing", None)
    side = {tap.terminal.terminal: tap for tap in held.taps if tap.terminal.part == shunt.id}
    behind, before = side["battery"], side["system"]

    def counted(tap: TapAnswer) -> dict[str, bool | None]:
        return {bank.name: bank.counted for bank in tap.banks}

    monitored = [name for name, is_counted in counted(before).items() if is_counted is not None]
    assert len(monitored) == 1
    assert counted(before)[monitored[0]] is True
    assert counted(behind)[monitored[0]] is False
    assert None in counted(before).values()


@pytest.mark.parametrize(
    ("before", "after", "sign"),
    [
        ((10.0, 0.0), (8.0, 2.0), "better"),
        ((10.0, 0.0), (0.0, 12.0), "worse"),
        ((10.0, 2.0), (12.0, -1.0), "worse"),
        ((10.0, 2.0), (10.1, 2.1), "same"),
        ((10.0, 2.0), (12.0, 2.0), "better"),
        ((12.0, 2.0), (10.0, 2.0), "worse"),
    ],
)
def test_a_place_is_better_by_the_banks_it_charges_then_by_the_current(
    before: tuple[float, ...], after: tuple[float, ...], sign: str
) -> None:
    """No bank may go without for another's sake: our own order."""
    currents = enumerate(zip(before, after, strict=True))
    banks = tuple(BankAnswer(str(n), 13.0, 13.0, old, new, None) for n, (old, new) in currents)

    assert charge_sign(banks) == sign


def test_a_place_that_leaves_no_bank_without_is_ranked_before_one_that_does() -> None:
    subject = demo_boat("1-sloop")
    found = pick_up(subject, "alternator", "positive", "under-way", None).taps
    ranked = sorted((tap for tap in found if tap.rank), key=lambda tap: tap.rank or 0)
    left = [any(one.current_before_a > 1 > one.current_after_a for one in tap.banks) for tap in ranked]

    assert set(left) == {False, True}
    assert left == sorted(left)
    assert all(tap.mark == "worse" for tap, is_left in zip(ranked, left, strict=True) if is_left)
    assert all(charge(tap.banks)[0] for tap in ranked)
