"""Hours and prices of a change in words."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.comparing_work import RULE
from server.checks.words import listed
from server.web.views.figures import NONE

if TYPE_CHECKING:
    from server.actions.comparing_work import Cost, Job, Priced

NOTHING = "Nothing has to be bought and nothing moved."


@dataclass(frozen=True)
class WorkRowView:
    """One job, or one thing to be bought."""

    what: str
    count: str
    each: str
    sum: str


@dataclass(frozen=True)
class WorkView:
    """Hours and prices by the yard's own figures."""

    jobs: tuple[WorkRowView, ...]
    things: tuple[WorkRowView, ...]
    total: str
    missing: str
    rule: str
    note: str
    prices_url: str


def work_view(of: "Cost", prices_url: str) -> WorkView:
    """The jobs and the things to be bought, with the yard's own figures where it has stated them."""
    return WorkView(
        jobs=(*map(_job, of.jobs), *_labour(of)),
        things=tuple(_thing(one, of.currency) for one in of.things),
        total=total_words(of),
        missing=f"The yard has not stated: {listed(of.missing)}." if of.missing else "",
        rule=RULE,
        note=of.note,
        prices_url=prices_url,
    )


def total_words(of: "Cost") -> str:
    """The sums: complete, or at least what is known of them."""
    if not of.jobs and not of.things:
        return NOTHING
    bound = "" if of.is_known else "at least "
    if of.total == 0 and not of.is_known:
        return f"{hours_words(of)}. No price can be told yet." if of.hours else "No sum can be told yet."
    return f"{hours_words(of)}; {bound}{money(of.total, of.currency)} in all."


def hours_words(of: "Cost") -> str:
    """The hours, as far as they are stated."""
    bound = "" if all(job.hours is not None for job in of.jobs) else "At least "
    return f"{bound}{of.hours:g} hour{'' if of.hours == 1 else 's'} of work"


def money(value: float, currency: str) -> str:
    """A sum in the yard's own currency.

    >>> money(1234.5, "EUR")
    '1 234.50 EUR'
    """
    return f"{value:,.2f}".replace(",", " ") + (f" {currency}" if currency else "")


def _job(one: "Job") -> WorkRowView:
    each = NONE if one.hours is None else f"{one.hours / one.count:g} h"
    return WorkRowView(one.what, str(one.count), each, NONE if one.hours is None else f"{one.hours:g} h")


def _labour(of: "Cost") -> Iterator[WorkRowView]:
    """What the hours together cost."""
    if of.hours and of.hour is not None and of.labour is not None:
        each, together = (money(value, of.currency) for value in (of.hour, of.labour))
        yield WorkRowView("hours, together", f"{of.hours:g} h", each, together)


def _thing(one: "Priced", currency: str) -> WorkRowView:
    each = NONE if one.each is None else money(one.each, currency)
    return WorkRowView(one.what, one.quantity, each, NONE if one.cost is None else money(one.cost, currency))
