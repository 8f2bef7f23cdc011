"""Boats drawn up from a few answers, wired as a careful yard would, to be changed from there.

Everything a draft states is common practice or a round figure of our own, and its notes say so; lengths are
estimates from the places of the parts.
"""

from server.boat.drafts.patterns import PATTERNS, Pattern, draft
from server.boat.drafts.wish import EngineSize, Wish

__all__ = ["PATTERNS", "EngineSize", "Pattern", "Wish", "draft"]
