"""Two demo boats mapped by hand, so that the way from a description to a network is checked too.

Each deck below was written from the boat's description alone: what stands between which terminals, how long
and how thick each conductor is, what each load asks for. Dead ends carry no current and are left out; the
text says which. A simulator solves it, and the load voltages are compared with what the analysis of the
boat answers.
"""

from pathlib import Path

import pytest

from server.boat.document import read_boat
from server.engine.analysis import analyse_mode
from tests.engine.simulator.by_hand import (
    BATTERY_SWITCH_OHM,
    BLADE_FUSE_V,
    BLOCK_RING_OHM,
    BREAKER_V,
    ENGINE_SPACE_C,
    FUSE_V,
    LARGE_RING_OHM,
    NEC_TABLE_8_COATED_OHM_PER_KFT_AT_75_C,
    OHM_PER_M_AT_20_C,
    HandDeck,
    colder_and_older,
    lead,
    ring,
    wire,
)
from tests.engine.simulator.opinion import second_opinion

SEED_BOATS = Path(__file__).parents[3] / "seed_boats"
AGREEMENT = 1e-6


def sloop(*, starting: bool) -> HandDeck:
    """The sloop with its selector on 1, as its mode “starting” has it; at the first instant or before.

    Left out, as dead ends: the start battery (selector on 1, combining relay open below 13.3 V), alternator
    and solar controller (not on), the always-live block (float switch down), the bonding bus and anode, the
    heater and every panel branch whose load is not on.
    """
    deck = HandDeck("Sloop by hand")
    # Four 6 V batteries, two in series, the two strings joined at opposite ends. 85 % charged:
    # (12.45 + 0.4 (12.65 - 12.45)) / 2 each. 1.6 mΩ was measured; the event states 15 °C and an age factor
    # of 1.1.
    rest_v = (12.45 + (85 - 75) / 25 * (12.65 - 12.45)) / 2
    inner = 0.0016 * (colder_and_older(15.0, 1.1) if starting else 1.0)
    for battery in ("house 1", "house 2", "house 3", "house 4"):
        deck.battery(f"{battery} -", f"{battery} +", rest_v, inner)
    deck.resistor("house 2 +", "house 1 -", lead("2/0", 0.35))
    deck.resistor("house 4 +", "house 3 -", lead("2/0", 0.35))
    deck.resistor("house 1 +", "house 3 +", lead("2/0", 0.4))
    deck.resistor("house 2 -", "house 4 -", lead("2/0", 0.4))
    # Positive: 300 A class T fuse, bus of one piece, selector contact, 100 A class T fuse, panel.
    deck.resistor("house 1 +", "house fuse", lead("2/0", 0.15))
    deck.resistor("house fuse", "house feed", FUSE_V / 300)
    deck.resistor("house feed", "house bus", lead("2/0", 1.1))
    deck.resistor("house bus", "selector 1", lead("2/0", 0.3))
    deck.resistor("selector 1", "common", BATTERY_SWITCH_OHM)
    deck.resistor("common", "main fuse", lead("4", 0.15))
    deck.resistor("main fuse", "panel feed", FUSE_V / 100)
    deck.resistor("panel feed", "panel", lead("4", 1.0))
    # Negative: panel bar, main bus, 500 A 50 mV shunt, bank.
    deck.resistor("panel bar", "main bus", lead("4", 1.5))
    deck.resistor("main bus", "shunt system", lead("2/0", 0.4))
    deck.resistor("shunt system", "shunt battery", 0.050 / 500)
    deck.resistor("shunt battery", "house 2 -", lead("2/0", 0.5))
    # Engine: the strap runs in the engine space; 8.5 mΩ were found under its lug on the block.
    deck.resistor("main bus", "block", wire("2/0", 2.0, ENGINE_SPACE_C) + ring("2/0") + 0.0085)
    for name, rating_a, watts, gauge, metres in (
        ("plotter", 5, 18.0, "14", 3.1),
        ("instruments", 5, 9.0, "16", 2.7),
        ("vhf", 10, 7.0, "12", 1.2),
        ("engine-panel", 10, 20.0, "12", 4.2),
    ):
        deck.resistor("panel", f"{name} way", BREAKER_V / rating_a)
        deck.resistor(f"{name} way", f"{name} +", lead(gauge, metres))
        deck.resistor(f"{name} -", "panel bar", lead(gauge, metres))
        deck.power(name, f"{name} +", f"{name} -", watts)
    # The autopilot comes back to the engine block, in the engine space; the refrigerator to a house battery.
    deck.resistor("panel", "autopilot way", BREAKER_V / 15)
    deck.resistor("autopilot way", "autopilot +", lead("8", 5.7))
    deck.resistor("autopilot -", "block", wire("8", 3.3, ENGINE_SPACE_C) + ring("8") + BLOCK_RING_OHM)
    deck.power("autopilot", "autopilot +", "autopilot -", 36.0)
    deck.resistor("panel", "fridge way", BREAKER_V / 10)
    deck.resistor("fridge way", "fridge +", lead("10", 4.5))
    deck.resistor("fridge -", "house 4 -", lead("10", 2.6))
    deck.power("fridge", "fridge +", "fridge -", 48.0)
    if starting:
        # 500 A at 10 V at the starter's own terminals, standing still; its case is bolted to the block.
        deck.resistor("common", "starter +", wire("2/0", 2.5, ENGINE_SPACE_C) + 2 * ring("2/0"))
        deck.resistor("starter -", "block", LARGE_RING_OHM)
        deck.resistance("starter", "starter +", "starter -", 10.0 / 500.0)
    return deck


