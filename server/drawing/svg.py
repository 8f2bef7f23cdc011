"""SVG values, built with ElementTree so that no text can become markup."""

from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

NAMESPACE = "http://www.w3.org/2000/svg"


@dataclass(frozen=True, slots=True)
class Svg:
    """A finished drawing; the only value whose markup a template takes as it is."""

    markup: str
    width: float
    height: float

    def __html__(self) -> str:
        """The markup, trusted because ElementTree wrote it."""
        return self.markup

    def __str__(self) -> str:
        """The markup."""
        return self.markup


def number(value: float) -> str:
    """A coordinate with one decimal at most.

    >>> number(12.04), number(3.25)
    ('12', '3.2')
    """
    return f"{round(value, 1):g}"


def root(width: float, height: float, **attributes: str) -> Element:
    """The outermost element of a drawing of this size."""
    box = f"0 0 {number(width)} {number(height)}"
    return Element("svg", {"xmlns": NAMESPACE, "viewBox": box, **_named(attributes)})


def add(parent: Element, tag: str, text: str | None = None, **attributes: str | float) -> Element:
    """A child element; ``class_`` and ``data_x`` stand for ``class`` and ``data-x``."""
    child = SubElement(parent, tag, _named(attributes))
    child.text = text
    return child


def finished(element: Element, width: float, height: float) -> Svg:
    """The drawing as a value."""
    return Svg(tostring(element, encoding="unicode"), width, height)


def _named(attributes: dict[str, str] | dict[str, str | float]) -> dict[str, str]:
    return {
        key.rstrip("_").replace("_", "-") if key != "viewBox" else key: value if isinstance(value, str) else number(value)
        for key, value in attributes.items()
    }
