"""Decks: floors one above the other, and on which of them a thing stands."""

from collections.abc import Iterable, Sequence
from typing import Annotated, Protocol

from pydantic import Field

from server.boat.value import Id, Name, Place, Value
from server.units import Metre


class Deck(Value):
    """A floor aboard, by its height above the waterline; below the waterline it is negative."""

    id: Id
    name: Name
    floor_m: Annotated[float, Field(ge=-30, le=100)]


class Standing(Protocol):
    """What may be put on a deck, or has a height that tells its deck."""

    @property
    def deck(self) -> str | None: ...  # noqa: D102 - the deck it was put on
    @property
    def place(self) -> Place | None: ...  # noqa: D102 - where it is


def deck_at(decks: Sequence[Deck], height_m: Metre) -> Deck | None:
    """The deck of a height: the highest floor that is not above it, below all floors the lowest.

    >>> sole, bridge = Deck(id="s", name="Cabin sole", floor_m=-0.2), Deck(id="b", name="Bridge", floor_m=1.8)
    >>> [deck_at((bridge, sole), height).name for height in (-1.0, 1.7, 1.8)]
    ['Cabin sole', 'Cabin sole', 'Bridge']
    """
    under = [deck for deck in decks if deck.floor_m <= height_m]
    if under:
        return max(under, key=_floor)
    return min(decks, key=_floor, default=None)


def deck_of(thing: Standing, decks: Sequence[Deck]) -> str | None:
    """The deck that a thing was put on, else that of its height; None where neither tells."""
    if thing.deck is not None or thing.place is None:
        return thing.deck
    found = deck_at(decks, thing.place.height_m)
    return None if found is None else found.id


def decks_along(things: Iterable[Standing], decks: Sequence[Deck]) -> frozenset[str]:
    """The decks that things stand on, and all between the lowest and the highest of them."""
    floors = {deck.id: deck.floor_m for deck in decks}
    on = [floors[name] for name in (deck_of(one, decks) for one in things) if name is not None]
    return frozenset(name for name, floor in floors.items() if on and min(on) <= floor <= max(on))


def upwards(decks: Sequence[Deck]) -> tuple[Deck, ...]:
    """Decks from the lowest floor to the highest."""
    return tuple(sorted(decks, key=_floor))


def _floor(deck: Deck) -> Metre:
    return deck.floor_m
