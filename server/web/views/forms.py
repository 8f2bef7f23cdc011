"""The parts of a form: where it goes, what it carries unseen, and one field with its message."""

from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.web.views.state import ViewState


@dataclass(frozen=True)
class FormView:
    """A form that changes a boat: its address and its hidden fields, among them revision and request id."""

    action: str
    hidden: tuple[tuple[str, str], ...]


def change_form(state: ViewState, below: str, revision: int, **more: str) -> FormView:
    """A form to ``below`` the boat, made on this revision; the same view comes back after it."""
    stamp = (("revision", str(revision)), ("request_id", fresh_request_id()))
    return FormView(state.path(below), (*stamp, *state.pairs, *more.items()))


@dataclass(frozen=True)
class ChoiceView:
    """One option of a list."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True)
class FieldView:
    """``workbench/_field.html``: one value edited in place; ``error`` is about what was typed.

    ``about`` is what the value belongs to, where that stands beside the field and need only be spoken.
    """

    id: str
    form: FormView
    label: str
    value: str
    unit: str
    note: str
    error: str = ""
    options: tuple[ChoiceView, ...] = ()
    about: str = ""
