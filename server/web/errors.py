"""Errors to answers: what is wrong, where, and what to do; never the input itself."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import cast

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from server.web.headers import SECURITY_HEADERS
from server.web.render import fragments, is_htmx, page
from server.web.views.house import ErrorView

MAX_DETAILS = 10
MAX_DETAIL_LENGTH = 200

_WORDS = {
    404: ("Not found", "There is nothing at this address. Go back to the boats and choose one."),
    405: ("Not possible here", "This address does not take that kind of request."),
    422: (
        "Not understood",
        "Something in the request is missing or has the wrong form. Nothing was changed.",
    ),
    500: (
        "Our mistake",
        "Something went wrong in Tapchart. Every edit acknowledged before is kept. Load the page again.",
    ),
}


def install(app: FastAPI) -> None:
    """Give an app these answers in place of the framework's own."""
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(Exception, _unexpected)


def error_response(
    request: Request,
    status: int,
    message: str = "",
    details: tuple[str, ...] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """An error as a page, as a fragment for htmx (into ``#message``), or as JSON where JSON is spoken."""
    title, words = _WORDS.get(status, (HTTPStatus(status).phrase, HTTPStatus(status).description))
    view = ErrorView(
        title, _printable(message or words), tuple(_printable(text) for text in details[:MAX_DETAILS])
    )
    response: Response
    if _speaks_json(request):
        response = JSONResponse(
            {"error": view.title, "message": view.message, "details": view.details}, status
        )
    elif is_htmx(request):
        response = fragments(request, ("errors/message", view), page_url="/", status=status)
        response.headers.update({"HX-Retarget": "#message", "HX-Reswap": "outerHTML"})
    else:
        response = page(request, "errors/page", view, status=status)
    response.headers.update(headers or {})
    return response


def _speaks_json(request: Request) -> bool:
    accept = request.headers.get("accept", "")
    return request.url.path.startswith("/api/") or (
        "application/json" in accept and "text/html" not in accept
    )


def _printable(text: str) -> str:
    return text[:MAX_DETAIL_LENGTH].encode("utf-8", "replace").decode()


async def _http_error(request: Request, error: Exception) -> Response:
    error = cast("HTTPException", error)
    said = "" if error.detail == HTTPStatus(error.status_code).phrase else str(error.detail)
    return error_response(request, error.status_code, said, headers=error.headers)


async def _invalid(request: Request, error: Exception) -> Response:
    found = cast("RequestValidationError", error).errors()
    details = tuple(f"{'.'.join(map(str, one['loc']))}: {one['msg']}" for one in found[:MAX_DETAILS])
    return error_response(request, HTTPStatus.UNPROCESSABLE_ENTITY, details=details)


async def _unexpected(request: Request, error: Exception) -> Response:
    # This one is answered outside of all middleware, so it brings the headers itself.
    return error_response(request, HTTPStatus.INTERNAL_SERVER_ERROR, headers=SECURITY_HEADERS)
