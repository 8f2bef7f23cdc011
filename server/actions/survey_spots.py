"""Where a conductor of a survey list ends, by what was written: neither case nor colons nor spaces matter.

A bar named alone means its next free stud.
"""

from collections.abc import Container
from difflib import get_close_matches

from server.actions.terminal_choice import NEXT_FREE, bars_by_words, terminals_by_words
from server.boat.boat import Boat
from server.boat.value import TerminalRef

ALIKE = 0.75
"""From which share of like letters on a text is taken for a misspelt terminal; our own choice, only asked."""


class Spots:
    """The terminals of a boat by what people write of them."""

    def __init__(self, boat: Boat) -> None:
        """The boat before the first row."""
        self._terminals = terminals_by_words(boat)
        self._bars = {words.casefold(): studs for words, studs in bars_by_words(boat).items()}
        self._exact = {words.casefold(): words.casefold() for words in (*self._terminals, *self._bars)}
        self._at = {words.casefold(): at for words, at in self._terminals.items()}
        plain: dict[str, set[str]] = {}
        for words in self._exact:
            plain.setdefault(_plain(words), set()).add(words)
        for words in self._bars:
            plain.setdefault(_plain(words.removesuffix(NEXT_FREE)), set()).add(words)
        self._plain = {words: next(iter(found)) for words, found in plain.items() if len(found) == 1}

    def called(self, text: str, taken: Container[TerminalRef]) -> TerminalRef | None:
        """The terminal that a text names; of a bar the next stud that is not taken."""
        words = self._exact.get(text.casefold()) or self._plain.get(_plain(text), "")
        if words in self._bars:
            return next((stud for stud in self._bars[words] if stud not in taken), None)
        return self._at.get(words)

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


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace(":", " ").split())
