"""The two sides of a comparison: how an address names them and what they are called."""

from dataclasses import dataclass

from server.actions.yard import BoatRow, OpenBoat
from server.web.views.options import ROLES
from server.web.views.state import ViewState


@dataclass(frozen=True)
class Sides:
    """What is compared, as the address names it; ``boat`` is whose page it is, ``root`` its origin."""

    boat: str
    root: BoatRow
    left: str
    right: str
    first: OpenBoat
    second: OpenBoat

    def url(self, below: str = "", **more: str) -> str:
        """The address of the comparison, or of something below it."""
        query = "&".join(
            f"{name}={value}" for name, value in {"left": self.left, "right": self.right, **more}.items()
        )
        return f"/boats/{self.boat}/compare{below}?{query}"

    def kept(self, state: ViewState) -> dict[str, str]:
        """Mode, event and selection, for an address."""
        chosen = {"mode": state.mode, "event": state.event, "selected": state.selected}
        return {name: value for name, value in chosen.items() if value is not None}


def side_name(one: OpenBoat) -> str:
    """A boat, with its revision where that is not the newest."""
    return one.row.name if one.rev == one.row.head else f"{one.row.name}, revision {one.rev}"


def short_name(row: BoatRow, root: BoatRow) -> str:
    """What a boat is called beside those of its family: without the name that they all share."""
    if row.id == root.id and row.role != "option":
        return f"The boat, {ROLES[row.role]}"
    own = row.name.removeprefix(f"{root.name}, ")
    return f"{own[:1].upper()}{own[1:]}"


def short_side(one: OpenBoat, root: BoatRow) -> str:
    """The same of one side, with its revision where that is not the newest."""
    name = short_name(one.row, root)
    return name if one.rev == one.row.head else f"{name}, revision {one.rev}"
