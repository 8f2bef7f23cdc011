"""What a place for a source's lead brings each bank, in words."""

from typing import TYPE_CHECKING

from server.web.views.figures import NONE, amperes, volts

if TYPE_CHECKING:
    from server.engine.answer import BankAnswer, TapAnswer

SMALLEST_A = 0.05
"""Half of the 0.1 A to which currents are shown."""
OFF = "It gives nothing in this mode: choose one in which it runs to see what each bank would get."


def bank_words(bank: "BankAnswer") -> str:
    """One bank's volts and current, before and after."""
    before, after = volts(bank.before_v), volts(bank.after_v)
    pair = after if before == after else f"{before.removesuffix(' V')} → {after}"
    return f"{bank.name} {pair}, {_current(bank)}"


def bank_now(bank: "BankAnswer") -> str:
    """One bank's volts and current with the lead as it lies."""
    return f"{bank.name} {volts(bank.before_v)}, {_takes(bank.current_before_a)}"


def banks_line(answer: "TapAnswer") -> str:
    """The place, and every bank before and after."""
    return " · ".join((answer.place, *map(bank_words, answer.banks)))


def charged_words(answer: "TapAnswer") -> str:
    """What all charged banks take together."""
    taken = [bank.current_after_a for bank in answer.banks if bank.current_after_a >= SMALLEST_A]
    if not answer.banks:
        return NONE
    return f"charges {amperes(sum(taken))}" if taken else "charges no bank"


def counting_words(answer: "TapAnswer") -> str:
    """Whether the monitors count it, where it charges anything."""
    charged = [bank for bank in answer.banks if bank.current_after_a >= SMALLEST_A]
    told = {True: "counted", False: "not counted", None: "no monitor"}
    if not charged:
        return ""
    counted = {bank.counted for bank in charged}
    if len(counted) == 1:
        return told[counted.pop()]
    return ", ".join(f"{bank.name} {told[bank.counted]}" for bank in charged)


def _current(bank: "BankAnswer") -> str:
    before, after = _takes(bank.current_before_a), _takes(bank.current_after_a)
    if before == after:
        return after
    verb, _, figure = after.partition(" ")
    old_verb, _, old = before.partition(" ")
    return f"{verb} {old.removesuffix(' A')} → {figure}" if verb == old_verb else f"{before} → {after}"


def _takes(current_a: float) -> str:
    if abs(current_a) < SMALLEST_A:
        return f"takes {amperes(0.0)}"
    return f"{'takes' if current_a > 0 else 'gives'} {amperes(abs(current_a))}"
