"""Views of the pages that belong to no boat."""

from dataclasses import dataclass


@dataclass(frozen=True)
class JoinView:
    """``join/page.html``: ``code`` is what was typed, ``error`` what is wrong with it."""

    code: str = ""
    error: str = ""
    title: str = "Join"


@dataclass(frozen=True)
class ErrorView:
    """``errors/page.html`` and ``errors/_message.html``."""

    title: str
    message: str
    details: tuple[str, ...] = ()
