"""What is wrong with what was typed into a field of the workbench, shown beside it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from server.web.views.bench import BenchView
from server.web.views.forms import FieldView
from server.web.views.switches import RunningView


@dataclass(frozen=True)
class FieldError:
    """What is wrong with what was typed into one field, and what was typed."""

    field: str
    typed: str
    message: str


def with_error(view: BenchView, wrong: FieldError) -> BenchView:
    """The same page with a message beside the field it belongs to, and what was typed kept."""

    def mark(field: FieldView) -> FieldView:
        return replace(field, value=wrong.typed, error=wrong.message) if field.id == wrong.field else field

    leads = tuple(replace(lead, fields=tuple(map(mark, lead.fields))) for lead in view.selected.leads)
    return replace(
        view,
        selected=replace(view.selected, leads=leads, fields=tuple(map(mark, view.selected.fields))),
        switches=replace(
            view.switches,
            contacts=tuple(map(mark, view.switches.contacts)),
            groups=tuple(replace(g, switches=tuple(map(mark, g.switches))) for g in view.switches.groups),
            hours=None if view.switches.hours is None else mark(view.switches.hours),
            running=tuple(
                replace(group, rows=tuple(_marked(row, mark) for row in group.rows))
                for group in view.switches.running
            ),
        ),
        assumptions=replace(
            view.assumptions,
            rows=tuple(replace(row, field=mark(row.field)) for row in view.assumptions.rows),
        ),
    )


def _marked(row: RunningView, mark: Callable[[FieldView], FieldView]) -> RunningView:
    return row if row.hours is None else replace(row, hours=mark(row.hours))


def field_in(view: BenchView, name: str) -> FieldView | None:
    """The field of this id on the page."""
    fields = (
        *(field for lead in view.selected.leads for field in lead.fields),
        *view.selected.fields,
        *view.switches.contacts,
        *(field for group in view.switches.groups for field in group.switches),
        *(field for field in (view.switches.hours,) if field is not None),
        *(row.hours for group in view.switches.running for row in group.rows if row.hours is not None),
        *(row.field for row in view.assumptions.rows),
    )
    return next((field for field in fields if field.id == name), None)
