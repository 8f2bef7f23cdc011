"""The addresses and forms of the page of the plan: all come back to the same mode, deck and choice."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from server.actions.boats import fresh_request_id
from server.actions.yard import OpenBoat
from server.web.views.forms import FormView


@dataclass(frozen=True)
class PlanLinkView:
    """A way to another choice on this page."""

    id: str
    title: str
    url: str
    here: bool


@dataclass(frozen=True)
class PlanForms:
    """Makes the forms of the page, all on one revision."""

    path: str
    revision: int
    mode: str
    shown: str
    on: str

    def to(self, below: str, **more: str) -> FormView:
        """A form to an address below the plan's, that comes back to the same choice."""
        stamp = (("revision", str(self.revision)), ("request_id", fresh_request_id()))
        look = (("mode", self.mode), ("shown", self.shown), ("on", self.on))
        return FormView(f"{self.path}/{below}", (*stamp, *look, *more.items()))

    @property
    def url(self) -> str:
        """The address of the page in this mode and on this deck, with nothing chosen."""
        told = {"mode": self.mode, "shown": self.shown}
        query = urlencode({key: value for key, value in told.items() if value})
        return f"{self.path}?{query}" if query else self.path

    def link(self, identity: str, key: str, title: str) -> PlanLinkView:
        """A way to the page with a thing chosen."""
        url = f"{self.url}{'&' if '?' in self.url else '?'}on={key}"
        return PlanLinkView(identity, title, url, key == self.on)


def stamped(opened: OpenBoat, below: str, asked: Mapping[str, str]) -> FormView:
    """A form to an address below the plan's, made on what is shown now."""
    look = (asked.get(name, "") for name in ("mode", "shown", "on"))
    return PlanForms(f"/boats/{opened.id}/plan", opened.rev, *look).to(below)
