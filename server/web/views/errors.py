"""Nothing to say."""

from dataclasses import dataclass


@dataclass(frozen=True)
class QuietView:
    """``errors/_quiet.html``: the place for messages, empty."""
