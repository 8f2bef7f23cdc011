"""One word of the catalogue with its questions."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from pydantic import JsonValue, TypeAdapter

from server.boat.parts import AnyPart
from server.boat.value import Id, Name
from server.units import Volt

Answers = Mapping[str, str | float | None]
"""What was answered, by the question's key; None where it is not known."""

Fields = dict[str, JsonValue]

_PART: TypeAdapter[AnyPart] = TypeAdapter(AnyPart)


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that is asked: a figure with its unit, a count, a choice, or lines of text.

    ``usual`` stands in the field beforehand. What is not ``needed`` may be left empty: it is not known.
    """

    key: str
    label: str
    kind: Literal["figure", "count", "choice", "lines"] = "figure"
    unit: str = ""
    usual: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    most: float = 10_000.0
    needed: bool = False


@dataclass(frozen=True, slots=True)
class Made:
    """What a part is made of: its id and name, the boat's nominal voltage, and the answers."""

    id: Id
    name: Name
    volts: Volt
    answers: Answers

    def __getitem__(self, key: str) -> str | float | None:
        """An answer; None where it is not known."""
        return self.answers.get(key)

    def figure(self, key: str) -> float:
        """A figure that was needed.

        Raises:
            ValueError: it was not answered with one.
        """
        value = self.answers.get(key)
        if not isinstance(value, float):
            raise ValueError(f"{key} is no figure")
        return value

    def lines(self, key: str) -> list[str]:
        """The lines of a text that are not empty."""
        return [line.strip() for line in str(self.answers.get(key) or "").splitlines() if line.strip()]


@dataclass(frozen=True, slots=True)
class Entry:
    """A word of the trade, the group it is found in, its questions, and the fields of its part.

    With ``has_leads`` it is asked about with its two leads, as every load is; with ``cuts_in`` it can be put
    into a conductor.
    """

    word: str
    title: str
    group: str
    questions: tuple[Question, ...]
    fields: Callable[[Made], Fields]
    has_leads: bool = False
    cuts_in: bool = False

    def part(self, made: Made) -> AnyPart:
        """The part that comes of the answers; what is not known is left out.

        Raises:
            ValidationError: an answer does not fit the part.
        """
        known = {key: value for key, value in self.fields(made).items() if value is not None}
        return _PART.validate_python({"id": made.id, "name": made.name, **known}, strict=False)
