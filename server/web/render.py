"""Templates to answers: whole pages, and fragments for htmx.

A template receives ``view`` (one frozen value), ``frame`` (what the layout needs besides)
and ``oob`` (whether the fragment is swapped out of band).
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from http import HTTPStatus

from fastapi import Request
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse, RedirectResponse, Response

from server.bundled import bundled

THEMES = ("auto", "light", "dark", "night")
THEME_COOKIE = "tapchart_theme"

_NO_MESSAGE = (
    '\n<div id="message" class="message-place" hx-swap-oob="true"></div>'  # what went wrong before is over
)

Part = tuple[str, object]
"""A fragment: ``("boat/load_row", view)`` is the template ``boat/_load_row.html``."""


@dataclass(frozen=True)
class Frame:
    """What the layout shows around every page; ``path`` is the page's own address, with its query."""

    theme: str
    path: str


def is_htmx(request: Request) -> bool:
    """Whether htmx asks for fragments rather than the browser for a document."""
    return (
        request.headers.get("HX-Request") == "true"
        and request.headers.get("HX-History-Restore-Request") != "true"
    )


def page(request: Request, template: str, view: object, *, status: int = 200) -> HTMLResponse:
    """A whole document from ``<template>.html``."""
    html = _environment().get_template(f"{template}.html").render(view=view, frame=_frame(request))
    return HTMLResponse(html, status_code=status, headers={"Cache-Control": "no-cache", "Vary": "HX-Request"})


def fragments(
    request: Request,
    *parts: Part,
    page_url: str,
    status: int = 200,
    whole: Callable[[], Part] | None = None,
    is_late: bool = False,
) -> Response:
    """The changed parts of a page; the first goes to ``hx-target``, the others find their place by id.

    A late part, which the page asked for by itself, leaves the message of the last action standing.

    Without script the answer is a redirect to ``page_url``, or, when something was wrong,
    the page that ``whole`` gives, with the same status.

    Raises:
        ValueError: something was wrong, there is no script, and no ``whole`` to show it in.
    """
    if is_htmx(request):
        html = "\n".join(_fragment(part, oob=index > 0) for index, part in enumerate(parts))
        if status < HTTPStatus.BAD_REQUEST and not is_late:
            html += _NO_MESSAGE
        return HTMLResponse(
            html, status_code=status, headers={"Cache-Control": "no-cache", "Vary": "HX-Request"}
        )
    if status < HTTPStatus.BAD_REQUEST:
        return RedirectResponse(page_url, status_code=303)
    if whole is None:
        raise ValueError(f"an answer {status} at {page_url} needs a whole page for readers without script")
    template, view = whole()
    return page(request, template, view, status=status)


def _fragment(part: Part, *, oob: bool) -> str:
    template, view = part
    folder, _, name = template.rpartition("/")
    return _environment().get_template(f"{folder}/_{name}.html").render(view=view, oob=oob)


def _frame(request: Request) -> Frame:
    theme = request.cookies.get(THEME_COOKIE, "auto")
    query = f"?{request.url.query}" if request.url.query else ""
    return Frame(theme if theme in THEMES else "auto", request.url.path + query)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(bundled("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["oob"] = False
    return environment
