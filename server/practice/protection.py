"""Fuses and breakers: how large, how far from the source, and how much they must interrupt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, assert_never

from server.practice.profiles import RuleSet
from server.practice.rules import rule_distance, rule_figure
from server.practice.sourced import NoFigure, Sourced, Status, weakest
from server.practice.tables import figure, rows
from server.units import Ampere, AmpereHour, Volt

BreakerRole = Literal["main", "branch"]

_FEDERAL_LIMIT_CHANGES_V: Volt = 50.0
_HIGHEST_24_V_CLASS_V: Volt = 24.0
_TABLE_ENDS_CCA: Ampere = 2200.0
_TABLE_ENDS_AH: AmpereHour = 500.0
_PER_CENT = 100.0
_ENTER = "judge by the battery maker's short-circuit figure: enter it"


@dataclass(frozen=True, slots=True)
class RatingLimit:
    """Largest device for a conductor, in amperes.

    `limit_a` is always allowed. Where `ceiling_a` is higher, the next standard rating above
    `limit_a` is allowed too, up to the ceiling, if no standard rating equals the limit.
    """

    limit_a: Ampere
    ceiling_a: Ampere
    source: str
    status: Status

    def allows(self, rating_a: Ampere) -> bool:
        """True when a device of this rating may protect the conductor.

        The list of standard ratings is from memory, so a verdict resting on it inherits that mark:
        see `rests_on_standard_ratings`.
        """
        return rating_a <= self.largest_a

    @property
    def largest_a(self) -> Ampere:
        """The largest device that may protect the conductor."""
        if self.ceiling_a <= self.limit_a:
            return self.limit_a
        rating = next_standard_rating(self.limit_a)
        return rating if rating is not None and rating <= self.ceiling_a else self.limit_a

    def rests_on_standard_ratings(self, rating_a: Ampere) -> bool:
        """True when the verdict on this rating depends on the list of standard ratings."""
        return self.limit_a < rating_a <= self.ceiling_a

    def status_for(self, rating_a: Ampere) -> Status:
        """How far the verdict on this rating is confirmed."""
        return "memory" if self.rests_on_standard_ratings(rating_a) else self.status


def standard_ratings() -> tuple[Ampere, ...]:
    """Usual ratings of fuses and breakers, from memory, confirm."""
    return tuple(float(row["rating_a"]) for row in rows("standard_ratings"))


def next_standard_rating(current_a: Ampere) -> Ampere | None:
    """The smallest usual rating that is not below a current; None above the largest."""
    return next((rating for rating in standard_ratings() if rating >= current_a), None)


def rating_limit(ampacity: Sourced, circuit_v: Volt, rule_set: RuleSet) -> RatingLimit:
    """Largest overcurrent device for a conductor of this ampacity.

    33 CFR 183.455(c): 150 % below 50 V; 100 %, or the next standard rating up to 150 %, from 50 V.
    ABYC E-11: 100 %, or the next standard rating up to 150 %. ISO 10133: 100 %, from memory.
    """
    match rule_set:
        case "33-cfr-183" if circuit_v < _FEDERAL_LIMIT_CHANGES_V:
            plain = ceiling = rule_figure("ocp-150pct-lt50v")
        case "33-cfr-183":
            plain, ceiling = rule_figure("ocp-100pct-ge50v"), rule_figure("ocp-150pct-lt50v")
        case "abyc-e11":
            plain, ceiling = rule_figure("e11-100pct"), rule_figure("ocp-150pct-lt50v")
        case "iso-10133":
            plain = ceiling = rule_figure("iso-100pct")
        case _:
            assert_never(rule_set)
    return RatingLimit(
        limit_a=ampacity.value * plain.value / _PER_CENT,
        ceiling_a=ampacity.value * ceiling.value / _PER_CENT,
        source=f"{plain.source}; {ampacity.source}",
        status=weakest(plain.status, ampacity.status),
    )


def location_limit(rule_set: RuleSet, *, on_battery: bool, sheathed: bool) -> Sourced | None:
    """Farthest the device may sit from the source along the conductor, in metres; None: no limit.

    `sheathed` means in a sheath or enclosure the whole way to the device. Cranking motor conductors
    and pigtails shorter than 7 in are exempt in the US rules; that is the caller's to know, and so is
    that a cable with anything else tapped off it is a feeder, not a cranking conductor.
    """
    match rule_set:
        case "abyc-e11" if sheathed:
            return rule_distance("e11-72in" if on_battery else "e11-40in")
        case "abyc-e11":
            return rule_distance("e11-7in")
        case "33-cfr-183" if on_battery:
            return rule_distance("battery-72in")
        case "33-cfr-183":
            return rule_distance("ocp-40in" if sheathed else "ocp-7in")
        case "iso-10133":
            return None if sheathed else rule_distance("iso-ocp-200mm")
        case _:
            assert_never(rule_set)


def interrupting_capacity(
    role: BreakerRole, bank_cca: Ampere | None, nominal_v: Volt, bank_capacity_ah: AmpereHour | None = None
) -> Sourced | NoFigure:
    """Least interrupting capacity of a breaker on a bank of this cranking rating (ABYC E-11).

    Strings in parallel add their ratings, batteries in series do not.
    Banks without a cranking rating, lithium above all, and banks beyond the table are judged by the
    battery maker's short-circuit figure.

    >>> interrupting_capacity("main", 900, 12).value
    3000.0
    """
    if bank_cca is None:
        return NoFigure(reason=f"the table goes by cranking amperes and the bank has none stated; {_ENTER}")
    if bank_cca > _TABLE_ENDS_CCA or (bank_capacity_ah or 0) > _TABLE_ENDS_AH:
        return NoFigure(reason=f"the table ends at 2200 CCA or 500 Ah; {_ENTER}")
    system = "12-24" if nominal_v <= _HIGHEST_24_V_CLASS_V else "32"
    matching = [row for row in rows("interrupting_capacity") if row["system"] == system]
    row = next(row for row in matching if bank_cca <= float(row["cca_to"] or bank_cca))
    return figure(row, f"{role}_a", "A")
