"""The batteries across the top: boxes, posts, jumpers, and the tracks from posts to their lanes."""

from dataclasses import dataclass, field

from server.boat.parts import Battery
from server.drawing.circuit import Chain, Circuit, Polarity, Vertex
from server.drawing.measures import Box, clipped, wrapped

BOX_WIDTH = 168.0
BOX_HEIGHT = 96.0
BOX_GAP = 32.0
TRACK_GAP = 24.0
MOST_UNFOLDED = 6
MOST_UNFOLDED_SLIM = 2
USES = {"start": 0, "other": 1, None: 1, "house": 2, "thruster": 3}
POST_INSET = 30.0
CHEMISTRY = {"flooded": "flooded", "gel": "gel", "agm": "AGM", "lifepo4": "LiFePO4"}


@dataclass
class BatteryBox:
    """One battery, or a bank folded to one box that keeps its pick-up posts."""

    key: str
    members: tuple[str, ...]
    name: str
    lines: tuple[str, ...]
    facts: int
    posts: dict[Vertex, tuple[float, bool]] = field(default_factory=dict)
    box: Box = field(default_factory=lambda: Box(0, 0, 0, 0))


@dataclass
class Band:
    """The row of batteries; ``roots`` are the posts with lanes, outermost first."""

    boxes: list[BatteryBox]
    roots: dict[Polarity, list[str]]
    jumpers: list[Chain]
    hidden: tuple[str, ...]
    hidden_chains: tuple[int, ...]
    width: float
    jumper_levels: dict[tuple[int, bool], int]
    levels: tuple[int, int]


def band(c: Circuit, unfolded: frozenset[str], *, slim: bool = False) -> Band:
    """Batteries from left to right: starting, others, house, thruster; the last gets the outermost lanes."""
    parts = [p for key in c.batteries if isinstance(p := c.parts[key], Battery)]
    groups: dict[str, list[Battery]] = {}
    fold = len(parts) > (MOST_UNFOLDED_SLIM if slim else MOST_UNFOLDED)
    for part in sorted(parts, key=lambda p: USES.get(p.use, 1)):
        bank = f"bank-{part.bank}" if fold and part.bank and f"bank-{part.bank}" not in unfolded else part.id
        groups.setdefault(bank, []).append(part)
    jumpers = [ch for ch in c.chains.values() if _is_jumper(c, ch)]
    outside = {
        at
        for ch in c.chains.values()
        if not _is_jumper(c, ch)
        for at in (ch.a_at, ch.b_at)
        if c.parts.get(at[0]) in parts
    }
    boxes = [_box(key, members) for key, members in groups.items()]
    home = {m: b.key for b in boxes for m in b.members}
    inside = [ch for ch in jumpers if home[ch.a_at[0]] == home[ch.b_at[0]]]
    hidden = tuple(i for ch in inside for s in ch.steps for i in s.ids)
    shown = [ch for ch in jumpers if home[ch.a_at[0]] != home[ch.b_at[0]]]
    touched = outside | {at for ch in shown for at in (ch.a_at, ch.b_at)}
    for b in boxes:
        _posts(b, touched, folded=len(b.members) > 1)
    posts = [at for b in boxes for at in b.posts]
    roots: dict[Polarity, list[str]] = {"positive": [], "negative": []}
    for at in reversed(posts):
        place = c.places[f"{at[0]}.{at[1]}"]
        if at in outside:
            roots[place.side].append(place.key)
    above, below, levels = _levels(shown, posts)
    width = len(boxes) * (BOX_WIDTH + BOX_GAP) - BOX_GAP if boxes else 0.0
    return Band(boxes, roots, shown, hidden, tuple(ch.index for ch in inside), width, levels, (above, below))


def _is_jumper(c: Circuit, chain: Chain) -> bool:
    kinds = {c.places[chain.a].kind, c.places[chain.b].kind}
    return kinds == {"battery"} and all(step.is_conductor for step in chain.steps)


