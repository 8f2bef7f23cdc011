"""Write ``5-large-yacht.json``: a boat for speed, about 200 loads and 1,000 conductors, from one pattern.

Run ``python seed_boats/make_large_yacht.py [TARGET]`` after a change; a test compares the file byte for byte.

The pattern: a 24 V house bank feeds a main bar over parallel cables; each area of each deck has a panel on
its own fused feeder; a load's cable runs from the panel over the junction box of its area; two areas work at
12 V behind converters. Each engine has a start bank; the bow thruster and the windlasses share one.
Cables are sized as a yard would: ampacity not below the device, then the drop its circuit may have.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from yacht_areas import HOUSE_V, area
from yacht_draft import Draft, bank, bar, breaker, contactor, fuse, gauge_for, switch
from yacht_tables import Heavy, areas, heavy_motors

from server.boat.document import boat_bytes, read_boat
from server.practice.sizes import size

TARGET = Path(__file__).with_name("5-large-yacht.json")
AREAS = areas()
HEAVY = heavy_motors()
MODES = {
    "m": ("moored", "Moored", 12.0, ("charger",)),
    "a": ("at-anchor", "At anchor", 6.0, ("solar",)),
    "u": ("under-way", "Under way", 5.0, ("alternator-port", "alternator-star", "solar")),
    "n": ("manoeuvring", "Manoeuvring", 0.7, ("alternator-port", "alternator-star")),
    "z": ("anchoring", "Anchoring", 0.2, ("alternator-port", "alternator-star")),
    "s": ("starting", "Starting the engines", 0.1, ()),
}


def house(draft: Draft) -> None:
    """The house bank, its switch and shunt, the main bars and what charges it."""
    heavy, zone = size("4/0 AWG"), "battery-room"
    figures = {
        "chemistry": "agm",
        "capacity_ah": 230.0,
        "short_circuit_a": 4300.0,
        "use": "house",
        "state_of_charge": 0.85,
    }
    spread = {"low": 0.0017, "value": 0.0021, "high": 0.0034}
    bank(draft, ("house", "House"), (17.0, -0.9, 0.6), 3, zone, internal_resistance_ohm=spread, **figures)
    fuse(draft, ("house-fuse", "House bank fuse"), (17.0, -0.7, 0.9), 400.0, zone)
    switch(draft, ("house-switch", "House battery switch"), (17.4, -0.7, 1.2), zone)
    bar(draft, ("live-bar", "House always-live bar"), (17.2, -0.7, 1.1), 8, zone)
    bar(draft, ("main-bar", "Main positive bar"), (17.6, -0.5, 1.4), 20, zone)
    bar(draft, ("main-negative", "Main negative bar"), (17.6, 0.5, 1.0), 40, zone)
    shunt = {"rated_current_a": 1000.0, "rated_voltage_v": 0.05, "bank": "House"}
    draft.part("measuring-shunt", ("shunt", "House bank shunt"), (17.3, 0.4, 0.7), zone, **shunt)
    draft.wire("house-post", ("house-1a.positive", "house-fuse.line"), heavy, colour="red", length_m=0.15)
    for core in ("a", "b"):
        group = {"parallel_group": "house feed", "length_m": 0.6}
        draft.wire(f"house-feed-{core}", ("house-fuse.load", "live-bar.stud-1"), heavy, colour="red", **group)
        group = {"parallel_group": "house switch feed", "length_m": 0.5}
        draft.wire(
            f"house-live-{core}", ("live-bar.stud-2", "house-switch.line"), heavy, colour="red", **group
        )
        group = {"parallel_group": "main bar feed", "length_m": 0.6}
        draft.wire(
            f"house-main-{core}", ("house-switch.load", "main-bar.stud-1"), heavy, colour="red", **group
        )
        group = {"parallel_group": "house negative", "length_m": 1.1}
        draft.wire(
            f"house-neg-{core}", ("house-3b.negative", "shunt.battery"), heavy, colour="black", **group
        )
        group = {"parallel_group": "shunt to bar", "length_m": 0.6}
        draft.wire(
            f"shunt-neg-{core}", ("shunt.system", "main-negative.stud-1"), heavy, colour="black", **group
        )
    bonding(draft)
    charging(draft)


def bonding(draft: Draft) -> None:
    """The bonding bus and its one link to the negative bar."""
    draft.part(
        "bonding", ("bonding-bus", "Bonding bus"), (18.0, 0.0, 0.2), "bilge", role="bonding-bus", studs=6
    )
    draft.part("bonding", ("anode", "Hull anodes"), (27.0, 0.0, -0.8), "bilge", role="anode", studs=2)
    draft.wire("bond-link", ("main-negative.stud-2", "bonding-bus.stud-1"), size("2 AWG"), colour="green")
    draft.wire("bond-anode", ("bonding-bus.stud-2", "anode.stud-1"), size("6 AWG"), colour="green")


def charging(draft: Draft) -> None:
    """Shore charger and solar, each fused at the always-live bar."""
    rows = (
        ("charger", "Shore charger", "output-1", 100.0, 150.0, "1/0 AWG"),
        ("solar", "Solar", "positive", 40.0, 60.0, "4 AWG"),
    )
    for n, (slug, name, output, rated_a, fuse_a, gauge) in enumerate(rows):
        figures: dict[str, Any] = {"rated_current_a": rated_a, "setpoint_v": 28.2, "open_circuit_harms": "no"}
        draft.part(slug, (slug, name), (16.2, 0.4 * n, 1.4), "battery-room", **figures)
        fuse(draft, (f"{slug}-fuse", f"{name} fuse"), draft.spots["live-bar"], fuse_a, "battery-room")
        draft.link(f"{slug}-post", f"live-bar.stud-{3 + n}", f"{slug}-fuse.line")
        draft.wire(f"{slug}-pos", (f"{slug}-fuse.load", f"{slug}.{output}"), size(gauge), colour="red")
        draft.wire(
            f"{slug}-neg", (f"{slug}.negative", f"main-negative.stud-{3 + n}"), size(gauge), colour="black"
        )


def engine(draft: Draft, side: str, y: float, stud: int) -> None:
    """One engine: start bank, switch, bar, starter, block and strap, alternator, combiner to the house."""
    heavy, zone = size("4/0 AWG"), "engine-room"
    flooded = {
        "chemistry": "flooded",
        "capacity_ah": 180.0,
        "cranking_a": 1000.0,
        "cranking_standard": "sae",
        "use": "start",
    }
    title = {"port": "port", "star": "starboard"}[side]
    bank(draft, (f"start-{side}", f"Start {title}"), (19.0, y, 0.4), 1, zone, state_of_charge=0.95, **flooded)
    fuse(draft, (f"start-fuse-{side}", f"Start fuse {title}"), (19.0, y, 0.7), 400.0, zone)
    switch(draft, (f"start-switch-{side}", f"Start battery switch {title}"), (19.2, y, 1.1), zone)
    bar(draft, (f"engine-bar-{side}", f"Engine bar {title}"), (19.6, y, 1.0), 5, zone)
    draft.part(
        "engine-block",
        (f"block-{side}", f"Engine {title}"),
        (21.5, y, 0.6),
        zone,
        studs=5,
        fuel="diesel",
        negative="block",
    )
    motor = {
        "kind": "motor", "running_current_a": 260.0, "running_voltage_v": 20.0, "inrush_current_a": 900.0,
        "inrush_voltage_v": 17.0, "run_up_s": 0.2, "winding": "series",
    }  # fmt: skip
    draft.part(
        "load", (f"starter-{side}", f"Engine starter {title}"), (22.0, y, 0.5), zone,
        role="starter", heavy=True,
        consequence="operation", duty="momentary", duty_on_s=10.0, inputs=[{"id": "motor", "demand": motor}],
    )  # fmt: skip
    draft.part(
        "alternator", (f"alternator-{side}", f"Alternator {title}"), (21.0, y, 0.9), zone,
        rated_current_a=120.0,
        hot_idle_a=45.0, hot_cruise_a=95.0, setpoint_v=28.4, regulator="internal", sense_at="own-terminal",
        case="grounded", self_limiting="yes", open_circuit_harms="yes", engine=f"block-{side}",
    )  # fmt: skip
    red: dict[str, Any] = {"colour": "red"}
    draft.wire(
        f"start-post-{side}",
        (f"start-{side}-1a.positive", f"start-fuse-{side}.line"),
        heavy,
        length_m=0.15,
        **red,
    )
    draft.wire(f"start-feed-{side}", (f"start-fuse-{side}.load", f"start-switch-{side}.line"), heavy, **red)
    draft.wire(f"start-bar-{side}", (f"start-switch-{side}.load", f"engine-bar-{side}.stud-1"), heavy, **red)
    draft.wire(f"starter-feed-{side}", (f"engine-bar-{side}.stud-2", f"starter-{side}.motor"), heavy, **red)
    draft.wire(
        f"start-neg-{side}",
        (f"start-{side}-1b.negative", f"main-negative.stud-{stud}"),
        heavy,
        colour="black",
    )
    for core in ("a", "b"):
        ends = (f"main-negative.stud-{stud + 1}", f"block-{side}.stud-1")
        draft.wire(
            f"strap-{side}-{core}", ends, heavy, colour="black", parallel_group=f"engine strap {title}"
        )
    draft.link(f"starter-case-{side}", f"starter-{side}.negative", f"block-{side}.stud-2")
    draft.link(f"alternator-case-{side}", f"alternator-{side}.negative", f"block-{side}.stud-3")
    fuse(draft, (f"alternator-fuse-{side}", f"Alternator fuse {title}"), (19.6, y, 1.0), 150.0, zone)
    draft.link(f"alternator-post-{side}", f"engine-bar-{side}.stud-3", f"alternator-fuse-{side}.line")
    ends = (f"alternator-fuse-{side}.load", f"alternator-{side}.positive")
    draft.wire(f"alternator-pos-{side}", ends, size("1/0 AWG"), **red)
    combiner(draft, side, title, y, stud)


def combiner(draft: Draft, side: str, title: str, y: float, stud: int) -> None:
    """The relay between an engine's bar and the house bar, with a fuse at each end."""
    limits = {"connect_v": 26.6, "disconnect_v": 25.6, "rated_current_a": 160.0}
    draft.part(
        "combiner",
        (f"combiner-{side}", f"Combining relay {title}"),
        (18.4, y / 2, 1.2),
        "battery-room",
        **limits,
    )
    house_stud = {"port": 5, "star": 6}[side]
    ends = (
        ("house", f"live-bar.stud-{house_stud}", "battery-room"),
        ("engine", f"engine-bar-{side}.stud-4", "engine-room"),
    )
    for name, post, zone in ends:
        spot = draft.spots[post.split(".")[0]]
        fuse(draft, (f"combiner-fuse-{name}-{side}", f"Combiner fuse {title}, {name} end"), spot, 150.0, zone)
        draft.link(f"combiner-post-{name}-{side}", post, f"combiner-fuse-{name}-{side}.line")
        relay = f"combiner-{side}.{'a' if name == 'house' else 'b'}"
        draft.wire(
            f"combiner-{name}-{side}",
            (f"combiner-fuse-{name}-{side}.load", relay),
            size("1/0 AWG"),
            colour="red",
        )
    ground = (f"combiner-{side}.ground", f"main-negative.stud-{stud + 2}")
    draft.wire(f"combiner-ground-{side}", ground, size("16 AWG"), colour="black")


