"""Which parts lie in a zone: those that say so, and those that are drawn inside of it and say nothing."""

from collections.abc import Sequence

from server.boat.boat import Zone
from server.boat.decks import Deck, deck_of
from server.boat.hull import is_inside
from server.boat.parts import Part


def lies_in(part: Part, zone: Zone, decks: Sequence[Deck]) -> bool:
    """Whether a part lies in a zone; what is said of the part goes before where it is drawn."""
    return is_drawn_in(part, zone, decks) if part.zone is None else part.zone == zone.id


def is_drawn_in(part: Part, zone: Zone, decks: Sequence[Deck]) -> bool:
    """Whether a part stands inside the outline of a zone, on its deck; no where either is not drawn."""
    if part.place is None or zone.deck not in {None, deck_of(part, decks)}:
        return False
    return is_inside((part.place.from_bow_m, part.place.from_centreline_m), zone.outline)
