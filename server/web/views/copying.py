"""What is ticked in the lists, what hangs on it, and what can be done with it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.actions.copying import Ticked, removal_edit, with_cables_between
from server.actions.copying_hanging import Hanging, hanging
from server.actions.lists import cable_rows, part_rows
from server.actions.yard import BoatRow, OpenBoat
from server.boat.boat import Boat
from server.web.views.controls import HeadView, head_view
from server.web.views.forms import ChoiceView, FormView
from server.web.views.lists import cable_view, part_view
from server.web.views.photos import counted


@dataclass(frozen=True)
class TickedPartView:
    """One ticked part, and the form that saves it among the yard's own."""

    id: str
    name: str
    kind: str
    figures: str
    photos_url: str
    save: FormView
    typed: str
    error: str


@dataclass(frozen=True)
class TickedCableView:
    """One ticked conductor, or one that comes along because it lies between ticked parts."""

    id: str
    name: str
    tail: str
    head: str
    photos_url: str
    comes_along: bool


@dataclass(frozen=True)
class TickedView:
    """``copying/page.html``."""

    title: str
    head: HeadView
    told: str
    count: str
    parts: tuple[TickedPartView, ...]
    cables: tuple[TickedCableView, ...]
    alone: tuple[Hanging, ...]
    with_cables: tuple[Hanging, ...]
    has_cables: bool
    duplicate: FormView
    copy: FormView
    boats: tuple[ChoiceView, ...]
    remove: FormView
    remove_all: FormView
    lists_url: str
    own_parts_url: str


def ticked_view(
    opened: OpenBoat,
    chosen: Ticked,
    others: tuple[BoatRow, ...],
    *,
    told: str = "",
    refused: Mapping[str, tuple[str, str]] | None = None,
) -> TickedView:
    """The page; ``refused`` is, by part, the name that was typed to save it and what is wrong with that."""
    boat, path = opened.boat, f"/boats/{opened.id}"
    ids = " ".join(one.id for one in (*chosen.parts, *chosen.conductors))

    def form(below: str, **more: str) -> FormView:
        stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
        return FormView(f"{path}/ticked/{below}", (*stamp, ("ticked", ids), *more.items()))

    alone = _hanging(boat, chosen, cables_too=False)
    return TickedView(
        title=f"Ticked in {opened.row.name}",
        head=head_view(opened, "lists"),
        told=told,
        count=_count(chosen),
        parts=tuple(_parts(boat, chosen, refused or {}, form, f"{path}/photos?of=")),
        cables=tuple(_cables(boat, chosen, f"{path}/photos?of=")),
        alone=alone,
        with_cables=_hanging(boat, chosen, cables_too=True),
        has_cables=any(one.title.startswith("Cable ends") for one in alone),
        duplicate=form("duplicate"),
        copy=form("copy"),
        boats=tuple(ChoiceView(row.id, row.name, False) for row in others if row.id != opened.id),
        remove=form("remove"),
        remove_all=form("remove", cables="too"),
        lists_url=f"{path}/lists",
        own_parts_url="/own-parts",
    )


def _count(chosen: Ticked) -> str:
    said = [counted(len(chosen.parts), "part")] if chosen.parts else []
    said += [counted(len(chosen.conductors), "conductor")] if chosen.conductors else []
    return " and ".join(said) or "Nothing"


def _hanging(boat: Boat, chosen: Ticked, *, cables_too: bool) -> tuple[Hanging, ...]:
    if not chosen.parts and not chosen.conductors:
        return ()
    return hanging(boat, chosen, removal_edit(boat, chosen, cables_too=cables_too))


def _parts(
    boat: Boat,
    chosen: Ticked,
    refused: Mapping[str, tuple[str, str]],
    form: Callable[..., FormView],
    photos_url: str,
) -> list[TickedPartView]:
    rows = {row.part: part_view(row) for row in part_rows(boat)}
    found = []
    for part in chosen.parts:
        typed, error = refused.get(part.id, (part.name, ""))
        row = rows[part.id]
        save = form("save", part=part.id)
        photos = f"{photos_url}{part.id}"
        found.append(TickedPartView(part.id, row.name, row.kind, row.figures, photos, save, typed, error))
    return found


def _cables(boat: Boat, chosen: Ticked, photos_url: str) -> list[TickedCableView]:
    ticked = {one.id for one in chosen.conductors}
    whole = {one.id for one in with_cables_between(boat, chosen).conductors}
    found = []
    for row in cable_rows(boat):
        if row.conductor in whole:
            said = cable_view(row)
            name = " ".join(word for word in (row.number, said.name) if word) or "no number"
            found.append(
                TickedCableView(
                    row.conductor,
                    name,
                    said.tail,
                    said.head,
                    f"{photos_url}{row.conductor}",
                    row.conductor not in ticked,
                )
            )
    return found
