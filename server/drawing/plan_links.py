"""What can be touched on the plan and on the map of its runs: links, and what is lit or pale."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar
from xml.etree.ElementTree import Element

from server.boat.hull import Point
from server.boat.parts import AnyPart
from server.boat.runs import Run, Waypoint
from server.boat.value import Place
from server.drawing.svg import add

T = TypeVar("T", Run, Waypoint, AnyPart)
TOUCH_R = 26.0
"""Radius of what answers to a finger, in the drawing's units: 22 px where the drawing is 710 px wide."""
MARK = 9.0
"""Half the side of a mark."""


@dataclass(frozen=True, slots=True)
class Lit:
    """What is chosen and what lies on the chosen conductor's way."""

    chosen: str = ""
    runs: frozenset[str] = frozenset()
    things: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Links:
    """Draws what can be touched."""

    svg: Element
    names: Element
    """Names stand in front of all marks."""
    url: str
    lit: Lit
    pale: frozenset[str] = frozenset()
    """What is on other decks than the one that is shown."""

    def marked(self, thing: str) -> str:
        """Classes of a thing that is chosen, lies on the chosen way, or is on another deck."""
        on_way = thing in self.lit.things or thing in self.lit.runs
        told = (" chosen" if thing == self.lit.chosen else "") + (" on-way" if on_way else "")
        return told or (" pale" if thing in self.pale else "")

    def palest_first(self, things: Iterable[T]) -> list[T]:
        """What is on the shown deck comes last, and the chosen thing after it, so that they lie above."""
        return sorted(things, key=lambda one: (one.id not in self.pale, one.id == self.lit.chosen))

    def link(self, thing: str, kind: str, said: str, place: Place | None = None) -> Element:
        """The element of a thing; one with a place can be carried."""
        marked = self.marked(thing)
        href = f"{self.url}{'&' if '?' in self.url else '?'}on={thing}"
        link = add(
            self.svg,
            "a",
            class_=f"plan-thing plan-{kind}{marked}",
            id=f"spot-{thing}",
            href=href,
            hx_get=href,
            hx_target="#plan",
            hx_swap="outerHTML",
            data_focus_next="plan-chosen-title",
            aria_label=said,
        )
        if place is not None:
            at = {"data-x": place.from_bow_m, "data-y": place.from_centreline_m}
            link.attrib |= {"data-thing": "", **{name: f"{metres:.3f}" for name, metres in at.items()}}
        return link


def draw_waypoint(link: Element, at: Point) -> None:
    """The mark of a waypoint."""
    add(link, "circle", class_="plan-touch", cx=at[0], cy=at[1], r=TOUCH_R)
    corner, side = (at[0] - MARK + 1, at[1] - MARK + 1), 2 * MARK - 2
    add(link, "rect", class_="plan-dot", x=corner[0], y=corner[1], width=side, height=side)
