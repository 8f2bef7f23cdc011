"""Which parts lie in a zone: those that say so, and those that are drawn inside of it and say nothing."""

from collections.abc import Sequence

from server.boat.boat import Zone
from server.boat.decks import Deck, deck_of
from server.boat.hull import is_inside
from server.boat.parts import Part


def lies_in(part: Part, zone: Zone, decks: Sequence[Deck]) -> bool:
    """Whether a part lies in a zone; what is said of the part goes before where it is drawn."""
    if part.zone is not None or part.place is None:
        return part.zone == zone.id
    if zone.deck is not None and zone.deck != deck_of(part, decks):
        return False
    return is_inside((part.place.from_bow_m, part.place.from_centreline_m), zone.outline)
