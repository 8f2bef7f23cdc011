"""The yard's own parts as a page."""

from collections.abc import Mapping
from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.actions.library import OwnPart
from server.web.views.boats import ProblemView
from server.web.views.figures import NONE
from server.web.views.photos import counted


@dataclass(frozen=True)
class OwnPartView:
    """One own part with its forms."""

    id: str
    name: str
    typed: str
    error: str
    kind: str
    figures: str
    rename_url: str
    remove_url: str


@dataclass(frozen=True)
class LibraryView:
    """``library/page.html``."""

    title: str
    told: str
    parts: tuple[OwnPartView, ...]
    count: str
    file_url: str
    import_url: str
    request_id: str
    problems: tuple[ProblemView, ...]


def library_view(
    parts: tuple[OwnPart, ...],
    *,
    told: str = "",
    refused: Mapping[str, tuple[str, str]] | None = None,
    problems: tuple[ProblemView, ...] = (),
) -> LibraryView:
    """All own parts; ``refused`` is, by part, the name that was typed and what is wrong with it."""
    refused = refused or {}

    def row(one: OwnPart) -> OwnPartView:
        typed, error = refused.get(one.id, (one.name, ""))
        path = f"/own-parts/{one.id}"
        figures = one.figures or NONE
        return OwnPartView(
            f"own-{one.id}", one.name, typed, error, one.kind, figures, f"{path}/rename", f"{path}/remove"
        )

    return LibraryView(
        title="Your own parts",
        told=told,
        parts=tuple(map(row, parts)),
        count=counted(len(parts), "part"),
        file_url="/own-parts/file" if parts else "",
        import_url="/own-parts/import",
        request_id=fresh_request_id(),
        problems=problems,
    )
