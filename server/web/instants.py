"""The picture of a boat at one instant of an event: where the cursor of the chart stands."""

from collections.abc import Mapping
from dataclasses import replace

from server.actions.choices import UnknownChoiceError, event_by_id
from server.actions.instants import instant
from server.actions.yard import OpenBoat, Yard
from server.web.event_fields import asked_of
from server.web.events import solve
from server.web.picture import earlier_revision, scene
from server.web.views.bench import DiagramView
from server.web.views.event_chart import column_axis, column_time
from server.web.views.state import ViewState


def picture_at(yard: Yard, opened: OpenBoat, asked: ViewState, values: Mapping[str, str]) -> DiagramView:
    """The wiring with the currents and voltages of the instant that is asked for.

    Raises:
        UnknownChoiceError: the boat has no such mode or event, the event cannot be solved in time, or the
            address names no instant of it.
    """
    now = scene(yard, opened, asked)
    state, fields = now.state, asked_of(opened.boat, values)
    event = event_by_id(opened.boat, state.event)
    if event is None or (fields.column is None and fields.at_s is None):
        raise UnknownChoiceError("Choose an event and an instant of it in the chart first.")
    run = solve(yard, opened.sha, opened.boat, event)
    if isinstance(run, str):
        raise UnknownChoiceError(run)
    axis = column_axis(run)
    at_s = column_time(axis, fields.column or 0) if fields.at_s is None else fields.at_s
    found = instant(yard, opened.sha, opened.boat, event.mode, event.id, at_s)
    view = now.diagram(earlier=earlier_revision(yard, opened, state), instant=found)
    return replace(view, instant=f"The boat {axis.told(at_s)}")
