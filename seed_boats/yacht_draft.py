"""Drawing up the large yacht: parts, cables and conductors, sized as a yard would."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from yacht_tables import Spot

from server.practice.ampacity import smallest_for_current
from server.practice.drop_limits import circular_mil_area_needed
from server.practice.sizes import ConductorSize, size, smallest_size

INSULATION_C = 105.0
SIZE_SOURCE = "NEC chapter 9 table 8, coated copper, at 75 °C, brought to 20 °C"


@dataclass(slots=True)
class Draft:
    """The lists of the document while it is being drawn up, and where each part sits."""

    parts: list[dict[str, Any]] = field(default_factory=list)
    cables: list[dict[str, Any]] = field(default_factory=list)
    conductors: list[dict[str, Any]] = field(default_factory=list)
    spots: dict[str, Spot] = field(default_factory=dict)
    hot: set[str] = field(default_factory=set)

    def part(
        self, kind: str, name: tuple[str, str], spot: Spot, zone: str | None = None, **fields: object
    ) -> str:
        """Add a part; ``name`` is its id and its name."""
        x, y, z = spot
        place = {"from_bow_m": x, "from_centreline_m": y, "height_m": z}
        where = {} if zone is None else {"zone": zone}
        self.parts.append({"kind": kind, "id": name[0], "name": name[1], "place": place, **where, **fields})
        self.spots[name[0]] = spot
        if zone == "engine-room":
            self.hot.add(name[0])
        return name[0]

    def cable(self, name: str, construction: str = "single", cores: int = 1) -> str:
        """Add a cable with the next number."""
        sheathed = construction != "single"
        number = str(len(self.cables) + 1)
        self.cables.append(
            {"id": name, "number": number, "construction": construction, "sheathed": sheathed, "cores": cores}
        )
        return name

    def wire(self, name: str, ends: tuple[str, str], gauge: ConductorSize, **fields: object) -> None:
        """Add a conductor between two terminals written ``part.terminal``; single cables add themselves."""
        cable = fields.pop("cable", None) or self.cable(f"c-{name}")
        tail, head = ends
        printed = {
            "label": gauge.label,
            "area_mm2": _four(gauge.area_mm2),
            "resistance_ohm_per_m": _four(gauge.ohm_per_m),
            "source": SIZE_SOURCE,
        }
        wire = {
            "id": name, "kind": "wire", "cable": cable, "tail": _terminal(tail), "head": _terminal(head),
            "tail_joint": {"style": "crimped-ring"}, "head_joint": {"style": "crimped-ring"}, "size": printed,
            "material": "tinned-copper", "insulation_c": INSULATION_C, "length_m": self.way(tail, head),
            "length_basis": "routed", "in_engine_space": "yes" if self.is_hot(tail, head) else "no",
        }  # fmt: skip
        self.conductors.append({**wire, **fields})

    def link(self, name: str, tail: str, head: str) -> None:
        """Add a bolted joint."""
        self.conductors.append({"id": name, "kind": "link", "tail": _terminal(tail), "head": _terminal(head)})

    def way(self, tail: str, head: str) -> float:
        """Metres along the boat's three axes, with 15 % for detours and 0.1 m of slack."""
        one, other = (self.spots[end.split(".")[0]] for end in (tail, head))
        return round(sum(abs(a - b) for a, b in zip(one, other, strict=True)) * 1.15 + 0.1, 1)

    def is_hot(self, *ends: str) -> bool:
        """Whether one of the ends is in the engine room."""
        return any(end.split(".")[0] in self.hot for end in ends)


def _four(figure: float) -> float:
    return float(f"{figure:.4g}")


def _terminal(text: str) -> dict[str, str]:
    part, terminal = text.split(".")
    return {"part": part, "terminal": terminal}


def gauge_for(
    device_a: float, design_a: float, path_m: float, allowed_v: float, *, hot: bool
) -> ConductorSize:
    """The thinnest American gauge, from 16 on, for a device and a drop."""
    by_heat = smallest_for_current(device_a, INSULATION_C, "abyc-e11", engine_space=hot)
    by_drop = smallest_size(circular_mil_area_needed(design_a, path_m, allowed_v), "awg")
    if by_heat is None or by_drop is None:
        raise ValueError(f"no gauge carries {device_a:g} A over {path_m:g} m")
    return max(by_heat, by_drop, size("16 AWG"), key=lambda candidate: candidate.area_mm2)


