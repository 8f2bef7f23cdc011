"""The yard's own prices and hours: typed, taken in from a file, given out as one."""

from fastapi import APIRouter, Request
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse, Response

from server.actions.boats import fresh_request_id
from server.actions.options import family
from server.actions.prices import PriceProblem, PricesError, keep_prices, prices, prices_text
from server.actions.yard import Yard as ActionsYard
from server.actions.yard import open_boat
from server.web.dependencies import BoatId, Fields, Yard
from server.web.render import page
from server.web.views.prices import prices_view, text_of

router = APIRouter()

FILE_NAME = "prices-and-hours.csv"


def _page(
    request: Request,
    yard: ActionsYard,
    boat_id: str,
    *,
    typed: Fields | None = None,
    problems: tuple[PriceProblem, ...] = (),
) -> Response:
    found = family(yard, boat_id)
    boats = [open_boat(yard, row.id).boat for row in (found.root, *(one.row for one in found.options))]
    view = prices_view(open_boat(yard, boat_id), boats, *prices(yard), typed=typed, problems=problems)
    return page(request, "prices/page", view, status=422 if problems else 200)


@router.get("/boats/{boat_id}/prices")
def shown(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The list in force, to be corrected."""
    return _page(request, yard, boat_id)


@router.post("/boats/{boat_id}/prices")
def keep(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put what was typed in force; what is wrong with it stands above, and nothing typed is lost."""
    open_boat(yard, boat_id)
    return _kept(request, yard, boat_id, text_of(fields), fields.get("request_id", ""), fields)


@router.post("/boats/{boat_id}/prices/file")
async def take_in(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Put a file's list in force."""
    open_boat(yard, boat_id)
    async with request.form(max_files=1, max_fields=10) as form:
        upload, request_id = form.get("file"), form.get("request_id")
        body = await upload.read() if isinstance(upload, UploadFile) else b""
    if not body:
        told = (PriceProblem("file", "No file was chosen, or it is empty."),)
        return _page(request, yard, boat_id, problems=told)
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        told = (PriceProblem("file", "It is no text in UTF-8: save the table as CSV in UTF-8."),)
        return _page(request, yard, boat_id, problems=told)
    return _kept(request, yard, boat_id, text, request_id if isinstance(request_id, str) else "")


@router.get("/boats/{boat_id}/prices/file")
def give_out(boat_id: BoatId, yard: Yard) -> Response:
    """The list in force as a file that can be taken in again."""
    open_boat(yard, boat_id)
    headers = {"Content-Disposition": f'attachment; filename="{FILE_NAME}"'}
    return Response(prices_text(prices(yard)[0]), media_type="text/csv", headers=headers)


def _kept(  # noqa: PLR0913, PLR0917 - each names one thing of what is kept
    request: Request,
    yard: ActionsYard,
    boat_id: str,
    text: str,
    request_id: str,
    typed: Fields | None = None,
) -> Response:
    try:
        keep_prices(yard, text, request_id[:64] or fresh_request_id())
    except PricesError as error:
        return _page(request, yard, boat_id, typed=typed, problems=error.problems)
    return RedirectResponse(f"/boats/{boat_id}/prices", status_code=303)
