"""The yard's own prices and hours: entered, read and given out as text, and in force for every boat.

Nothing is priced that the yard has not priced: there are no figures of our own.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from server.actions.part_words import called_now
from server.actions.yard import Yard
from server.store.values import PriceListRow

__all__ = [
    "HOURS",
    "PriceListRow",
    "PriceProblem",
    "Prices",
    "PricesError",
    "keep_prices",
    "prices",
    "prices_text",
    "read_prices",
]

HOURS = ("lead moved", "end made", "part fitted", "part taken out")
"""The jobs that a yard states its hours for."""
MOST_LINES = 500
MOST_CHARACTERS = 120
MOST_FIGURE = 1e7
_FORMULA = ("=", "+", "-", "@")


@dataclass(frozen=True)
class Prices:
    """What a yard charges: a metre of each size, a part of each kind, an hour, and how long a job takes.

    A part goes by its trade name, or by that and its rating where that is priced apart: “fuse”, “fuse 60 A”.
    """

    currency: str = ""
    hour: float | None = None
    note: str = ""
    cable: Mapping[str, float] = field(default_factory=dict)
    part: Mapping[str, float] = field(default_factory=dict)
    hours: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class PriceProblem:
    """What is wrong with one line or field."""

    place: str
    message: str


class PricesError(ValueError):
    """A list that cannot be kept; each problem is placed."""

    def __init__(self, problems: tuple[PriceProblem, ...]) -> None:
        """Keep the problems."""
        super().__init__("; ".join(f"{one.place}: {one.message}" for one in problems))
        self.problems = problems


def prices(yard: Yard) -> tuple[Prices, PriceListRow | None]:
    """The list in force, empty where none was entered."""
    row = yard.store.price_list()
    return (Prices(), None) if row is None else (read_prices(row.content), row)


def keep_prices(yard: Yard, text: str, request_id: str) -> Prices:
    """Put a list in force.

    Raises:
        PricesError: the text is no list; every problem is placed.
        RequestReusedError: the key was used for another list.
    """
    found = read_prices(text)
    yard.store.keep_price_list(content=prices_text(found), request_id=request_id)
    return found


def read_prices(text: str) -> Prices:
    """A list from its text: what, which and how much in each line, parted by semicolons, tabs or commas.

    Raises:
        PricesError: a line cannot be read; every problem is placed.
    """
    found, problems = Prices(), list[PriceProblem]()
    lines = text.removeprefix("\ufeff").splitlines()
    if len(lines) > MOST_LINES:
        raise PricesError((PriceProblem("file", f"These are more than {MOST_LINES} lines."),))
    for number, line in enumerate(lines, 1):
        cells = _cells(line)
        if not any(cells) or (number == 1 and cells[0] == "what"):
            continue
        try:
            found = _with(found, *cells)
        except ValueError as error:
            problems.append(PriceProblem(f"line {number}", str(error)))
    if problems:
        raise PricesError(tuple(problems))
    return found


def _cells(line: str) -> tuple[str, str, str]:
    """Three cells; without semicolon or tab a comma parts them."""
    separator = next((one for one in (";", "\t") if one in line), ",")
    cells = [cell.strip().strip('"').strip() for cell in line.split(separator, 2)]
    what, which, figure = (*cells, "", "")[:3]
    return what.lower(), which, figure.rstrip(f"{separator} ")


def _with(so_far: Prices, what: str, which: str, figure: str) -> Prices:
    if max(len(which), len(figure)) > MOST_CHARACTERS:
        raise ValueError(f"Keep it to {MOST_CHARACTERS} characters.")
    if which.startswith(_FORMULA) or (what in {"currency", "note"} and figure.startswith(_FORMULA)):
        raise ValueError("Begin with a letter or a digit: a spreadsheet would take it for a formula.")
    match what:
        case "currency":
            return replace(so_far, currency=figure)
        case "note":
            return replace(so_far, note=figure)
        case "hour":
            return replace(so_far, hour=_figure(figure))
        case "cable" if which:
            return replace(so_far, cable={**so_far.cable, which: _figure(figure)})
        case "part" if which:
            return replace(so_far, part=_with_part(so_far.part, which, _figure(figure)))
        case "hours" if which in HOURS:
            return replace(so_far, hours={**so_far.hours, which: _figure(figure)})
        case "hours":
            raise ValueError(f"Say hours for one of: {', '.join(HOURS)}.")
        case "cable" | "part":
            raise ValueError("Say which size, or which kind of part, the price is for.")
        case _:
            raise ValueError(f"“{what}” is none of: currency, hour, note, cable, part, hours.")


def _with_part(so_far: Mapping[str, float], which: str, figure: float) -> Mapping[str, float]:
    """A part's price beside the others; one by the name of before does not displace one by today's."""
    now = called_now(which)
    return so_far if now != which and now in so_far else {**so_far, now: figure}


def _figure(text: str) -> float:
    try:
        value = float(text.replace(",", ".")) if text.isascii() else -1.0
    except ValueError:
        value = -1.0
    if not 0 <= value <= MOST_FIGURE:
        raise ValueError(f"“{text}” is no figure: enter a number from 0 up, for example 12.50.")
    return value


def prices_text(of: Prices) -> str:
    """The text that `read_prices` reads: one line a figure."""
    return "\n".join(("what; which; figure", *_lines(of))) + "\n"


def _lines(of: Prices) -> Iterator[str]:
    if of.currency:
        yield f"currency; ; {of.currency}"
    if of.hour is not None:
        yield f"hour; ; {of.hour:.12g}"
    if of.note:
        yield f"note; ; {of.note}"
    for what, figures in (("cable", of.cable), ("part", of.part), ("hours", of.hours)):
        for which, figure in figures.items():
            yield f"{what}; {which}; {figure:.12g}"