def _box(key: str, members: list[Battery]) -> BatteryBox:
    first = members[0]
    count = f"{len(members)} × " if len(members) > 1 else ""
    capacity = f"{count}{first.capacity_ah:g} Ah" if first.capacity_ah else count.strip(" ×")
    name = first.bank if len(members) > 1 and first.bank else first.name
    room = BOX_WIDTH - 62
    each = f"{capacity} {first.nominal_voltage_v:g} V" if len(members) == 1 else capacity
    facts = [fact for fact in (each, CHEMISTRY[first.chemistry]) if fact]
    lines = (*wrapped(name, room, 2), *(clipped(fact, room) for fact in facts))
    return BatteryBox(key, tuple(m.id for m in members), name, lines, len(facts))


def _posts(b: BatteryBox, touched: set[Vertex], *, folded: bool) -> None:
    names = [(m, t) for m in b.members for t in ("positive", "charge", "negative")]
    wanted = [at for at in names if at in touched or (not folded and at[1] != "charge")]
    top = [at for at in wanted if at[1] != "negative"]
    bottom = [at for at in wanted if at[1] == "negative"]
    for row, is_top in ((top, True), (bottom, False)):
        for n, at in enumerate(row):
            b.posts[at] = (POST_INSET + n * 44, is_top)


def _levels(jumpers: list[Chain], posts: list[Vertex]) -> tuple[int, int, dict[tuple[int, bool], int]]:
    """A level for each jumper, so that jumpers over the same stretch do not run into each other."""
    order = {at: n for n, at in enumerate(posts)}
    taken: dict[bool, list[list[tuple[int, int]]]] = {True: [], False: []}
    levels: dict[tuple[int, bool], int] = {}
    for ch in sorted(jumpers, key=lambda x: abs(order[x.a_at] - order[x.b_at])):
        low, high = sorted((order[ch.a_at], order[ch.b_at]))
        for top in {ch.a_at[1] != "negative", ch.b_at[1] != "negative"}:
            for n, level in enumerate(taken[top]):
                if all(high <= lo or hi <= low for lo, hi in level):
                    level.append((low, high))
                    levels[(ch.index, top)] = n
                    break
            else:
                levels[(ch.index, top)] = len(taken[top])
                taken[top].append([(low, high)])
    return len(taken[True]), len(taken[False]), levels


def place_boxes(b: Band, left: float, top: float) -> None:
    """Set the boxes in their row."""
    x = left
    for box in b.boxes:
        box.box = Box(x, top, BOX_WIDTH, BOX_HEIGHT)
        x += BOX_WIDTH + BOX_GAP


def post_points(b: Band) -> dict[Vertex, tuple[float, float]]:
    """Where each post sits on its box's edge."""
    return {
        at: (box.box.x + dx, box.box.y if is_top else box.box.bottom)
        for box in b.boxes
        for at, (dx, is_top) in box.posts.items()
    }


def way_from_post(b: Band, at: Vertex, level: float) -> tuple[tuple[float, float], ...]:
    """From a post up or down to the track at ``level``; a post on the far edge goes round its box."""
    x, y = post_points(b)[at]
    box = next(box.box for box in b.boxes if at in box.posts)
    upwards = level < box.y
    if upwards == (y == box.y):
        return ((x, y), (x, level))
    aside = box.x - BOX_GAP / 3 if upwards else box.right + BOX_GAP / 3
    turn = y + 12 if upwards else y - 12
    return ((x, y), (x, turn), (aside, turn), (aside, level))


def gap_between(b: Band, x0: float, x1: float) -> float:
    """A free way down between boxes, beside the post at ``x0`` towards ``x1``."""
    box = next(box.box for box in b.boxes if box.box.x <= x0 <= box.box.right)
    return box.right + BOX_GAP / 2 if x1 > x0 else box.x - BOX_GAP / 2
