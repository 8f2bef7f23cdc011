"""What a place does to a held lead and to the rest of the boat, in words."""

from typing import TYPE_CHECKING, Literal

from server.actions.words import VERDICTS
from server.checks.copper import REACHES_M
from server.web.views.bank_words import OFF, bank_now, counting_words
from server.web.views.figures import NONE, least, metres, most, per_cent, sag_volts

if TYPE_CHECKING:
    from server.engine.answer import OthersEffect, PickUp, TapAnswer

Bearing = Literal["load", "heavy", "source"]
"""Whose lead is held: the answers for a heavy load or a source begin with the rest of the boat."""


def now_words(held: "PickUp", bearing: Bearing) -> str:
    """Where the lead lies now, and what that brings."""
    if held.present is None:
        return "It is loose now."
    if bearing == "source":
        banks = "; ".join(map(bank_now, held.present.banks))
        return f"Now on {held.present.place}. {f'{banks}.' if banks else OFF}"
    if bearing != "load":
        return f"Now on {held.present.place}. {_rest_now(held.present.others)}".rstrip()
    volts = (
        ""
        if held.present.lowest is None
        else f": {lowest_words(held.present)}, {VERDICTS[held.present.verdict]}"
    )
    return f"Now on {held.present.place}{volts}."


def _rest_now(others: "OthersEffect") -> str:
    if others.worst_name is None:
        return ""
    return f"Worst of the rest: {others.worst_name} with {sag_volts(others.worst_before_v)}."


def first_line(held: "PickUp", answer: "TapAnswer") -> str:
    """The place, the volts before and after against the need, the verdict."""
    before = NONE if held.present is None else lowest_words(held.present)
    volts = lowest_words(answer)
    pair = volts if before == NONE else f"{before.removesuffix(' V')} → {volts.removeprefix('≈ ')}"
    need = "" if answer.need_v is None else f", needs {sag_volts(answer.need_v).removesuffix(' V')}"
    return f"{answer.place} · {pair}{need} · {VERDICTS[answer.verdict]}"


def second_line(held: "PickUp", answer: "TapAnswer", breaks: str) -> str:
    """What breaks, the drop, the cable, the counting, the fuse, and the others."""
    drop = f"drop {least(per_cent(answer.drop_fraction), answer.unknown)}"
    others = f"others {answer.others.better} better, {answer.others.worse} worse{_restarts(answer.others)}"
    words = (
        breaks,
        drop,
        _length(answer),
        cable_words(held, answer),
        _counted(answer),
        _fused(answer),
        others,
    )
    return " · ".join(word for word in words if word)


def rest_line(answer: "TapAnswer") -> str:
    """What the place does to the rest of the boat."""
    others = answer.others
    if others.worst_name is None:
        return f"{answer.place} · nothing else is on in this event"
    before, after = sag_volts(others.worst_before_v).removesuffix(" V"), sag_volts(others.worst_after_v)
    restarts = f"restarts {others.restarts_before} → {others.restarts_after}"
    return f"{answer.place} · worst of the rest: {others.worst_name} {before} → {after} · {restarts}"


def own_line(held: "PickUp", answer: "TapAnswer", breaks: str, bearing: Bearing) -> str:
    """The lead's own figures, which come second; a source has no volts it needs."""
    own = f"its own lowest {lowest_words(answer)}" if bearing == "heavy" and answer.lowest is not None else ""
    words = (
        breaks,
        rest_words(answer.others),
        own,
        _length(answer),
        cable_words(held, answer),
        counting_words(answer) if bearing == "source" else _counted(answer),
        _fused(answer),
    )
    return " · ".join(word for word in words if word)


def rest_words(others: "OthersEffect") -> str:
    """How many others a place makes better and worse off."""
    if not others.better and not others.worse:
        return "the rest stays as it is"
    return f"the rest: {others.better} better, {others.worse} worse"


def lowest_words(answer: "TapAnswer") -> str:
    """The lowest volts at a place; at most these where a wire on the way is not known.

    Those of the first instant only, which the event in time may follow, are about these.
    """
    if answer.lowest is None:
        return NONE
    return ("" if answer.exact else "≈ ") + most(sag_volts(answer.lowest.value), answer.unknown)


def cable_words(held: "PickUp", answer: "TapAnswer") -> str:
    """Whether the cable that is there reaches the place."""
    now = None if held.present is None else held.present.length_m
    if now is None or answer.length_m is None:
        return ""
    more = answer.length_m - now
    return "existing cable reaches" if more <= REACHES_M else f"needs {metres(more)} more: new cable"


def _length(answer: "TapAnswer") -> str:
    return "" if answer.length_m is None else f"{metres(answer.length_m)} {answer.length_basis}".rstrip()


def _counted(answer: "TapAnswer") -> str:
    if not answer.bank_monitored:
        return "fed by a bank without a monitor"
    if answer.counted_fraction >= _WHOLE:
        return "counted"
    if answer.counted_fraction <= 1 - _WHOLE:
        return "not counted"
    return f"{answer.counted_fraction:.0%} counted".replace("%", " %")


def _fused(answer: "TapAnswer") -> str:
    if answer.protected and not answer.device_judged:
        return "device not judged"
    return "fused" if answer.protected else "not fused"


_WHOLE = 0.995
"""From here on a share reads as all of it when rounded to whole per cent."""


def _restarts(others: "OthersEffect") -> str:
    if others.restarts_after == others.restarts_before:
        return ""
    return f", restarts {others.restarts_before} → {others.restarts_after}"
