"""The fields of the plan as typed, read one by one, and what is wrong with them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from server.boat.boat import Boat
from server.boat.decks import deck_at
from server.boat.value import Place
from server.web.forms import Wrong, number

LONGEST_M = 200.0
LARGEST_TRUNKING_MM2 = 100_000.0
MOST_SPARE_WAYS = 50
LONGEST_NAME = 120
_BELOW_ALL = -1e9


@dataclass
class Answers:
    """The fields as typed, and what was found wrong while they were read."""

    typed: Mapping[str, str]
    errors: dict[str, str] = field(default_factory=dict)

    def text(self, name: str, *, needed: bool = False) -> str:
        """A name, without the spaces around it."""
        text = self.typed.get(name, "").strip()
        if len(text) > LONGEST_NAME or not text.isprintable() or (needed and not text):
            self.errors[name] = f"Enter a name of 1 to {LONGEST_NAME} characters."
        return text

    def figure(
        self, name: str, unit: str, example: str, *, least: float = 0.0, most: float = LONGEST_M
    ) -> float | None:
        """A figure within bounds; None where nothing was typed or it is wrong."""
        text = self.typed.get(name, "")
        if not text.strip():
            return None
        found = number(text, unit, example, at_most=most, above=_BELOW_ALL)
        if isinstance(found, float) and found < least:
            found = Wrong(f"Enter {least:g} {unit} or more.")
        if isinstance(found, Wrong):
            self.errors[name] = found.message
            return None
        return found

    def more_than_nothing(self, name: str, unit: str, example: str, most: float = LONGEST_M) -> float | None:
        """A figure above zero."""
        found = self.figure(name, unit, example, most=most)
        if found == 0:
            self.errors[name] = f"Enter more than 0 {unit}, for example {example}."
        return found

    def choice(self, name: str, offered: tuple[str, ...]) -> str:
        """One of what is offered."""
        chosen = self.typed.get(name, offered[0])
        if chosen not in offered:
            self.errors[name] = "Choose one of the list."
        return chosen

    def deck(self, boat: Boat) -> str | None:
        """The deck that was chosen; None where its height tells it."""
        return self.choice("deck", ("", *(deck.id for deck in boat.decks))) or None

    def place(self, boat: Boat, known: Mapping[str, str]) -> Place | None:
        """A place on the plan; None where no distance from the bow was typed.

        What is put on a deck without another height takes that of its floor.
        """
        x = self.figure("x", "m", "6.5")
        y = self.figure("y", "m", "-0.8", least=-LONGEST_M)
        height = self.figure("height", "m", "0.5", least=-LONGEST_M)
        if x is None:
            if not self.errors and (y is not None or height):
                self.errors["x"] = "Enter how far it is from the bow too."
            return None
        place = Place(from_bow_m=x, from_centreline_m=y or 0.0, height_m=height or 0.0)
        floor = next((deck for deck in boat.decks if deck.id == self.typed.get("deck")), None)
        is_as_known = self.typed.get("height", "").strip() == known.get("height", "")
        is_there = height is not None and (not is_as_known or deck_at(boat.decks, height) == floor)
        if floor is None or is_there:
            return place
        return place.model_copy(update={"height_m": floor.floor_m})
