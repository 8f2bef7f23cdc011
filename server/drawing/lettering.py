"""Texts on a sheet: what stands at symbols and conductors, then names where there is room for them."""

from dataclasses import dataclass, replace
from itertools import pairwise, product

from server.drawing.battery_band import Band
from server.drawing.circuit import Step
from server.drawing.labels import MARGIN, Anchor, Bar, Label, Occupied, bar_label, bonding_label
from server.drawing.measures import SYMBOL, Box, clipped, text_width
from server.drawing.shapes import Point, Symbol, Upright
from server.drawing.sheet import PLAIN, Sheet

NAMED_STEPS = ("contact", "combiner", "shunt", "connector")


@dataclass(frozen=True, slots=True)
class Lettering:
    """Writes on a sheet whose lines, plates and symbols are all placed."""

    sheet: Sheet
    band: Band

    def put_labels(self, fixed: list[Label]) -> None:
        """Set the texts at symbols and conductors, then find a place for the name of each bar and part."""
        occupied = self._occupied()
        fixed += [
            Label(s.x, s.y - 15, s.step.label, "middle", "symbol-label", s.step.name)
            for s in self.sheet.symbols
            if s.step.label
        ]
        for wire in self.sheet.wires:
            if wire.label and wire.label_at:
                anchor: Anchor = "middle" if wire.step else ("start" if wire.side == "positive" else "end")
                fixed.append(Label(*wire.label_at, wire.label, anchor, "count"))
        for label in fixed:
            occupied.add(label.box)
        self.sheet.labels.extend(fixed)
        for up in sorted(self.sheet.uprights, key=lambda u: (u.place.kind != "bonding", self._to_edge(u.x))):
            self._name(occupied, up)
        for s in self.sheet.symbols:
            if s.step.kind in NAMED_STEPS:
                self._name_part(occupied, s)
        told: set[str] = set()
        for wire in self.sheet.wires:
            if wire.step and wire.step.element not in told and self._tell(occupied, wire.step, wire.points):
                told.add(wire.step.element)

    def _to_edge(self, x: float) -> float:
        return min(x, self.sheet.width - x)

    def _occupied(self) -> Occupied:
        """Everything that a text must not stand on."""
        occupied = Occupied()
        for plate in self.sheet.plates:
            occupied.add(plate.box)
        for box in self.band.boxes:
            occupied.add(Box(box.box.x, box.box.y - 16, box.box.width, box.box.height + 32))
        for points, pad in (
            *((w.points, 3) for w in self.sheet.wires),
            *((u.path, 4) for u in self.sheet.uprights),
        ):
            for (x0, y0), (x1, y1) in pairwise(points):
                occupied.add(
                    Box(min(x0, x1) - pad, min(y0, y1) - pad, abs(x1 - x0) + 2 * pad, abs(y1 - y0) + 2 * pad)
                )
        for up in self.sheet.uprights:
            rise = 21.0 if up.place.kind == "block" else 0.0
            reach = max(up.half, 7.0 if up.place.kind in PLAIN else 9.0)
            occupied.add(Box(up.x - reach, up.y0 - rise, 2 * reach, max(up.y1 - up.y0, 1) + 2 * rise))
        for s in self.sheet.symbols:
            occupied.add(Box(s.x - SYMBOL / 2, s.y - 12, SYMBOL, 24))
        for label in self.sheet.labels:
            occupied.add(label.box)
        return occupied

    def _name_part(self, occupied: Occupied, s: Symbol) -> None:
        """The name of a switch, relay, shunt or connector below it, where there is room."""
        for room, dx in (
            (260, 0),
            (260, -24),
            (260, 24),
            (150, 0),
            (150, -24),
            (150, 24),
            (150, -48),
            (150, 48),
        ):
            name = clipped(s.step.name, room)
            label = Label(s.x + dx, s.y + 26, name, "middle", "part-name", s.step.name)
            inside = label.box.x > MARGIN and label.box.right < self.sheet.width - MARGIN
            if inside and occupied.is_free(label.box):
                occupied.add(label.box)
                self.sheet.labels.append(label)
                return

    def _tell(self, occupied: Occupied, step: Step, points: tuple[Point, ...]) -> bool:
        """A conductor's number or size along one of its level stretches, where there is room for it."""
        level = [(x0, x1, y0) for (x0, y0), (x1, y1) in pairwise(points) if y0 == y1]
        for text in step.told:
            room = text_width(text)
            for x0, x1, y in level:
                left, right = min(x0, x1), max(x0, x1)
                if right - left < room + 12:
                    continue
                for x, below in product((left + 6, (left + right - room) / 2, right - room - 6), (24, -12)):
                    label = Label(x, y + below, text, "start", "copper", step.name)
                    if occupied.is_free(label.box):
                        occupied.add(label.box)
                        self.sheet.labels.append(label)
                        return True
        return False

    def _name(self, occupied: Occupied, up: Upright) -> None:
        place = up.place
        if place.kind == "battery" and not any(
            self.sheet.c.chains[n].index in self.sheet.at_rung for n in up.chains
        ):
            return
        if place.kind in ("end", "turn") or (place.kind == "junction" and len(up.chains) < 2):  # noqa: PLR2004
            return
        name = place.name
        if place.kind == "junction" and any(not self.sheet.c.chains[n].steps for n in up.chains):
            name = place.name.rpartition(", ")[2].replace("-", " ")
        if place.kind == "block":
            name = self.sheet.c.block_states.get(place.key, name)
        if place.spares:
            name += f" · {len(place.spares)} spare"
        landings = tuple(sorted({y for y, _, _ in up.ends}))
        bar = Bar(
            name,
            "terminal-name" if place.kind in ("junction", "battery") else "bar-name",
            up.x,
            up.half,
            landings[0] if place.kind == "battery" else up.y0,
            up.y1,
            landings,
            1 if place.side == "positive" else -1,
        )
        if place.kind == "bonding" and (lines := bonding_label(occupied, bar)):
            self.sheet.labels.extend(lines)
        elif label := (
            bar_label(occupied, self.sheet.width, bar)
            or bar_label(occupied, self.sheet.width, replace(bar, top=up.y0))
        ):
            self.sheet.labels.append(label)
        else:
            self.sheet.unlabelled.append(name)
