"""Where a conductor of a survey list ends, by what was written: neither case nor colons nor spaces matter.

A bar named alone means its next free stud. The number at the end of a name may be left out, and the terminal
be left out or only begun, where just one terminal is meant then; “+” and “−” stand for the two poles.
"""

from collections.abc import Container, Iterator, Mapping
from difflib import get_close_matches

from server.actions.terminal_choice import NEXT_FREE, bars_by_words, terminals_by_words
from server.boat.boat import Boat
from server.boat.value import TerminalRef

MOST_ASKED = 4
"""So many terminals are named where several may be meant."""
ALIKE = 0.75
"""From which share of like letters on a text is taken for a misspelt terminal; our own choice, only asked."""


class Spots:
    """The terminals of a boat by what people write of them."""

    def __init__(self, boat: Boat) -> None:
        """The boat before the first row."""
        self._terminals = terminals_by_words(boat)
        bars = bars_by_words(boat)
        self._bars = {words.casefold(): studs for words, studs in bars.items()}
        self._at = {words.casefold(): at for words, at in self._terminals.items()}
        self._exact = self._at.keys() | self._bars.keys()
        plain: dict[str, set[str]] = {}
        for words in self._exact:
            plain.setdefault(_plain(words), set()).add(words)
        for words in self._bars:
            plain.setdefault(_plain(words.removesuffix(NEXT_FREE)), set()).add(words)
        self._plain = {words: next(iter(found)) for words, found in plain.items() if len(found) == 1}
        self._parts = tuple(_parts(boat))
        self._beginnings = tuple(_beginnings(boat, self._terminals, bars))

    def called(self, text: str, taken: Container[TerminalRef]) -> TerminalRef | None:
        """The terminal that a text names; of a bar the next stud that is not taken."""
        words = (self._said(text) or self.begun(text)).casefold()
        if words in self._bars:
            return next((stud for stud in self._bars[words] if stud not in taken), None)
        return self._at.get(words)

    def words_of(self, at: TerminalRef | None) -> str:
        """The words of a terminal."""
        found = (words for words, one in self._terminals.items() if one == at)
        return next((words for words in found if not words.endswith(NEXT_FREE)), "")

    def begun(self, text: str) -> str:
        """The words of the one terminal or bar that a text only begins; empty where there are several."""
        meant = () if self._said(text) else self._meant(text)
        return meant[0] if len(meant) == 1 else ""

    def choices(self, text: str) -> tuple[str, ...]:
        """The words of all that a text may begin, where that is more than one terminal or bar."""
        meant = () if self._said(text) else self._meant(text)
        return meant if len(meant) > 1 else ()

    def is_aboard(self, text: str) -> bool:
        """Whether a text speaks of something that is aboard, though not of one terminal of it."""
        return bool(self._said(text) or self._meant(text) or self.part(text))

    def part(self, text: str) -> str:
        """The id of the part that a text names alone; empty where it names none, or more than the part."""
        typed = tuple(_plain(text).split())
        named = {part for name, part in self._parts if name == typed}
        return next(iter(named)) if len(named) == 1 else ""

    def which(self, text: str) -> str:
        """What is asked about a text that leads to no terminal; empty where it is like none."""
        if self._said(text) or self.begun(text):
            return "No stud is free there any more."
        meant = self._meant(text) or tuple(filter(None, [self.near(text)]))
        more = len(meant) - MOST_ASKED
        named = [*meant[:MOST_ASKED], *([f"one of {more} more"] if more > 0 else [])]
        if len(named) > 1:
            return f"Which one: {', '.join(named[:-1])} or {named[-1]}?"
        return f"Did you mean {named[0]}?" if named else ""

    def _said(self, text: str) -> str:
        """The words of the terminal or bar that a text says in full."""
        return text.casefold() if text.casefold() in self._exact else self._plain.get(_plain(text), "")

    def _meant(self, text: str) -> tuple[str, ...]:
        """The words of all terminals and bars that a text begins; of a bar and its studs the bar alone."""
        typed = tuple(_plain(text).split())
        begun = (
            words
            for least, full, words in self._beginnings
            if least <= len(typed) and full[: len(typed)] == typed
        )
        found = tuple(dict.fromkeys(begun))
        for words in found:
            studs = self._bars.get(words.casefold(), ())
            if studs and all(one == words or self._terminals.get(one) in studs for one in found):
                return (words,)
        return found

    def near(self, text: str) -> str:
        """The words of a terminal that a text may have meant: by beginnings of its words, or a slip."""
        begun = _plain(text).split()
        if not begun:
            return ""
        for words in self._terminals:
            parts = _plain(words).split()
            if all(any(part.startswith(one) for part in parts) for one in begun):
                return words
        slips = get_close_matches(_plain(text), [_plain(words) for words in self._terminals], 1, ALIKE)
        return next((words for words in self._terminals if _plain(words) in slips), "")


def _parts(boat: Boat) -> Iterator[tuple[tuple[str, ...], str]]:
    """Each part by its name, and by its name without the number at its end."""
    for part in boat.parts:
        name = tuple(_plain(part.name).split())
        yield name, part.id
        if len(name) > 1 and name[-1].isdigit():
            yield name[:-1], part.id


def _beginnings(
    boat: Boat, terminals: Mapping[str, TerminalRef], bars: Mapping[str, tuple[TerminalRef, ...]]
) -> Iterator[tuple[int, tuple[str, ...], str]]:
    """Each terminal and bar with how it may be begun: how many words at least, all of them, its own words.

    Parts of one name are left out: their ids tell them apart, which nobody begins.
    """
    names = {part.id: part.name for part in boat.parts}
    at = {words: one.part for words, one in terminals.items() if not words.endswith(NEXT_FREE)}
    at |= {words: studs[0].part for words, studs in bars.items() if studs}
    for words, part in at.items():
        name, rest = _plain(names[part]).split(), _plain(words[len(names[part]) :]).split()
        if not name or not words.startswith(f"{names[part]}: "):
            continue
        yield len(name), (*name, *rest), words
        if name[-1].isdigit() and len(name) > 1:
            yield len(name) - 1, (*name[:-1], *rest), words


_POLES = {"+": "positive", "pos": "positive", "plus": "positive"} | dict.fromkeys(
    ("-", "−", "neg", "minus"), "negative"
)


def without_pole(text: str) -> str:
    """A text without the pole that is named at its end.

    >>> without_pole("Start battery +"), without_pole("Minus")
    ('Start battery', 'Minus')
    """
    words = text.replace("+", " + ").split()
    poles = {*_POLES, *_POLES.values()}
    while len(words) > 1 and words[-1].casefold() in poles:
        words.pop()
    return " ".join(words)


def _plain(text: str) -> str:
    words = text.casefold().replace(":", " ").replace("+", " + ").split()
    return " ".join(_POLES.get(word, word) for word in words)
