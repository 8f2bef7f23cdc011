"""What is asked after a complaint: rows of fields, in the order in which they are seen aboard."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from server.web.views.forms import ChoiceView

FieldKind = Literal["figure", "size", "choice", "text"]
Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Asked:
    """One field: its name in the form, its words, and what it takes."""

    key: str
    label: str
    kind: FieldKind = "figure"
    unit: str = ""
    most: float = 1000.0
    usual: str = ""
    choices: Choices = ()
    example: str = ""


@dataclass(frozen=True)
class Row:
    """One row of the form; ``about`` says what is not plain from its fields."""

    title: str
    fields: tuple[Asked, ...]
    about: str = ""


@dataclass(frozen=True)
class ComplaintFieldView:
    """One field with what was typed and what is wrong with it."""

    id: str
    name: str
    label: str
    kind: FieldKind
    unit: str
    value: str
    error: str
    choices: tuple[ChoiceView, ...]


@dataclass(frozen=True)
class ComplaintRowView:
    """One row of the form."""

    id: str
    title: str
    about: str
    fields: tuple[ComplaintFieldView, ...]


YES_NO: Choices = (("yes", "Yes"), ("no", "No"))
SUPPLIES: Choices = (
    ("switch", "Battery switch, its output"),
    ("starter", "Starter"),
    ("battery", "Battery +"),
    ("panel", "Panel"),
    ("house", "A house battery of its own"),
)
RETURNS: Choices = (
    ("engine", "Engine block"),
    ("bar", "Negative bar"),
    ("battery", "Battery −"),
)
CHEMISTRIES: Choices = (("flooded", "Flooded lead"), ("agm", "AGM"), ("gel", "Gel"), ("lifepo4", "LiFePO4"))
ENGINES: Choices = (
    ("small", "Diesel of up to 1.5 litres"),
    ("medium", "Diesel of 1.5 to 3 litres"),
    ("large", "Diesel of more than 3 litres"),
    ("petrol", "Petrol inboard"),
    ("outboard", "Outboard"),
)


def _cable(prefix: str) -> tuple[Asked, Asked]:
    return (
        Asked(f"{prefix}_size", "Size", "size"),
        Asked(f"{prefix}_length", "Length", unit="m", most=100.0, example="2"),
    )


DEVICE = Row(
    "What restarts",
    (
        Asked("device", "Device", "text", usual="Plotter"),
        Asked("device_w", "It draws", unit="W", most=5000.0, example="20"),
        Asked("needs", "It needs", unit="V", most=100.0, example="10"),
        Asked("device_plus", "Its positive is tapped to", "choice", usual="switch", choices=SUPPLIES),
        Asked("device_minus", "Its negative is tapped to", "choice", usual="engine", choices=RETURNS),
        *_cable("leads"),
        Asked("device_fuse", "Fuse in its lead", unit="A", example="5"),
    ),
    "Size and length of one of its two leads.",
)
COPPER = (
    Row(
        "Battery that starts the engine",
        (
            Asked("chemistry", "Kind", "choice", usual="flooded", choices=CHEMISTRIES),
            Asked("capacity", "Capacity", unit="Ah", most=10_000.0, example="90"),
            Asked("cranking", "Cold cranking rating", unit="A", most=10_000.0, example="650"),
            Asked("rest", "At rest, engine off", unit="V", most=100.0, example="12.6"),
        ),
        "Of several side by side: all together.",
    ),
    Row(
        "Main fuse", (Asked("fuse", "Rating", unit="A", most=2000.0, example="250"),), "Empty: there is none."
    ),
    Row("Battery switch", (Asked("switch", "There is one", "choice", usual="yes", choices=YES_NO),)),
    Row("Cable from battery + to switch", _cable("plus"), "Without a switch: to the starter."),
    Row("Cable from switch to starter", _cable("feed")),
    Row(
        "Engine and starter",
        (
            Asked("engine", "Engine", "choice", usual="small", choices=ENGINES),
            Asked("starter", "Starter, cranking", unit="A", most=5000.0, example="160"),
        ),
    ),
    Row("Negative bar", (Asked("bar", "There is one", "choice", usual="yes", choices=YES_NO),)),
    Row("Cable from battery − to bar", _cable("minus"), "Without a bar: to the engine block."),
    Row("Cable from bar to engine block", _cable("strap")),
    Row(
        "Alternator",
        (
            Asked("alternator", "Rated", unit="A", example="70"),
            Asked(
                "alternator_at", "Its positive is tapped to", "choice", usual="starter", choices=SUPPLIES[:3]
            ),
        ),
        "Empty: it is left out for now.",
    ),
    Row(
        "Windlass",
        (Asked("windlass", "Running", unit="A", example="80"), *_cable("windlass_cable")),
        "Empty: there is none.",
    ),
    Row(
        "Panel",
        (Asked("panel", "There is one", "choice", usual="no", choices=YES_NO), *_cable("panel_feed")),
        "Its feed from the switch.",
    ),
    Row("All else that is on while starting", (Asked("rest_a", "Together", unit="A", example="5"),)),
)
READINGS = Row(
    "What the meter shows while it cranks",
    (
        Asked("battery_v", "Battery + to battery −", unit="V", most=100.0, example="10.9"),
        Asked("positive_v", "Battery + to the starter's stud", unit="V", most=50.0, example="0.3"),
        Asked("negative_v", "Engine block to battery −", unit="V", most=50.0, example="0.3"),
        Asked("device_v", "At the device's plug", unit="V", most=100.0, example="9.4"),
        Asked("clamp_a", "Clamp round the battery cable", unit="A", most=5000.0, example="160"),
    ),
    "Probes on the metal of the posts and studs, not on the lugs. Read it while the engine turns steadily.",
)
BOAT = Row(
    "Boat",
    (
        Asked("name", "Name", "text"),
        Asked("voltage", "Nominal voltage", "choice", usual="12", choices=(("12", "12 V"), ("24", "24 V"))),
    ),
)
ROWS = (BOAT, DEVICE, *COPPER, READINGS)
FIELDS: Mapping[str, Asked] = MappingProxyType({one.key: one for row in ROWS for one in row.fields})


def row_views(
    rows: tuple[Row, ...], typed: Mapping[str, str], errors: Mapping[str, str]
) -> tuple[ComplaintRowView, ...]:
    """Rows of the form with what was typed."""
    return tuple(
        ComplaintRowView(
            id=f"ask-{row.fields[0].key}",
            title=row.title,
            about=row.about,
            fields=tuple(_field(one, typed, errors) for one in row.fields),
        )
        for row in rows
    )


def _field(asked: Asked, typed: Mapping[str, str], errors: Mapping[str, str]) -> ComplaintFieldView:
    value = typed.get(asked.key, asked.usual)
    return ComplaintFieldView(
        id=f"complaint-{asked.key.replace('_', '-')}",
        name=asked.key,
        label=asked.label,
        kind=asked.kind,
        unit=asked.unit,
        value=value,
        error=errors.get(asked.key, ""),
        choices=tuple(ChoiceView(key, label, key == value) for key, label in asked.choices),
    )
