"""The pages that belong together under “Options”: options, comparison, history, owner's sheet, prices."""

from dataclasses import dataclass

from server.web.views.controls import PlaceView

_PAGES = (
    ("options", "Options", "/options"),
    ("compare", "Compare", "/compare"),
    ("history", "History", "/history"),
    ("owner", "Owner's sheet", "/owner"),
    ("prices", "Prices and hours", "/prices"),
)


@dataclass(frozen=True)
class TabsView:
    """``options/_tabs.html``."""

    tabs: tuple[PlaceView, ...]


def tabs_view(boat: str, here: str) -> TabsView:
    """The tabs of a boat; ``here`` is the page that is shown, empty for one below them."""
    path = f"/boats/{boat}"
    return TabsView(
        tuple(PlaceView(f"tab-{key}", title, path + below, key == here) for key, title, below in _PAGES)
    )
