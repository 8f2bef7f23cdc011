"""The page of rules and sources in words."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.web.views.findings import STATUS_WORDS
from server.web.views.office import OfficeView

if TYPE_CHECKING:
    from server.actions.rules import RuleSetFacts
    from server.practice.rules import Rule
    from server.practice.tables import Table

TITLES = {
    "adiabatic_k": "What a conductor survives in a short circuit",
    "assumptions": "What is assumed where nothing was entered",
    "battery_rest_voltage": "Rest voltage of batteries by state of charge",
    "conductor_colours": "Conductor colours",
    "copper_constants": "Constants of copper",
    "cranking_definitions": "What a cranking rating means",
    "drop_classes": "Voltage drop allowed, by circuit",
    "iec60228_class2": "Conductor resistance, IEC 60228 class 2",
    "iec60228_class5": "Conductor resistance, IEC 60228 class 5",
    "interrupting_capacity": "Interrupting capacity by cranking rating",
    "load_dump": "An alternator that loses its battery",
    "panel_load": "Load that a panelboard is chosen for",
    "nec_table8": "Conductor resistance, American gauges",
    "sae_area": "Conductor area, SAE gauges",
    "standard_ratings": "Usual ratings of fuses and breakers",
    "starting_profile": "Supply voltage while an engine starts",
    "supply_range": "Supply voltage that equipment stands",
    "table5_ampacity": "Current that a conductor may carry all day",
    "table5_bundling": "Reduction for bundled conductors",
    "table5_engine_space": "Reduction in an engine space",
    "time_current": "How fast fuses and breakers open",
}


@dataclass(frozen=True)
class RuleView:
    """One rule: what it says in our words, its figure, its source, how that was verified."""

    id: str
    meaning: str
    figure: str
    source: str
    status: str
    note: str


@dataclass(frozen=True)
class RuleSetView:
    """The rules of one law or standard."""

    id: str
    title: str
    rules: tuple[RuleView, ...]


@dataclass(frozen=True)
class TableView:
    """One shipped table as it is."""

    id: str
    title: str
    common: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class RulesView:
    """``rules/page.html``."""

    title: str
    office: OfficeView
    sets: tuple[RuleSetView, ...]
    tables: tuple[TableView, ...]


def rules_view(
    sets: "tuple[RuleSetFacts, ...]", tables: "tuple[Table, ...]", office: OfficeView
) -> RulesView:
    """The whole page."""
    return RulesView(
        title="Rules and sources",
        office=office,
        sets=tuple(RuleSetView(f"rules-{one.key}", one.title, tuple(map(_rule, one.rules))) for one in sets),
        tables=tuple(map(_table, tables)),
    )


def _rule(rule: "Rule") -> RuleView:
    return RuleView(
        id=f"rule-{rule.id}",
        meaning=f"{rule.meaning[:1].upper()}{rule.meaning[1:]}.",
        figure="" if rule.figure is None else f"{rule.figure.value:g} {rule.figure.unit}",
        source=rule.source,
        status=STATUS_WORDS[rule.status],
        note=rule.note,
    )


def _table(table: "Table") -> TableView:
    status = table.columns.index("status") if "status" in table.columns else None
    return TableView(
        id=f"table-{table.name.replace('_', '-')}",
        title=TITLES.get(table.name, table.name.replace("_", " ").capitalize()),
        common=tuple(
            STATUS_WORDS.get(value, value) if key == "status" else value
            for key, value in table.common.items()
        ),
        columns=tuple(column.replace("_", " ") for column in table.columns),
        cells=tuple(
            tuple(STATUS_WORDS.get(cell, cell) if n == status else cell for n, cell in enumerate(row))
            for row in table.cells
        ),
    )