def bow_bank(draft: Draft) -> None:
    """The bow bank with its thruster and windlasses, charged from the house over a long fused pair."""
    heavy, zone = size("4/0 AWG"), "bow"
    figures = {
        "chemistry": "agm",
        "capacity_ah": 120.0,
        "cranking_a": 900.0,
        "cranking_standard": "sae",
        "use": "thruster",
    }
    bank(draft, ("bow-bank", "Bow"), (2.6, -0.6, 0.8), 2, zone, state_of_charge=0.9, **figures)
    fuse(draft, ("bow-fuse", "Bow bank fuse"), (2.6, -0.4, 1.0), 400.0, zone)
    switch(draft, ("bow-switch", "Bow bank switch"), (2.8, -0.4, 1.2), zone)
    bar(draft, ("bow-bar", "Bow positive bar"), (3.0, -0.4, 1.2), 6, zone)
    bar(draft, ("bow-negative", "Bow negative bar"), (3.0, 0.2, 1.0), 6, zone)
    draft.wire("bow-post", ("bow-bank-1a.positive", "bow-fuse.line"), heavy, colour="red", length_m=0.15)
    draft.wire("bow-feed", ("bow-fuse.load", "bow-switch.line"), heavy, colour="red", length_m=0.6)
    draft.wire("bow-main", ("bow-switch.load", "bow-bar.stud-1"), heavy, colour="red", length_m=0.4)
    draft.wire(
        "bow-neg", ("bow-bank-2b.negative", "bow-negative.stud-1"), heavy, colour="black", length_m=0.6
    )
    limits = {"connect_v": 26.6, "disconnect_v": 25.6, "rated_current_a": 160.0}
    draft.part(
        "combiner", ("bow-combiner", "Combining relay of the bow bank"), (3.2, -0.4, 1.4), zone, **limits
    )
    ends = (("house", "live-bar.stud-7", "battery-room"), ("bow", "bow-bar.stud-2", zone))
    for name, post, where in ends:
        fuse(
            draft,
            (f"bow-charge-{name}", f"Bow charge fuse, {name} end"),
            draft.spots[post.split(".")[0]],
            150.0,
            where,
        )
        draft.link(f"bow-charge-post-{name}", post, f"bow-charge-{name}.line")
        relay = f"bow-combiner.{'a' if name == 'house' else 'b'}"
        draft.wire(
            f"bow-charge-pos-{name}", (f"bow-charge-{name}.load", relay), size("1/0 AWG"), colour="red"
        )
    draft.wire("bow-ground", ("bow-combiner.ground", "bow-negative.stud-2"), size("16 AWG"), colour="black")
    draft.wire(
        "bow-common", ("bow-negative.stud-3", "main-negative.stud-12"), size("1/0 AWG"), colour="black"
    )


