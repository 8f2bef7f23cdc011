"""One way for every change: its stamp, the stale case, and the workbench after it."""

from collections.abc import Callable, Mapping

from fastapi import Request
from starlette.responses import Response

from server.actions.boats import fresh_request_id
from server.actions.changes import Change, changed_meanwhile
from server.actions.troubles import StaleError
from server.actions.yard import OpenBoat, Yard, open_boat
from server.web.bench import bench, parts_of
from server.web.bench_fields import FieldError, field_in
from server.web.dependencies import Stamp, stamp_of, state_of
from server.web.render import fragments, is_htmx
from server.web.views.changes import ConflictView
from server.web.views.forms import FormView
from server.web.views.state import ViewState

Make = Callable[[Stamp], Change]
_STAMP = frozenset({"revision", "request_id"})


def changed(request: Request, yard: Yard, boat_id: str, fields: Mapping[str, str], make: Make) -> Response:
    """Make a change and show the workbench after it, with before and after."""
    state = state_of(request, boat_id, fields)

    def after(change: Change) -> Response:
        return show(request, yard, change.after, state.changed(change.after.id, change.after.revision.base))

    return conflict_or(request, boat_id, fields, make, after)


def conflict_or(
    request: Request,
    boat_id: str,
    fields: Mapping[str, str],
    make: Make,
    after: Callable[[Change], Response],
) -> Response:
    """Make a change; a stale one is answered with what changed meanwhile and a form that makes it on top."""
    try:
        change = make(stamp_of(fields))
    except StaleError as stale:
        return _conflict(request, state_of(request, boat_id, fields), fields, stale)
    return after(change)


def show(request: Request, yard: Yard, opened: OpenBoat, state: ViewState) -> Response:
    """The workbench: its fragments for htmx, else a redirect to its page."""
    if not is_htmx(request):
        return fragments(request, page_url=state.url())
    view = bench(yard, opened, state, hurried=True)
    answer = fragments(request, *parts_of(view), page_url=state.url())
    answer.headers["HX-Push-Url"] = state.url()
    return answer


def refused(
    request: Request, yard: Yard, boat_id: str, fields: Mapping[str, str], wrong: FieldError
) -> Response:
    """The field with its message and what was typed, at once as a fragment, or in its whole page (422)."""
    opened, state = open_boat(yard, boat_id), state_of(request, boat_id, fields)
    view = bench(yard, opened, state, hurried=is_htmx(request), wrong=wrong)
    field = field_in(view, wrong.field)
    if field is None:
        return fragments(request, page_url="", status=422, whole=lambda: ("workbench/page", view))
    part = ("workbench/field", field)
    answer = fragments(request, part, page_url="", status=422, whole=lambda: ("workbench/page", view))
    answer.headers.update({"HX-Retarget": f"#{field.id}", "HX-Reswap": "outerHTML"})
    return answer


def _conflict(request: Request, state: ViewState, fields: Mapping[str, str], stale: StaleError) -> Response:
    hidden = (
        ("revision", str(stale.head.rev)),
        ("request_id", fresh_request_id()),
        *((name, value) for name, value in fields.items() if name not in _STAMP),
    )
    view = ConflictView(
        title="This boat changed meanwhile",
        changes=changed_meanwhile(stale.since),
        form=FormView(request.url.path, hidden),
        page_url=state.url(),
    )
    answer = fragments(
        request,
        ("workbench/conflict", view),
        page_url=state.url(),
        status=409,
        whole=lambda: ("workbench/conflict", view),
    )
    answer.headers.update({"HX-Retarget": "#message", "HX-Reswap": "innerHTML"})
    return answer
