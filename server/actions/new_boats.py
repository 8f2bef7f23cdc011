"""A new boat: blank, or drawn up from a pattern."""

from server.actions.yard import Yard
from server.boat.document import boat_bytes
from server.boat.drafts import PATTERNS, Pattern, Wish, draft
from server.boat.drafts.wish import EngineSize
from server.store.values import BoatRow

__all__ = ["PATTERNS", "EngineSize", "Pattern", "Wish", "start"]


def start(yard: Yard, wish: Wish, request_id: str) -> BoatRow:
    """Draw up the boat of a wish and keep it, to go on with."""
    boat = draft(wish)
    return yard.store.create(
        body=boat_bytes(boat),
        name=boat.name,
        role="working",
        author=yard.author,
        request_id=request_id,
        label=f"Begun: {PATTERNS[wish.pattern].title.casefold()}",
    )
