"""What a change asks for in work and money, by the yard's own hours and prices alone."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from server.actions.comparing_copper import Copper
from server.actions.comparing_words import moved_ends, moved_leads
from server.actions.part_words import called_before, trade_name
from server.actions.prices import HOURS, Prices
from server.boat.boat import Boat
from server.boat.parts import AnyPart
from server.boat.value import nominal
from server.checks.copper import REACHES_M
from server.units import Metre

RULE = (
    "Counted so: a lead that lands elsewhere is one lead moved; a cable that is new, of another size or "
    "longer than the one that is there has two ends made; any other end that "
    "lands elsewhere is one end made. "
    "The rule of counting is our own (common practice, no source); hours and prices are the yard's."
)


METRES_DIGITS = 2
MONEY_DIGITS = 2
"""Metres and sums are rounded before they are multiplied and added, so that what is shown adds up."""


@dataclass(frozen=True)
class Job:
    """So many times one job, and how long that takes; None where the yard has stated no hours for it."""

    what: str
    count: int
    hours: float | None


@dataclass(frozen=True)
class Priced:
    """One thing to be bought, and what it costs; None where the yard has no price for it."""

    what: str
    quantity: str
    each: float | None
    cost: float | None


@dataclass(frozen=True)
class Cost:
    """Work and money of a change; sums are over what is known, ``missing`` names the rest.

    ``labour`` is what the hours cost, None where the yard has no price for one.
    """

    jobs: tuple[Job, ...]
    things: tuple[Priced, ...]
    hours: float
    hour: float | None
    labour: float | None
    material: float
    total: float
    currency: str
    note: str
    missing: tuple[str, ...]

    @property
    def is_known(self) -> bool:
        """Whether nothing is missing from the total."""
        return not self.missing


def cost(before: Boat, after: Boat, of: Copper, prices: Prices) -> Cost:
    """What it takes to get from one boat to another."""
    counts = dict(zip(HOURS, _counts(before, after, of), strict=True))
    jobs = tuple(_job(what, count, prices) for what, count in counts.items() if count)
    things = (*_cables(of, prices), *_parts(of.added, prices))
    hours = sum(job.hours or 0.0 for job in jobs)
    labour = None if prices.hour is None else round(hours * prices.hour, MONEY_DIGITS)
    material = sum(thing.cost or 0.0 for thing in things)
    missing = [f"hours for “{job.what}”" for job in jobs if job.hours is None]
    missing += [f"a price for {thing.what}" for thing in things if thing.cost is None]
    if jobs and prices.hour is None:
        missing.append("the price of an hour")
    missing += [
        f"lengths or sizes of {count} new cables" for count in (_unknown_cables(before, after),) if count
    ]
    return Cost(
        jobs=jobs,
        things=things,
        hours=hours,
        hour=prices.hour,
        labour=labour,
        material=material,
        total=material + (labour or 0.0),
        currency=prices.currency,
        note=prices.note,
        missing=tuple(missing),
    )


def _counts(before: Boat, after: Boat, of: Copper) -> tuple[int, int, int, int]:
    """Leads moved, ends made, parts fitted, parts taken out: in the order of the jobs."""
    ends = 2 * _new_cables(before, after) + moved_ends(before, after)
    return moved_leads(before, after), ends, len(of.added), len(of.removed)


def _new_cables(before: Boat, after: Boat) -> int:
    """Conductors that are new, of another size, or longer than what is there."""
    had = {one.id: one for one in before.conductors if one.kind == "wire"}
    count = 0
    for one in after.conductors:
        if one.kind == "wire":
            old = had.get(one.id)
            longest = None if old is None or old.length_m is None else nominal(old.length_m) + REACHES_M
            grown = longest is not None and one.length_m is not None and nominal(one.length_m) > longest
            resized = old is not None and one.size is not None and one.size != old.size
            count += old is None or grown or resized
    return count


def _unknown_cables(before: Boat, after: Boat) -> int:
    """New conductors that cannot be bought by what is known of them."""
    had = {one.id for one in before.conductors}
    return sum(
        one.kind == "wire" and one.id not in had and (one.size is None or one.length_m is None)
        for one in after.conductors
    )


def _job(what: str, count: int, prices: Prices) -> Job:
    each = prices.hours.get(what)
    return Job(what, count, None if each is None else each * count)


def _cables(of: Copper, prices: Prices) -> Iterator[Priced]:
    for one in of.bought:
        each, metres = prices.cable.get(one.label), round(one.length_m, METRES_DIGITS)
        sum_ = None if each is None else round(each * metres, MONEY_DIGITS)
        yield Priced(f"cable {one.label}", metres_words(one.length_m), each, sum_)


def _parts(added: Iterable[AnyPart], prices: Prices) -> Iterator[Priced]:
    for names, count in Counter((*part_names(one), *_names_before(one)) for one in added).items():
        each = next((prices.part[name] for name in names if name in prices.part), None)
        yield Priced(names[0], f"{count}", each, None if each is None else round(each * count, MONEY_DIGITS))


def metres_words(length_m: Metre) -> str:
    """A length to be bought, to the digits it is priced by."""
    return f"{length_m:.{METRES_DIGITS}f} m"


def part_names(part: AnyPart) -> tuple[str, ...]:
    """What a part is called in a price list: by the trade, with its rating if it has one, then without."""
    return _rated(trade_name(part), part)


def _names_before(part: AnyPart) -> tuple[str, ...]:
    """What it is called in a price list that was entered when parts went by their kinds."""
    return _rated(called_before(part), part)


def _rated(name: str, part: AnyPart) -> tuple[str, ...]:
    rating = getattr(part, "rating_a", None) or getattr(part, "rated_current_a", None)
    return (f"{name} {rating:g} A", name) if rating else (name,)
