"""Finding a part or a cable by what is written on it."""

from collections.abc import Iterator

from server.actions.things import conductor_words
from server.boat.boat import Boat

MOST_FOUND = 12


def found_things(boat: Boat, words: str) -> tuple[tuple[str, str], ...]:
    """Id and name of the parts and conductors called so, the closest first; of exact names only those."""
    asked = " ".join(words.casefold().split())
    if not asked:
        return ()
    ranked = [
        (rank, identity, name) for identity, name, said in _said(boat) if (rank := _rank(asked, said)) < _NO
    ]
    best = min((rank for rank, _, _ in ranked), default=_NO)
    kept = [one for one in ranked if one[0] == best] if best == 0 else sorted(ranked, key=lambda one: one[0])
    return tuple((identity, name) for _, identity, name in kept[:MOST_FOUND])


_NO = 3


def _rank(asked: str, said: tuple[str, ...]) -> int:
    """0 for the very words, 1 for their beginning, 2 for words within."""
    if asked in said:
        return 0
    if any(one.startswith(asked) for one in said):
        return 1
    return 2 if any(asked in one for one in said) else _NO


def _said(boat: Boat) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Everything that can be found: id, name, and all it is called by."""
    for part in boat.parts:
        yield part.id, part.name, tuple(one.casefold() for one in (part.name, part.tag or "") if one)
    numbers = {cable.id: cable.number or "" for cable in boat.cables}
    for conductor in boat.conductors:
        number = numbers.get(conductor.cable or "", "")
        said = (number, f"cable {number}" if number else "", conductor.name or "")
        yield (
            conductor.id,
            conductor_words(boat, conductor),
            tuple(one.casefold() for one in said if one),
        )
