"""A drawing under the plan, scaled, turned and placed by two points."""

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from server.boat.hull import Point
from server.boat.underlay import Underlay
from server.drawing.svg import add


@dataclass(frozen=True, slots=True)
class Backdrop:
    """The picture of a drawing: its address and its size in pixels."""

    href: str
    width: float
    height: float


def draw_underlay(svg: Element, picture: Backdrop, underlay: Underlay, places: tuple[Point, Point]) -> None:
    """Draw a picture so that its two points come to lie on two places of the sheet."""
    add(
        svg,
        "image",
        class_="plan-underlay",
        href=picture.href,
        width=picture.width,
        height=picture.height,
        transform=f"matrix({' '.join(f'{part:.6g}' for part in similarity(picture, underlay, places))})",
        aria_hidden="true",
    )


def similarity(
    picture: Backdrop, underlay: Underlay, places: tuple[Point, Point]
) -> tuple[float, float, float, float, float, float]:
    """The matrix that scales, turns and shifts a picture onto two places; never mirrored, never sheared.

    With pixels and places as complex numbers it is w = a·z + b, a = (w₂ - w₁) / (z₂ - z₁).
    """
    z1, z2 = (
        complex(fix.x * picture.width, fix.y * picture.height) for fix in (underlay.first, underlay.second)
    )
    w1, w2 = (complex(*place) for place in places)
    a = (w2 - w1) / (z2 - z1)
    b = w1 - a * z1
    return a.real, a.imag, -a.imag, a.real, b.real, b.imag
