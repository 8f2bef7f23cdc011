"""The name that a device goes by in the histories of boats: kept in a cookie, as its reader gave it."""

from urllib.parse import quote, unquote

from fastapi import Request

NAME_COOKIE = "tapchart_name"
LONGEST = 60


def given_name(request: Request) -> str:
    """The name that was given on this device, empty where none was."""
    return cleaned(unquote(request.cookies.get(NAME_COOKIE, "")))


def cleaned(typed: str) -> str:
    r"""A name on one line, without what cannot be printed, cut to a sensible length.

    >>> cleaned("  Ida \n Berg\x00 ")
    'Ida Berg'
    """
    line = " ".join(typed.split())
    return "".join(letter for letter in line if letter.isprintable())[:LONGEST].strip()


def as_cookie(name: str) -> str:
    """A name as a cookie may carry it."""
    return quote(name)
