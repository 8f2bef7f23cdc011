"""The page on which parts and cables are put in one by one: questions, answers, and what is there already."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.actions.fitting import free_name, hangs_on
from server.actions.lists import cable_rows, part_rows
from server.actions.part_words import trade_name
from server.actions.rejoining import Rejoined, rejoined
from server.actions.terminal_choice import terminals_by_words
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.catalogue import Entry
from server.practice.sizes import sizes
from server.web.views.controls import HeadView, head_view
from server.web.views.fitting_fields import AskedView, Errors, cable_fields, part_fields
from server.web.views.forms import ChoiceView, FormView
from server.web.views.lists import CableView, cable_view

SIZE_SYSTEMS = {"us-recreational": ("awg", "sae"), "iso-metric": ("metric",)}
BACK = "survey"
"""Where the way leads back to from a part that the survey's rows speak of."""
REJOIN = "joined"
"""The answer that joins the cables on a part again where it is taken out."""
COLOURS = ("red", "black", "yellow", "brown", "dark blue", "dark grey", "green", "orange", "purple", "white")


@dataclass(frozen=True)
class WordGroupView:
    """Words of the catalogue that belong together."""

    title: str
    words: tuple[ChoiceView, ...]


@dataclass(frozen=True)
class FittedPartView:
    """One part that is aboard, and what hangs on it."""

    id: str
    name: str
    kind: str
    hangs: str
    out: FormView
    join: FormView | None
    joins: str


@dataclass(frozen=True)
class FittedCableView:
    """One conductor that is aboard."""

    row: CableView
    out: FormView


@dataclass(frozen=True)
class FittingView:
    """``fitting/page.html`` and ``fitting/_fitting.html``."""

    title: str
    head: HeadView
    told: str
    url: str
    survey_url: str
    groups: tuple[WordGroupView, ...]
    word_hidden: tuple[tuple[str, str], ...]
    part_form: FormView
    leads_back: bool
    part_fields: tuple[AskedView, ...]
    cable_form: FormView
    cable_fields: tuple[AskedView, ...]
    terminals: tuple[str, ...]
    sizes: tuple[str, ...]
    colours: tuple[str, ...]
    parts: tuple[FittedPartView, ...]
    cables: tuple[FittedCableView, ...]
    cable_count: int
    link_count: int
    undo: FormView
    undo_words: str


def fitting_view(  # noqa: PLR0913 - each names one thing of the page
    opened: OpenBoat,
    catalogue: Mapping[str, Entry],
    word: str,
    *,
    part: Mapping[str, str] | None = None,
    part_errors: Errors | None = None,
    cable: Mapping[str, str] | None = None,
    cable_errors: Errors | None = None,
    told: str = "",
    back: str = "",
) -> FittingView:
    """The page with what was answered and refused; ``word`` is the kind of part that is asked about.

    With ``back`` it was come to from the survey, for a part that its rows speak of.
    """
    boat, path = opened.boat, f"/boats/{opened.id}/fitting"
    chosen = catalogue.get(word) or next(iter(catalogue.values()))
    kinds = {part.id: trade_name(part) for part in boat.parts}
    joins = {
        part.id: found.words for part in boat.parts if isinstance(found := rejoined(boat, part), Rejoined)
    }

    def form(below: str, **more: str) -> FormView:
        stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
        return FormView(f"{path}/{below}", (*stamp, *more.items()))

    return FittingView(
        title=f"Put into {opened.row.name}",
        head=head_view(opened, "fitting"),
        told=told,
        url=path,
        survey_url=f"/boats/{opened.id}/survey",
        groups=tuple(word_groups(catalogue, chosen.word)),
        word_hidden=(("name", (part or {}).get("name", "")), ("back", BACK)) if back == BACK else (),
        part_form=form("part", what=chosen.word, **({"back": BACK} if back == BACK else {})),
        leads_back=back == BACK,
        part_fields=tuple(
            part_fields(chosen, {"name": free_name(boat, chosen)} | dict(part or {}), part_errors or {})
        ),
        cable_form=form("cable", what=chosen.word),
        cable_fields=tuple(cable_fields(cable or {}, cable_errors or {})),
        terminals=tuple(terminals_by_words(boat)),
        sizes=tuple(one.label for one in sizes() if one.system in SIZE_SYSTEMS[boat.practice.profile]),
        colours=COLOURS,
        parts=tuple(
            FittedPartView(
                row.part,
                row.name,
                kinds[row.part],
                _hangs(boat, row.part),
                form("out", part=row.part),
                form("out", part=row.part, hanging=REJOIN) if joins.get(row.part) else None,
                joins.get(row.part, ""),
            )
            for row in part_rows(boat)
        ),
        cables=tuple(
            FittedCableView(cable_view(row), form("out", conductor=row.conductor)) for row in cable_rows(boat)
        ),
        cable_count=sum(one.kind == "wire" for one in boat.conductors),
        link_count=sum(one.kind == "link" for one in boat.conductors),
        undo=form("undo", what=chosen.word),
        undo_words=opened.undo.label if opened.undo else "",
    )


def _hangs(boat: Boat, part: str) -> str:
    ends = hangs_on(boat, part)
    return "nothing on it" if not ends else f"{ends} cable end{'s' * (ends > 1)} on it"


def word_groups(catalogue: Mapping[str, Entry], chosen: str) -> Iterator[WordGroupView]:
    """The words of the trade by their groups, the chosen one marked."""
    titles = dict.fromkeys(entry.group for entry in catalogue.values())
    for title in titles:
        words = (entry for entry in catalogue.values() if entry.group == title)
        yield WordGroupView(
            title, tuple(ChoiceView(one.word, one.title, one.word == chosen) for one in words)
        )
