"""The page on which parts and cables are put in one by one: questions, answers, and what is there already."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.actions.fitting import CableAnswers, hangs_on, terminals_by_words
from server.actions.lists import cable_rows, part_rows
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.catalogue import CATALOGUE, Entry, Question
from server.boat.value import TerminalRef
from server.practice.sizes import UnknownSizeError, size, sizes
from server.web.forms import Wrong, number
from server.web.views.controls import HeadView, head_view
from server.web.views.forms import ChoiceView, FormView
from server.web.views.lists import CableView, cable_view

LONGEST_M = 500.0
LARGEST_FUSE_A = 2000.0
LONGEST_NAME = 120
SIZE_SYSTEMS = {"us-recreational": ("awg", "sae"), "iso-metric": ("metric",)}
COLOURS = ("red", "black", "yellow", "brown", "dark blue", "dark grey", "green", "orange", "purple", "white")
KEPT = ("size", "colour", "measured")
"""What stands in the fields of the next cable as it was given for the last."""


@dataclass(frozen=True)
class AskedView:
    """One field with what was typed into it and what is wrong with that."""

    id: str
    name: str
    label: str
    kind: str
    value: str
    unit: str
    error: str
    choices: tuple[ChoiceView, ...] = ()
    offers: str = ""
    needed: bool = False


@dataclass(frozen=True)
class GroupView:
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
    groups: tuple[GroupView, ...]
    word: str
    part_form: FormView
    part_fields: tuple[AskedView, ...]
    cable_form: FormView
    cable_fields: tuple[AskedView, ...]
    terminals: tuple[str, ...]
    sizes: tuple[str, ...]
    colours: tuple[str, ...]
    parts: tuple[FittedPartView, ...]
    cables: tuple[FittedCableView, ...]
    undo: FormView
    undo_words: str


Errors = Mapping[str, str]


def fitting_view(  # noqa: PLR0913 - each names one thing of the page
    opened: OpenBoat,
    word: str,
    *,
    part: Mapping[str, str] | None = None,
    part_errors: Errors | None = None,
    cable: Mapping[str, str] | None = None,
    cable_errors: Errors | None = None,
    told: str = "",
) -> FittingView:
    """The page with what was answered and refused; ``word`` is the kind of part that is asked about."""
    boat, path = opened.boat, f"/boats/{opened.id}/fitting"
    chosen = CATALOGUE.get(word) or next(iter(CATALOGUE.values()))

    def form(below: str, **more: str) -> FormView:
        stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
        return FormView(f"{path}/{below}", (*stamp, *more.items()))

    return FittingView(
        title=f"Put into {opened.row.name}",
        head=head_view(opened, "fitting"),
        told=told,
        url=path,
        groups=tuple(_groups(chosen.word)),
        word=chosen.word,
        part_form=form("part", what=chosen.word),
        part_fields=tuple(_part_fields(chosen, part or {}, part_errors or {})),
        cable_form=form("cable", what=chosen.word),
        cable_fields=tuple(_cable_fields(cable or {}, cable_errors or {})),
        terminals=tuple(terminals_by_words(boat)),
        sizes=tuple(one.label for one in sizes() if one.system in SIZE_SYSTEMS[boat.practice.profile]),
        colours=COLOURS,
        parts=tuple(
            FittedPartView(row.part, row.name, row.kind, _hangs(boat, row.part), form("out", part=row.part))
            for row in part_rows(boat)
        ),
        cables=tuple(
            FittedCableView(cable_view(row), form("out", conductor=row.conductor)) for row in cable_rows(boat)
        ),
        undo=form("undo", what=chosen.word),
        undo_words=opened.undo.label if opened.undo else "",
    )


def _hangs(boat: Boat, part: str) -> str:
    ends = hangs_on(boat, part)
    return "nothing on it" if not ends else f"{ends} cable end{'s' * (ends > 1)} on it"


def _groups(chosen: str) -> Iterator[GroupView]:
    titles = dict.fromkeys(entry.group for entry in CATALOGUE.values())
    for title in titles:
        words = (entry for entry in CATALOGUE.values() if entry.group == title)
        yield GroupView(title, tuple(ChoiceView(one.word, one.title, one.word == chosen) for one in words))


def _part_fields(entry: Entry, typed: Mapping[str, str], errors: Errors) -> Iterator[AskedView]:
    name = typed.get("name", "")
    yield AskedView("part-name", "name", "Name", "text", name, "", errors.get("name", ""), needed=True)
    for asked in entry.questions:
        value = typed.get(asked.key, asked.usual)
        choices = tuple(ChoiceView(key, title, key == value) for key, title in asked.choices)
        yield AskedView(
            f"part-{asked.key.replace('_', '-')}",
            asked.key,
            asked.label,
            asked.kind,
            value,
            asked.unit,
            errors.get(asked.key, ""),
            choices,
            needed=asked.needed,
        )


_CABLE = (
    ("number", "Its number", "", ""),
    ("tail", "From", "", "fitting-terminals"),
    ("head", "To", "", "fitting-terminals"),
    ("size", "Size", "", "fitting-sizes"),
    ("length", "Length", "m", ""),
    ("colour", "Colour", "", "fitting-colours"),
    ("fuse", "Fuse at its first end", "A", ""),
)


_MEASURED = (("yes", "Measured"), ("no", "Estimated"))


def _cable_fields(typed: Mapping[str, str], errors: Errors) -> Iterator[AskedView]:
    for key, label, unit, offers in _CABLE:
        yield AskedView(
            f"cable-{key}", key, label, "text", typed.get(key, ""), unit, errors.get(key, ""), offers=offers
        )
        if key == "length":
            how = typed.get("measured", "yes")
            choices = tuple(ChoiceView(value, title, value == how) for value, title in _MEASURED)
            yield AskedView("cable-measured", "measured", "That is", "choice", how, "", "", choices)


def part_answers(entry: Entry, typed: Mapping[str, str]) -> tuple[str, dict[str, str | float | None], Errors]:
    """Name and answers of a part as typed, and what is wrong with them by field."""
    errors: dict[str, str] = {}
    name = typed.get("name", "").strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        errors["name"] = f"Enter a name of 1 to {LONGEST_NAME} characters."
    answers: dict[str, str | float | None] = {}
    for asked in entry.questions:
        answer = _answer(asked, typed.get(asked.key, ""))
        if isinstance(answer, Wrong):
            errors[asked.key] = answer.message
        else:
            answers[asked.key] = answer
    return name, answers, errors


def _answer(asked: Question, text: str) -> str | float | Wrong | None:
    if asked.kind == "lines":
        return text if text.strip() or not asked.needed else Wrong("Enter one a line.")
    if asked.kind == "choice":
        return text if text in dict(asked.choices) else Wrong("Choose one of the list.")
    if not text.strip() and not asked.needed:
        return None
    value = number(text, asked.unit, asked.usual or "10", at_most=asked.most)
    if asked.kind == "count" and isinstance(value, float) and value != round(value):
        return Wrong("Enter a whole number.")
    return value


def cable_answers(boat: Boat, typed: Mapping[str, str]) -> tuple[CableAnswers, Errors]:
    """A cable as typed, and what is wrong with it by field; ends, size, length and fuse may stay open."""
    errors: dict[str, str] = {}
    known = {words.casefold(): at for words, at in terminals_by_words(boat).items()}

    def end(key: str) -> TerminalRef | None:
        text = typed.get(key, "").strip()
        if text and text.casefold() not in known:
            errors[key] = "Choose one of the terminals in the list, or leave it empty for a loose end."
        return known.get(text.casefold())

    def figure(key: str, unit: str, most: float) -> float | None:
        text = typed.get(key, "")
        value = number(text, unit, "4.5", at_most=most) if text.strip() else None
        if isinstance(value, Wrong):
            errors[key] = value.message
            return None
        return value

    tail, head = end("tail"), end("head")
    if tail is not None and tail == head:
        errors["head"] = "Choose another terminal than at the first end."
    label = typed.get("size", "").strip()
    try:
        chosen = size(label).label if label else None
    except UnknownSizeError as error:
        chosen, errors["size"] = None, f"{str(error).capitalize()}."
    fuse_a = figure("fuse", "A", LARGEST_FUSE_A)
    if fuse_a is not None and tail is None and "tail" not in errors:
        errors["tail"] = "A fuse needs a terminal to sit on: say where the cable begins."
    answers = CableAnswers(
        tail=tail,
        head=head,
        size=chosen,
        length_m=figure("length", "m", LONGEST_M),
        measured=typed.get("measured") != "no",
        number=typed.get("number", "").strip()[:LONGEST_NAME] or None,
        colour=typed.get("colour", "").strip()[:LONGEST_NAME] or None,
        fuse_a=fuse_a,
    )
    return answers, errors


def next_cable(typed: Mapping[str, str]) -> dict[str, str]:
    """What stands in the fields after a cable was put in: what usually stays, and the next number."""
    kept = {key: typed[key] for key in KEPT if key in typed}
    given = typed.get("number", "").strip()
    return kept | ({"number": str(int(given) + 1)} if given.isascii() and given.isdigit() else {})
