"""The terminals of each kind of part, and which of them are always one node."""

from typing import assert_never

from server.boat.devices import PanelSection
from server.boat.parts import (
    Alternator,
    AnyPart,
    Battery,
    Bonding,
    Breaker,
    Busbar,
    Charger,
    Combiner,
    Connector,
    Contact,
    Converter,
    EngineBlock,
    Fuse,
    Inverter,
    Isolator,
    Load,
    MeasuringShunt,
    Outboard,
    Panel,
    Post,
    Solar,
)


def terminals(part: AnyPart) -> tuple[str, ...]:  # noqa: PLR0911, PLR0912 - one line a kind reads best
    """The names of a part's terminals, studs and ways in their order."""
    match part:
        case Battery():
            separate = part.pack is not None and part.pack.ports == "separate"
            return ("positive", "negative", "charge") if separate else ("positive", "negative")
        case Fuse() | Breaker():
            return ("line", "load")
        case Contact():
            return (*part.terminals, "coil-positive", "coil-negative") if part.coil else part.terminals
        case MeasuringShunt():
            return ("battery", "system")
        case Busbar() | EngineBlock() | Bonding():
            return tuple(f"stud-{n}" for n in range(1, part.studs + 1))
        case Post():
            return ("stud",)
        case Connector():
            return tuple(f"{side}-{n}" for n in range(1, part.pins + 1) for side in "ab")
        case Panel():
            return tuple(name for section in part.sections for name in section_terminals(section))
        case Load():
            return (*(i.id for i in part.inputs), *part.negatives, *(o.id for o in part.outputs))
        case Inverter() | Outboard() | Solar():
            return ("positive", "negative")
        case Alternator():
            return ("positive", "negative", "sense", "field", "ignition")
        case Charger():
            return (*(f"output-{n}" for n in range(1, part.outputs + 1)), "negative")
        case Combiner():
            return ("a", "b", "ground")
        case Isolator():
            return ("input", *(f"output-{n}" for n in range(1, part.outputs + 1)))
        case Converter():
            common = ("input", "output", "negative", "enable")
            return (*common, "output-negative") if part.isolated else common
        case _:  # pragma: no cover - mypy proves that no kind is left
            assert_never(part)


def section_terminals(section: PanelSection) -> tuple[str, ...]:
    """The terminals of one panel section: its feed, its ways, its plain studs."""
    return (
        f"{section.id}-feed",
        *(f"{section.id}-{way.id}" for way in section.ways),
        *(f"{section.id}-stud-{n}" for n in range(1, section.studs + 1)),
    )