def heavy_load(draft: Draft, motor: Heavy) -> None:
    """A heavy motor behind its fuse and contactor, its negative straight to the bar."""
    spot = draft.spots[motor.plus.split(".")[0]]
    demand = {
        "kind": "motor", "running_current_a": motor.running_a, "running_voltage_v": 22.0,
        "inrush_current_a": motor.inrush_a, "inrush_voltage_v": 19.0, "run_up_s": 0.3, "winding": "series",
    }  # fmt: skip
    draft.part(
        "load", (motor.slug, motor.name), motor.spot, motor.zone, role=motor.role, heavy=True,
        consequence="operation", duty="short-time", duty_on_s=120.0,
        inputs=[{"id": "motor", "demand": demand}],
    )  # fmt: skip
    x, y, z = motor.spot
    fuse(draft, (f"{motor.slug}-fuse", f"{motor.name} fuse"), spot, motor.fuse_a)
    contactor(draft, (f"{motor.slug}-contactor", f"{motor.name} contactor"), (x + 0.4, y, z), motor.zone)
    feed = (f"{motor.slug}-fuse.load", f"{motor.slug}-contactor.line")
    last = (f"{motor.slug}-contactor.load", f"{motor.slug}.motor")
    back = (f"{motor.slug}.negative", motor.minus)
    path = sum(draft.way(*ends) for ends in (feed, last, back))
    gauge = gauge_for(motor.fuse_a, motor.running_a, path / 2, HOUSE_V * 0.04, hot=False)
    draft.link(f"{motor.slug}-post", motor.plus, f"{motor.slug}-fuse.line")
    for core in ("a", "b"):
        group = f"{motor.name}, "
        draft.wire(f"{motor.slug}-feed-{core}", feed, gauge, colour="red", parallel_group=group + "feed")
        draft.wire(f"{motor.slug}-pos-{core}", last, gauge, colour="red", parallel_group=group + "motor")
        draft.wire(f"{motor.slug}-neg-{core}", back, gauge, colour="black", parallel_group=group + "negative")


