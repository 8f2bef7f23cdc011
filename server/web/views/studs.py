"""The studs of one place: what is the same by its volts is still another bolt to the hand."""

from typing import TYPE_CHECKING

from server.actions.lists import terminal_words
from server.boat.leads import Landings
from server.boat.value import TerminalRef
from server.web.views.forms import ChoiceView

if TYPE_CHECKING:
    from server.engine.answer import TapAnswer


def studs(landings: Landings, answer: "TapAnswer") -> tuple[ChoiceView, ...]:
    """The terminals of a place in the part's order, the nearest free one chosen; none where one is all."""
    if not answer.same_as:
        return ()
    part = landings.parts[answer.terminal.part]
    found = sorted((answer.terminal, *answer.same_as), key=lambda one: _in_order(one.terminal))
    return tuple(
        ChoiceView(
            one.terminal,
            f"{terminal_words(part, one.terminal)}{_on_it(landings, one)}",
            one == answer.terminal,
        )
        for one in found
    )


def _on_it(landings: Landings, terminal: TerminalRef) -> str:
    count = len(landings.at(terminal.part, terminal.terminal))
    return f", {count} on it" if count else ", free"


def _in_order(name: str) -> tuple[str, int]:
    """Stud 10 after stud 9."""
    word = name.rstrip("0123456789")
    number = name.removeprefix(word)
    return word, int(number) if number else 0
