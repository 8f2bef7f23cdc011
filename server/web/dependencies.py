"""What a route may ask for."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Literal

from fastapi import Depends, HTTPException, Path, Request

from server.actions.yard import Yard as ActionsYard
from server.web.own_name import given_name
from server.web.views.state import SECTIONS, SORT_KEYS, ViewState

_ID = r"^[a-z][a-z0-9-]{0,31}$"
_REQUEST_ID = re.compile(r"^[A-Za-z0-9-]{8,64}$")
_LONGEST_REVISION = 9
MOST_FIELDS = 100
_PANEL = re.compile(r"^-?[a-z][a-z0-9-]{0,31}$")
MOST_PANELS = 40
LONGEST_PANELS = MOST_PANELS * 34
SHAPE_COOKIE = "shape"
"""How the screen is held, ``portrait`` or ``landscape``, as the page's script last saw it."""
SIDE_COOKIE = "side"
"""The polarity that a narrow picture shows, as the reader last turned it."""
SIDES: tuple[Literal["positive", "negative"], ...] = ("positive", "negative")

BoatId = Annotated[str, Path(pattern=_ID)]


def _yard(request: Request) -> ActionsYard:
    """The yard, worked on under the name that this device goes by."""
    yard: ActionsYard = request.app.state.yard
    name = given_name(request)
    return replace(yard, author=name) if name else yard


Yard = Annotated[ActionsYard, Depends(_yard)]


async def _fields(request: Request) -> dict[str, str]:
    form = await request.form(max_files=0, max_fields=MOST_FIELDS)
    return {name: value for name, value in form.items() if isinstance(value, str)}


Fields = Annotated[dict[str, str], Depends(_fields)]


@dataclass(frozen=True)
class Stamp:
    """Which revision a change was made on, and the key under which it is done once."""

    revision: int
    request_id: str


def stamp_of(fields: Mapping[str, str]) -> Stamp:
    """The stamp that every form carries.

    Raises:
        HTTPException: it is missing or has the wrong form (422).
    """
    revision, request_id = fields.get("revision", ""), fields.get("request_id", "")
    if not is_whole_number(revision) or not _REQUEST_ID.match(request_id):
        raise HTTPException(422, "The form is not complete. Load the page again, then make the change there.")
    return Stamp(int(revision), request_id)


def state_of(request: Request, boat: str, values: Mapping[str, str]) -> ViewState:
    """The view that an address or a form asks for; what makes no sense there is left out."""
    sort = next((key for key in SORT_KEYS if key == values.get("sort")), None)
    since = values.get("since", "")
    return ViewState(
        boat,
        mode=values.get("mode") or None,
        event=values.get("event") or None,
        selected=values.get("selected") or None,
        sort=sort,
        descending=sort is not None and values.get("order") == "descending",
        since=int(since) if is_whole_number(since) else None,
        panels=_panels(values.get("panels", "")),
        unfolded=next((one for one in SECTIONS if one == values.get("open")), None),
        portrait=request.cookies.get(SHAPE_COOKIE) == "portrait" and values.get("wide") != "yes",
        side=next((one for one in SIDES if one == request.cookies.get(SIDE_COOKIE)), None),
    )


def _panels(text: str) -> tuple[str, ...]:
    """Names of panels, each with a minus before it where it is folded; anything else is left out."""
    named = tuple(dict.fromkeys(one for one in text[:LONGEST_PANELS].split(".") if _PANEL.match(one)))
    return named[:MOST_PANELS]


def is_whole_number(text: str) -> bool:
    """Whether a text is a plain whole number of a sensible length."""
    return text.isascii() and text.isdecimal() and len(text) <= _LONGEST_REVISION