def coils(draft: Draft) -> None:
    """The coils of the contactors, each from a small breaker at the bar of its motor."""
    for motor in HEAVY:
        relay = f"{motor.slug}-contactor"
        name = (f"{motor.slug}-control", f"{motor.name} control breaker")
        draft.part("breaker", name, draft.spots[motor.plus.split(".")[0]], **breaker(5.0))
        draft.wire(
            f"{motor.slug}-control-in",
            (f"{motor.slug}-fuse.load", f"{name[0]}.line"),
            size("14 AWG"),
            colour="red",
            length_m=0.15,
        )
        for pole, ends, colour in (
            ("plus", (f"{name[0]}.load", f"{relay}.coil-positive"), "red"),
            ("minus", (f"{relay}.coil-negative", motor.minus), "black"),
        ):
            draft.wire(f"{motor.slug}-coil-{pole}", ends, size("14 AWG"), colour=colour)


def modes() -> Iterator[dict[str, Any]]:
    """Each mode with the loads that its initial marks."""
    for initial, (slug, name, hours, sources) in MODES.items():
        on = [{"part": source} for source in sources]
        for place in AREAS:
            on += [{"part": place.load_id(row)} for row in place.rows if initial in row.modes]
        closed = [{"part": f"{m.slug}-contactor", "position": "closed"} for m in HEAVY if m.mode == initial]
        if "alternator-port" in sources:
            closed += [{"part": f"combiner-{side}", "position": "closed"} for side in ("port", "star")]
        yield {"id": slug, "name": name, "hours_per_day": hours, "positions": closed, "on": on}