def breaker(rating_a: float) -> dict[str, Any]:
    """The figures of a branch breaker."""
    return {
        "device_class": "thermal-magnetic-breaker", "rating_a": rating_a, "voltage_rating_v": 65.0,
        "interrupting_a": 5000.0, "reset": "manual-trip-free",
    }  # fmt: skip


def fuse(draft: Draft, name: tuple[str, str], spot: Spot, rating_a: float, zone: str | None = None) -> str:
    """A class T fuse."""
    figures = {"device_class": "class-t", "rating_a": rating_a, "voltage_rating_v": 125.0, "reset": "replace"}
    return draft.part("fuse", name, spot, zone, interrupting_a=20000.0, **figures)


def switch(draft: Draft, name: tuple[str, str], spot: Spot, zone: str | None = None) -> str:
    """A battery switch, on as a rule."""
    closed = {"id": "on", "name": "ON", "closed": [["line", "load"]]}
    return draft.part(
        "contact", name, spot, zone, preset="on-off", terminals=["line", "load"], normal="on",
        positions=[{"id": "off", "name": "OFF"}, closed], continuous_a=600.0, five_minute_a=800.0,
        cranking_a=2500.0, voltage_rating_v=48.0, is_battery_switch=True,
    )  # fmt: skip


def contactor(draft: Draft, name: tuple[str, str], spot: Spot, zone: str | None = None) -> str:
    """A contactor with its coil, open as a rule."""
    closed = {"id": "closed", "name": "Closed", "closed": [["line", "load"]]}
    coil = {"kind": "coil", "current_a": 1.2, "rated_voltage_v": 24.0, "pull_in_v": 16.0, "hold_v": 8.0}
    return draft.part(
        "contact", name, spot, zone, preset="relay with coil", terminals=["line", "load"], normal="open",
        positions=[{"id": "open", "name": "Open"}, closed], actuator="coil", coil=coil, continuous_a=300.0,
        voltage_rating_v=48.0,
    )  # fmt: skip


def bar(draft: Draft, name: tuple[str, str], spot: Spot, studs: int, zone: str | None = None) -> str:
    """A busbar that is solved as a chain of studs."""
    return draft.part(
        "busbar", name, spot, zone, studs=studs, stud_pitch_m=0.035, section_mm2=240.0,
        material="tinned-copper", rated_current_a=800.0, voltage_rating_v=48.0,
    )  # fmt: skip


def bank(draft: Draft, name: tuple[str, str], spot: Spot, strings: int, zone: str, **figures: object) -> None:
    """A 24 V bank of 12 V batteries: strings of two, side by side, tapped at opposite ends."""
    heavy = size("4/0 AWG")
    slug, title = name
    x, y, z = spot
    for n in range(1, strings + 1):
        for half, offset in (("a", 0.0), ("b", 0.35)):
            draft.part(
                "battery", (f"{slug}-{n}{half}", f"{title} battery {n}{half.upper()}"),
                (round(x + offset, 2), round(y + 0.3 * n, 2), z), zone, nominal_voltage_v=12.0, bank=title,
                **figures,
            )  # fmt: skip
        series = (f"{slug}-{n}b.positive", f"{slug}-{n}a.negative")
        draft.wire(f"{slug}-series-{n}", series, heavy, colour="red", length_m=0.35, sheathed="yes")
    for n in range(1, strings):
        tops = (f"{slug}-{n}a.positive", f"{slug}-{n + 1}a.positive")
        tails = (f"{slug}-{n}b.negative", f"{slug}-{n + 1}b.negative")
        draft.wire(f"{slug}-plus-{n}", tops, heavy, colour="red", length_m=0.4, sheathed="yes")
        draft.wire(f"{slug}-minus-{n}", tails, heavy, colour="black", length_m=0.4, sheathed="yes")