def outboard(*, starting: bool) -> HandDeck:
    """The outboard boat at the first instant of its start, or at anchor.

    Left out, as dead ends: the bilge pump's float circuit (float down), the outboard at anchor, and every
    fuse panel branch whose load is not on.
    """
    deck = HandDeck("Outboard boat by hand")
    # 680 A CCA: 0.55 of (12.6 - 7.2) / 680 at 25 °C. The event states 80 % charge, 10 °C, age 1.2; at anchor
    # 90 % is given, 20 °C and 1.2 are assumed. AGM rests at 12.6 V at 75 % and 12.8 V at 100 %.
    charge, temperature_c = (80, 10.0) if starting else (90, 20.0)
    rest_v = 12.6 + (charge - 75) / 25 * (12.8 - 12.6)
    inner = 0.55 * (12.6 - 7.2) / 680 * colder_and_older(temperature_c, 1.2)
    deck.battery("battery -", "battery +", rest_v, inner)
    # Bolted joints: battery post to the 200 A fuse, switch to the 50 A fuse of the console.
    deck.resistor("battery +", "main fuse", LARGE_RING_OHM)
    deck.resistor("main fuse", "feed", FUSE_V / 200)
    deck.resistor("feed", "switch", lead("2", 0.7))
    deck.resistor("switch", "switched", BATTERY_SWITCH_OHM)
    deck.resistor("switched", "console fuse", LARGE_RING_OHM)
    deck.resistor("console fuse", "console feed", FUSE_V / 50)
    deck.resistor("console feed", "panel", lead("6", 3.6))
    deck.resistor("panel bar", "bus", lead("6", 3.6))
    deck.resistor("bus", "battery -", lead("2", 0.4))
    powers = [("plotter", 5, 20.0, "14", 0.9), ("vhf", 10, 7.0, "12", 0.9)]
    powers += [("nav-lights", 5, 6.0, "16", 2.7)] if starting else [("outlet", 10, 20.0, "12", 0.6)]
    for name, rating_a, watts, gauge, metres in powers:
        deck.resistor("panel", f"{name} way", BLADE_FUSE_V / rating_a)
        deck.resistor(f"{name} way", f"{name} +", lead(gauge, metres))
        deck.resistor(f"{name} -", "panel bar", lead(gauge, metres))
        deck.power(name, f"{name} +", f"{name} -", watts)
    if starting:
        # Two runs of the harness, its own 2 mΩ, and a starter that takes 360 A at 10.2 V standing still.
        deck.resistor("switched", "outboard +", lead("2", 2.1))
        deck.resistor("outboard +", "cowl", 0.002)
        deck.resistor("outboard -", "bus", lead("2", 2.1))
        deck.resistance("starter", "cowl", "outboard -", 10.2 / 360.0)
        # An engine with electronics needs them to start, so its 36 W are on beside the starter.
        deck.power("outboard", "cowl", "outboard -", 36.0)
    else:
        deck.resistor("panel", "livewell way", BLADE_FUSE_V / 7.5)
        deck.resistor("livewell way", "livewell +", lead("12", 2.4))
        deck.resistor("livewell -", "panel bar", lead("12", 2.4))
        deck.current("livewell", "livewell +", "livewell -", 3.5)
    return deck


@pytest.mark.parametrize("gauge", OHM_PER_M_AT_20_C)
def test_the_boats_conductors_have_the_tables_resistance(gauge: str) -> None:
    """NEC chapter 9 table 8, coated copper at 75 °C; 304.8 m in 1,000 ft; four figures were kept."""
    at_20_c = NEC_TABLE_8_COATED_OHM_PER_KFT_AT_75_C[gauge] / 304.8 * (234.5 + 20) / (234.5 + 75)

    assert OHM_PER_M_AT_20_C[gauge] == pytest.approx(at_20_c, rel=3e-4)


@pytest.mark.parametrize(("mode", "event"), [("starting", None), ("starting", "engine-start")])
def test_the_sloop_mapped_by_hand_has_the_same_load_voltages(mode: str, event: str | None) -> None:
    deck = sloop(starting=event is not None)

    _agree("1-sloop", mode, event, deck, ground="house 2 -")


@pytest.mark.parametrize(("mode", "event"), [("at-anchor", None), ("starting", "outboard-start")])
def test_the_outboard_boat_mapped_by_hand_has_the_same_load_voltages(mode: str, event: str | None) -> None:
    deck = outboard(starting=event is not None)

    _agree("4-outboard", mode, event, deck, ground="battery -")


def _agree(name: str, mode: str, event: str | None, deck: HandDeck, *, ground: str) -> None:
    boat = read_boat((SEED_BOATS / f"{name}.json").read_bytes())
    text = deck.text(ground)
    by_hand = deck.load_v(second_opinion(f"hand-{name}-{mode}-{event or 'steady'}", text, len(deck.nodes)))
    answer = analyse_mode(boat, mode)
    if event is None:
        ours = {load.part: load.voltage_v for load in answer.loads if load.voltage_v is not None}
    else:
        ours = {
            load.part: seen.lowest.value
            for load in answer.loads
            for seen in load.events
            if seen.event == event
        }
        inrush_a = next(info.inrush_a for info in answer.events if info.event == event)
        stalled_ohm = {"1-sloop": 10.0 / 500.0, "4-outboard": 10.2 / 360.0}[name]
        assert inrush_a == pytest.approx(by_hand.pop("starter") / stalled_ohm, rel=AGREEMENT)

    assert ours.keys() == by_hand.keys()
    for load, volts in by_hand.items():
        print(f"{name} {load}: by hand {volts:.9f} V, ours {ours[load]:.9f} V")
        assert ours[load] == pytest.approx(volts, rel=AGREEMENT)