def events() -> Iterator[dict[str, Any]]:
    """One event for each heavy load, in stated conditions."""
    cold = {"state_of_charge": 0.8, "temperature_c": 10.0, "age_factor": 1.2}
    starts = [("starter-port", "Engine start port", "s"), ("starter-star", "Engine start starboard", "s")]
    for slug, name, initial in starts + [(m.slug, m.name, m.mode) for m in HEAVY]:
        heavy = {"part": slug, "input": "motor"}
        yield {
            "id": f"start-of-{slug}",
            "name": name,
            "mode": MODES[initial][0],
            "heavy": heavy,
            "conditions": cold,
        }


def yacht() -> bytes:
    """The whole boat as a canonical document."""
    draft = Draft()
    house(draft)
    engine(draft, "port", -1.5, 6)
    engine(draft, "star", 1.5, 9)
    bow_bank(draft)
    for motor in HEAVY:
        heavy_load(draft, motor)
    coils(draft)
    for n, place in enumerate(AREAS):
        area(draft, place, 5 + n)
    zones = [
        {"id": "engine-room", "name": "Engine room", "engine_space": True},
        {"id": "battery-room", "name": "Battery room", "battery_space": True},
    ]
    names = {
        "bow": "Bow thruster room",
        "lazarette": "Lazarette",
        "bilge": "Bilge",
        "lower-deck": "Lower deck",
        "main-deck": "Main deck",
        "bridge-deck": "Bridge deck",
        "sun-deck": "Sun deck",
    }
    islands = [{"id": "house", "name": "24 V", "nominal_voltage_v": HOUSE_V}]
    islands += [
        {"id": a.slug, "name": a.name, "nominal_voltage_v": a.voltage_v}
        for a in AREAS
        if a.voltage_v != HOUSE_V
    ]
    practice = {
        "profile": "us-recreational",
        "propulsion_fuel": "diesel",
        "propulsion": "inboard",
        "use": "recreational",
        "built_year": 2018,
    }
    document = {
        "format": "tapchart.boat", "version": 1, "name": "Great Crested Grebe, motor yacht of 30 m",
        "nominal_voltage_v": HOUSE_V, "length_m": 30.0,
        "notes": "Drawn up by a script from one pattern, for speed.",
        "practice": practice, "earthing": {"system": "negative-grounded"}, "islands": islands,
        "zones": zones + [{"id": slug, "name": name} for slug, name in names.items()],
        "parts": draft.parts, "cables": draft.cables, "conductors": draft.conductors,
        "modes": list(modes()), "events": list(events()),
        "not_seen": [{"id": "unseen-all", "what": "Everything: this boat was never built."}],
    }  # fmt: skip
    return boat_bytes(read_boat(json.dumps(document).encode()))


if __name__ == "__main__":
    (Path(sys.argv[1]) if len(sys.argv) > 1 else TARGET).write_bytes(yacht())
