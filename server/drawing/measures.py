"""Sizes the drawing is built from, and how much room a text takes."""

from dataclasses import dataclass

TEXT = 16
"""Height of all text, readable on a tablet at arm's length."""

WIDEST_CHARACTER_EM = 0.6
"""Room kept for one character; the average of common sans-serif faces is nearer 0.5."""

TARGET = 48
"""Side of everything that is touched."""

EDGE = 20
"""Free margin around the drawing."""

TRACK = 60
"""Height of a feeder's own row."""

SYMBOL = 36
"""Length of a symbol along its conductor."""


def text_width(text: str, size: float = TEXT) -> float:
    """The most room a line of text takes."""
    return len(text) * size * WIDEST_CHARACTER_EM


def clipped(text: str, width: float, size: float = TEXT) -> str:
    """As much of a text as fits, with an ellipsis where some is left out."""
    room = int(width / (size * WIDEST_CHARACTER_EM) + 1e-6)
    return text if len(text) <= room else text[: max(room - 1, 1)].rstrip() + "…"


def wrapped(text: str, width: float, lines: int) -> list[str]:
    """A text broken between words into at most so many lines; what is left over is clipped."""
    done: list[str] = []
    rest = text.split()
    while rest and len(done) < lines - 1:
        line = rest.pop(0)
        while rest and text_width(f"{line} {rest[0]}") <= width:
            line += f" {rest.pop(0)}"
        done.append(clipped(line, width))
    return [*done, clipped(" ".join(rest), width)] if rest else done


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height

    def meets(self, other: "Box") -> bool:
        """Whether the two overlap; touching edges do not."""
        return (
            self.x < other.right and other.x < self.right and self.y < other.bottom and other.y < self.bottom
        )


@dataclass(frozen=True, slots=True)
class Style:
    """What differs between the wide picture and the portrait one."""

    plate_width: float
    row_height: float
    plate_height: float
    strip: bool


LANDSCAPE = Style(plate_width=364, row_height=64, plate_height=52, strip=False)
PORTRAIT = Style(plate_width=220, row_height=84, plate_height=74, strip=True)
