"""The one-page sheet for the owner."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.yard import OpenBoat
from server.web.views.controls import HeadView, head_view
from server.web.views.history import moment_words
from server.web.views.options_tabs import TabsView, tabs_view

if TYPE_CHECKING:
    from server.papers.owner_sheet import Section


@dataclass(frozen=True)
class SectionView:
    """A heading with its sentences; ``small`` stands below them."""

    id: str
    title: str
    lines: tuple[str, ...]
    small: tuple[str, ...]


@dataclass(frozen=True)
class SheetView:
    """``owner/_sheet.html``: ``more_url`` while it is worked out."""

    name: str
    of: str
    sections: tuple[SectionView, ...] = ()
    more_url: str = ""
    page_url: str = ""


@dataclass(frozen=True)
class OwnerView:
    """``owner/page.html``."""

    title: str
    head: HeadView
    tabs: TabsView
    sheet: SheetView


def owner_view(opened: OpenBoat, sheet: SheetView) -> OwnerView:
    """The page around the sheet."""
    return OwnerView(
        title=f"Owner's sheet, {opened.row.name}",
        head=head_view(opened, "options"),
        tabs=tabs_view(opened.id, "owner"),
        sheet=sheet,
    )


def sheet_view(
    opened: OpenBoat, now: OpenBoat, sections: "tuple[Section, ...]", *, is_whole: bool = True
) -> SheetView:
    """The sheet, or what is known of it at once; ``now`` is the boat until the work is done."""
    of = f"Revision {opened.rev} of {moment_words(opened.revision)}"
    if now.id != opened.id:
        of += f", beside “{now.row.name}” as it is now, revision {now.rev}"
    path = f"/boats/{opened.id}/owner"
    return SheetView(
        opened.row.name,
        f"{of}.",
        tuple(SectionView(one.id, one.title, one.lines, one.small) for one in sections),
        more_url="" if is_whole else f"{path}/sheet",
        page_url="" if is_whole else f"{path}?waits=yes",
    )
