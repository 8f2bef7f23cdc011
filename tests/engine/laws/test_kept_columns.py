"""What is kept of a boat changes no network: neither after edits nor between modes."""

import random

import numpy as np
import pytest

from server.boat.conductors import Conductor
from server.boat.modes import Mode, PositionSetting
from server.boat.parts import AnyPart, Battery, Combiner, Contact, Panel
from server.engine.netlist import Netlist, netlist
from server.engine.network import Network
from tests.bench.boats import boat_of_conductors
from tests.engine.demo import demo_boat

BOATS = ("1-sloop", "2-trawler", "3-workboat", "4-outboard")
BARE = Mode(id="bare", name="Every switch in its normal position, nothing on")


@pytest.mark.parametrize("name", BOATS)
def test_an_edited_boat_has_the_network_of_one_never_seen(name: str) -> None:
    """Forty edits in a row, each against a copy of which nothing can be kept."""
    rng, boat = random.Random(name), demo_boat(name)
    netlist(boat, BARE)

    for n in range(40):
        if rng.random() < 0.3:
            boat = boat.model_copy(update={"parts": fuller(boat.parts, rng)})
        boat = boat.model_copy(update={"conductors": edited(boat.conductors, rng, f"new-{n}")})
        assert_same(netlist(boat, BARE), netlist(boat.model_copy(deep=True), BARE))


def fuller(parts: tuple[AnyPart, ...], rng: random.Random) -> tuple[AnyPart, ...]:
    """One battery fuller or emptier than before: other figures at the same nodes."""
    batteries = [at for at, part in enumerate(parts) if isinstance(part, Battery)]
    at, charge = rng.choice(batteries), {"rest_voltage_v": None, "state_of_charge": rng.random()}
    return (*parts[:at], parts[at].model_copy(update=charge), *parts[at + 1 :])


def edited(conductors: tuple[Conductor, ...], rng: random.Random, name: str) -> tuple[Conductor, ...]:
    """One conductor longer, loose, gone, or twice, or two changed at once."""
    at, found = rng.randrange(len(conductors)), list(conductors)
    match rng.choice(("longer", "loose", "gone", "twice", "two")):
        case "longer":
            found[at] = longer(found[at])
        case "loose":
            found[at] = found[at].model_copy(update={"head": None})
        case "gone":
            del found[at]
        case "twice":
            found.insert(rng.randrange(len(found)), found[at].model_copy(update={"id": name}))
        case _:
            other = rng.randrange(len(found))
            found[at], found[other] = longer(found[other]), longer(found[at])
    return tuple(found)


def longer(conductor: Conductor) -> Conductor:
    return conductor.model_copy(update={"length_m": 7.25})


@pytest.mark.parametrize("name", BOATS)
def test_a_position_set_by_the_mode_is_as_good_as_the_normal_one(name: str) -> None:
    """The circuit of a boat whose switches are normally where a mode of the other boat puts them."""
    rng, boat = random.Random(name), demo_boat(name)

    for _ in range(10):
        settings: list[PositionSetting] = []
        parts = tuple(turned(part, rng, settings) for part in boat.parts)
        mode = BARE.model_copy(update={"positions": tuple(settings)})
        turned_boat = boat.model_copy(update={"parts": parts})
        assert settings
        assert_same(netlist(boat, mode), netlist(turned_boat, BARE))


def turned(part: AnyPart, rng: random.Random, settings: list[PositionSetting]) -> AnyPart:
    """A part whose switches normally stand otherwise, which is noted as settings; coils follow none."""
    match part:
        case Contact(coil=None):
            settings.append(setting(part.id, rng.choice(part.positions).id))
            return part.model_copy(update={"normal": settings[-1].position})
        case Combiner():
            settings.append(setting(part.id, rng.choice(("auto", "open", "closed"))))
            return part.model_copy(update={"normal": settings[-1].position})
        case Panel():
            sections = []
            for section in part.sections:
                ways = []
                for way in section.ways:
                    settings.append(setting(part.id, rng.choice(("on", "off")), f"{section.id}-{way.id}"))
                    ways.append(way.model_copy(update={"normally": settings[-1].position}))
                sections.append(section.model_copy(update={"ways": tuple(ways)}))
            return part.model_copy(update={"sections": tuple(sections)})
        case _:
            return part


def setting(part: str, position: str, way: str | None = None) -> PositionSetting:
    return PositionSetting(part=part, way=way, position=position)


def test_a_mode_leaves_no_trace_on_the_next() -> None:
    """The same mode before and after others with other positions and conditions."""
    boat = boat_of_conductors(50)
    mode = boat.modes[0]
    off = BARE.model_copy(update={"positions": (setting("selector", "off"), setting("combiner", "open"))})

    before = netlist(boat, mode)
    netlist(boat, off)
    assert_same(before, netlist(boat, mode))


def assert_same(one: Netlist, other: Netlist) -> None:
    """The same elements, of the same figures, under the same names."""
    assert one.network.nodes == other.network.nodes
    for kind in Network.KINDS:
        ours, theirs = one.network.of_kind(kind), other.network.of_kind(kind)
        for column in ours.NODES + ours.FIGURES:
            assert np.array_equal(getattr(ours, column), getattr(theirs, column)), (kind, column)
    assert (one.nodes, one.inputs, one.stalled) == (other.nodes, other.inputs, other.stalled)
    assert (one.labels, one.bands, one.unknown) == (other.labels, other.bands, other.unknown)
    assert (one.open_pairs, one.panel_bars) == (other.open_pairs, other.panel_bars)
    assert np.array_equal(one.off, other.off)
    assert [used for used in one.figures.used if used] == [used for used in other.figures.used if used]
