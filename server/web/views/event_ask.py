"""What asks for the event in time, so that it never delays the first page or a put-down."""

from dataclasses import dataclass

from server.web.views.state import ViewState


@dataclass(frozen=True)
class AskView:
    """``workbench/_event_ask.html``: asks for the event in time as soon as it is on the page.

    ``refines`` has the answer bring the parts of the page that were shown with figures of the first instant.
    """

    url: str
    refines: bool = False


def ask_view(state: ViewState, *, refines: bool = False) -> AskView:
    """What asks for the strip of a view; without script its link leads to a page of its own."""
    return AskView(state.url("/event"), refines)
