"""The fields of the page on which parts and cables are put in."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.boat.catalogue import Entry
from server.boat.catalogue.loads import GROUP as LOADS
from server.web.views.forms import ChoiceView

Errors = Mapping[str, str]
"""What is wrong, by the name of the field."""

TERMINALS, SIZES, COLOURS = "fitting-terminals", "fitting-sizes", "fitting-colours"
"""The lists that fields offer."""


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
    example: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """A field of a cable: name, label, unit, and the list it offers."""

    name: str
    label: str
    unit: str = ""
    offers: str = ""


LEADS = (
    Asked("tail", "Fed from", offers=TERMINALS),
    Asked("head", "Returns to", offers=TERMINALS),
    Asked("size", "Size of its leads", offers=SIZES),
    Asked("length", "Length of each", unit="m"),
)
"""A load can be put in together with its twin cable."""
CABLE = (
    Asked("number", "Its number"),
    Asked("tail", "From", offers=TERMINALS),
    Asked("head", "To", offers=TERMINALS),
    Asked("size", "Size", offers=SIZES),
    Asked("length", "Length", unit="m"),
    Asked("colour", "Colour", offers=COLOURS),
    Asked("fuse", "Fuse at its first end", unit="A"),
)
MEASURED = (("yes", "Measured"), ("no", "Estimated"))


def has_leads(entry: Entry) -> bool:
    """Whether a part of this word is asked about with its two leads."""
    return entry.group == LOADS or entry.has_leads


def part_fields(entry: Entry, typed: Mapping[str, str], errors: Errors) -> Iterator[AskedView]:
    """The questions about a part, and of a load about its leads."""
    yield from question_fields("part", entry, typed, errors)
    for one in LEADS if has_leads(entry) else ():
        yield line_field("part", one, typed, errors)


def question_fields(form: str, entry: Entry, typed: Mapping[str, str], errors: Errors) -> Iterator[AskedView]:
    """The questions about a part itself; ``form`` is what the ids of the fields begin with."""
    name = typed.get("name", "")
    yield AskedView(f"{form}-name", "name", "Name", "text", name, "", errors.get("name", ""), needed=True)
    for asked in entry.questions:
        is_lines = asked.kind == "lines"
        value = typed.get(asked.key, "" if is_lines else asked.usual)
        yield AskedView(
            f"{form}-{asked.key.replace('_', '-')}",
            asked.key,
            asked.label,
            asked.kind,
            value,
            asked.unit,
            errors.get(asked.key, ""),
            choices(asked.choices, value),
            needed=asked.needed,
            example=asked.usual if is_lines else "",
        )


def cable_fields(typed: Mapping[str, str], errors: Errors, form: str = "cable") -> Iterator[AskedView]:
    """The questions about a cable."""
    for one in CABLE:
        yield line_field(form, one, typed, errors)
        if one.name == "length":
            how = typed.get("measured", "yes")
            yield choice_field(form, "measured", "That is", MEASURED, how)


def choice_field(
    form: str, name: str, label: str, offered: tuple[tuple[str, str], ...], chosen: str
) -> AskedView:
    """One of a few answers."""
    return AskedView(f"{form}-{name}", name, label, "choice", chosen, "", "", choices(offered, chosen))


def line_field(form: str, asked: Asked, typed: Mapping[str, str], errors: Errors) -> AskedView:
    """One line of text."""
    value, error = typed.get(asked.name, ""), errors.get(asked.name, "")
    identity = f"{form}-{asked.name}"
    return AskedView(identity, asked.name, asked.label, "text", value, asked.unit, error, offers=asked.offers)


def choices(offered: tuple[tuple[str, str], ...], chosen: str) -> tuple[ChoiceView, ...]:
    """The answers on offer, the chosen one marked."""
    return tuple(ChoiceView(value, title, value == chosen) for value, title in offered)
