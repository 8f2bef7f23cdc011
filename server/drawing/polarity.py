"""Which side of the ladder each terminal belongs to."""

from server.boat.parts import (
    AnyPart,
    Load,
)
from server.drawing.circuit import (
    Links,
    Polarity,
    Vertex,
)
from server.drawing.reader import Reader


def sides(r: Reader, links: Links) -> dict[Vertex, Polarity]:
    """Each vertex's polarity: that of the nearest battery post, else of its section or load terminal."""
    posts: dict[Vertex, Polarity] = {at: p.side for at, p in r.places.items() if p.kind == "battery"}
    series = {at for at, side in posts.items() if side == "negative" and _meets_positive(r, at, posts, links)}
    seeds: dict[Vertex, Polarity] = {at: "positive" if at in series else side for at, side in posts.items()}
    found = links.nearest(seeds)
    weak: dict[Vertex, Polarity] = {
        at: p.side for at, p in r.places.items() if p.kind == "section" and at not in found
    }
    for at in r.rung_ports:
        if at not in found:
            weak[at] = nominal_side(r.parts[at[0]], at[1])
    return found | {at: side for at, side in links.nearest(weak).items() if at not in found}


def _meets_positive(r: Reader, start: Vertex, posts: dict[Vertex, Polarity], links: Links) -> bool:
    """Whether a battery's negative post is jumpered straight to another's positive: a series string."""
    seen, ring = {start}, [start]
    while ring:
        at = ring.pop()
        for link in links.at.get(at, ()):
            if link.step is None or link.step.kind not in ("conductor", "link", "fuse"):
                continue
            other = link.b if link.a == at else link.a
            if posts.get(other) == "positive" and other[0] != start[0]:
                return True
            through = other not in r.places or r.places[other].kind in ("battery", "post")
            if other not in seen and through:
                seen.add(other)
                ring.append(other)
    return False


def nominal_side(part: AnyPart, terminal: str) -> Polarity:
    """On which side a rung's terminal belongs by its name."""
    if isinstance(part, Load):
        return "negative" if terminal in part.negatives else "positive"
    return "negative" if "negative" in terminal or terminal == "ground" else "positive"
