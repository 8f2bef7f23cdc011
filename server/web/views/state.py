"""What a reader looks at: mode, event, selection and sorting, kept in the address and never in a boat."""

import re
from dataclasses import dataclass, replace
from typing import Literal
from urllib.parse import quote_plus

SortKey = Literal["name", "lowest", "highest", "verdict", "need", "steady", "drop", "current"]
SORT_KEYS: tuple[SortKey, ...] = ("name", "verdict", "lowest", "highest", "need", "steady", "drop", "current")
Section = Literal["switches", "assumptions"]
SECTIONS: tuple[Section, ...] = ("switches", "assumptions")


_PLAIN = re.compile(r"[A-Za-z0-9_.~-]*")


def _quoted(value: str) -> str:
    """A value for a query; ids, as nearly all values are, stand in it as they are."""
    return value if _PLAIN.fullmatch(value) else quote_plus(value)


@dataclass(frozen=True)
class ViewState:
    """One view of one boat; what is left out is chosen by the page.

    ``since`` is the revision that the last change was made on, for as long as its before and after are shown;
    ``unfolded`` is a long section shown in full; ``panels`` names panels and bars whose loads are shown
    each by itself or, with a minus before the name, in one row; ``portrait`` is how the screen is held and
    ``side`` the polarity that a narrow picture shows, by their cookies;
    ``looks_back`` asks for the picture as it was before that change, in this one answer.
    """

    boat: str
    mode: str | None = None
    event: str | None = None
    selected: str | None = None
    sort: SortKey | None = None
    descending: bool = False
    since: int | None = None
    unfolded: Section | None = None
    panels: tuple[str, ...] = ()
    portrait: bool = False
    side: Literal["positive", "negative"] | None = None
    looks_back: bool = False

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Name and value of each chosen thing, for an address or for hidden fields."""
        chosen = {
            "mode": self.mode,
            "event": self.event,
            "selected": self.selected,
            "sort": self.sort,
            "open": self.unfolded,
        }
        kept = [(name, value) for name, value in chosen.items() if value is not None]
        if self.descending:
            kept.append(("order", "descending"))
        if self.panels:
            kept.append(("panels", ".".join(self.panels)))
        if self.since is not None:
            kept.append(("since", str(self.since)))
        return tuple(kept)

    def url(self, below: str = "", **more: str) -> str:
        """The address of this view, or of something below the boat with this view."""
        path = f"/boats/{self.boat}{below}"
        query = "&".join(f"{name}={_quoted(value)}" for name, value in (*self.pairs, *more.items()))
        return f"{path}?{query}" if query else path

    def path(self, below: str = "") -> str:
        """The address without the view: what a form is sent to."""
        return f"/boats/{self.boat}{below}"

    def changed(self, boat: str, since: int | None) -> "ViewState":
        """The same view after a change, perhaps of another boat, with its before and after."""
        return replace(self, boat=boat, since=since)

    def selecting(self, selected: str | None) -> "ViewState":
        """The same view with another load selected."""
        return replace(self, selected=selected)

    def unfolding(self, section: Section) -> "ViewState":
        """The same view with a long section in full, or folded again."""
        return replace(self, unfolded=None if self.unfolded == section else section)

    def folding(self, panel: str, *, shut: bool) -> "ViewState":
        """The same view with a panel's loads in one row, or one by one."""
        others = tuple(one for one in self.panels if one.removeprefix("-") != panel)
        return replace(self, panels=(*others, f"-{panel}" if shut else panel))

    def sorting(self, key: SortKey) -> "ViewState":
        """The same view sorted by a column; by the same column again: the other way round."""
        return replace(self, sort=key, descending=self.sort == key and not self.descending)
