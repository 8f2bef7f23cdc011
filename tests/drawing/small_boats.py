"""Small boats of our own, one for each case that the picture must be able to show."""

import json

from server.boat.boat import Boat

SIZE = {"label": "35 mm²", "area_mm2": 35.0, "resistance_ohm_per_m": 0.000554}


def ref(at: str) -> dict[str, str]:
    part, terminal = at.split(".")
    return {"part": part, "terminal": terminal}


def wire(identity: str, tail: str | None, head: str | None, **more: object) -> dict[str, object]:
    ends = {"tail": ref(tail) if tail else None, "head": ref(head) if head else None}
    return {"id": identity, "kind": "wire", "size": SIZE, "length_m": 1.0} | ends | more


def battery(identity: str, **more: object) -> dict[str, object]:
    name = identity.replace("-", " ").capitalize()
    more = {"nominal_voltage_v": 12.0, "capacity_ah": 100.0} | more
    return {"kind": "battery", "id": identity, "name": name, "chemistry": "agm"} | more


def load(identity: str, **more: object) -> dict[str, object]:
    demand = {"kind": "constant-power", "power_w": 24.0}
    given = {"role": "electronics", "inputs": [{"id": "supply", "demand": demand}]} | more
    return {"kind": "load", "id": identity, "name": identity.replace("-", " ").capitalize()} | given


def bar(identity: str, studs: int = 8, kind: str = "busbar") -> dict[str, object]:
    return {"kind": kind, "id": identity, "name": identity.replace("-", " ").capitalize(), "studs": studs}


def fuse(identity: str, rating_a: float = 30.0) -> dict[str, object]:
    return {"kind": "fuse", "id": identity, "name": identity.capitalize(), "rating_a": rating_a}


def panel(identity: str, ways: int = 4) -> dict[str, object]:
    listed = [
        {"id": f"w{n}", "name": f"Way {n}", "device_kind": "breaker", "device": {"rating_a": 10.0}}
        for n in range(1, ways + 1)
    ]
    section = {"id": "dc", "name": "DC", "polarity": "positive", "ways": listed}
    return {"kind": "panel", "id": identity, "name": identity.capitalize(), "sections": [section]}


def switch(
    identity: str, legs: tuple[str, ...], positions: dict[str, list[tuple[str, str]]]
) -> dict[str, object]:
    listed = [{"id": key, "name": key.upper(), "closed": pairs} for key, pairs in positions.items()]
    return {
        "kind": "contact",
        "id": identity,
        "name": identity.capitalize(),
        "terminals": list(legs),
        "positions": listed,
        "normal": next(iter(positions)),
    }


def boat(parts: list[dict[str, object]], conductors: list[dict[str, object]], **more: object) -> Boat:
    body = {"format": "tapchart.boat", "version": 1, "name": "Test boat", "nominal_voltage_v": 12.0}
    return Boat.model_validate_json(json.dumps(body | {"parts": parts, "conductors": conductors} | more))


def two_batteries_on_a_selector() -> Boat:
    positions = {"one": [("1", "common")], "both": [("1", "common"), ("2", "common")], "off": []}
    legs = [(k.replace("1", "a").replace("2", "b"), v) for k, v in positions.items()]
    named = {k: [(a.replace("1", "in-1").replace("2", "in-2"), b) for a, b in pairs] for k, pairs in legs}
    return boat(
        [
            battery("start", use="start"),
            battery("house", use="house"),
            fuse("fa"),
            fuse("fb"),
            switch("selector", ("in-1", "in-2", "common"), named),
            panel("panel"),
            bar("minus"),
            load("radio"),
            load("pilot"),
        ],
        [
            wire("a1", "start.positive", "fa.line"),
            wire("a2", "fa.load", "selector.in-1"),
            wire("b1", "house.positive", "fb.line"),
            wire("b2", "fb.load", "selector.in-2"),
            wire("feed", "selector.common", "panel.dc-feed"),
            wire("p1", "panel.dc-w1", "radio.supply"),
            wire("p2", "panel.dc-w2", "pilot.supply"),
            wire("n1", "radio.negative", "minus.stud-1"),
            wire("n2", "pilot.negative", "minus.stud-2"),
            wire("n3", "minus.stud-3", "start.negative"),
            wire("n4", "minus.stud-4", "house.negative"),
        ],
        modes=[{"id": "off", "name": "Off", "positions": [{"part": "selector", "position": "off"}]}],
    )


def cross_connected_panels() -> Boat:
    return boat(
        [
            battery("house"),
            bar("plus"),
            bar("minus"),
            panel("port"),
            panel("starboard"),
            switch("tie", ("line", "load"), {"off": [], "on": [("line", "load")]}),
            load("radio"),
            load("pilot"),
        ],
        [
            wire("m1", "house.positive", "plus.stud-1"),
            wire("m2", "plus.stud-2", "port.dc-feed"),
            wire("m3", "plus.stud-3", "starboard.dc-feed"),
            wire("t1", "port.dc-w4", "tie.line"),
            wire("t2", "tie.load", "starboard.dc-w4"),
            wire("p1", "port.dc-w1", "radio.supply"),
            wire("p2", "starboard.dc-w1", "pilot.supply"),
            wire("n1", "radio.negative", "minus.stud-1"),
            wire("n2", "pilot.negative", "minus.stud-2"),
            wire("n3", "minus.stud-3", "house.negative"),
        ],
    )


def series_string_with_a_midpoint_load() -> Boat:
    return boat(
        [
            battery("upper"),
            battery("lower"),
            fuse("mid"),
            bar("plus"),
            bar("minus"),
            load("winch"),
            load("radio"),
        ],
        [
            wire("jump", "lower.positive", "upper.negative"),
            wire("top", "upper.positive", "plus.stud-1"),
            wire("w1", "plus.stud-2", "winch.supply"),
            wire("m1", "lower.positive", "mid.line"),
            wire("m2", "mid.load", "radio.supply"),
            wire("n1", "winch.negative", "minus.stud-1"),
            wire("n2", "radio.negative", "minus.stud-2"),
            wire("n3", "minus.stud-3", "lower.negative"),
        ],
        nominal_voltage_v=24.0,
    )


def everything_odd() -> Boat:
    """Loose ends, a lone part, a ring, a short from plus to minus, a load fed from a load, twin cables."""
    demand = {"kind": "constant-power", "power_w": 10.0}
    router = load("hub", outputs=[{"id": "out", "from_input": "supply"}])
    router["backbone"] = {"devices": [{"name": "Wind", "units": 1.0}, {"name": "Depth", "units": 2.0}]}
    router["inputs"] = [{"id": "supply", "demand": demand}, {"id": "wake", "name": "Wake", "demand": demand}]
    return boat(
        [
            battery("house"),
            bar("plus"),
            bar("minus"),
            bar("hull", kind="busbar") | {"kind": "bonding", "role": "hull"},
            router,
            load("sensor"),
            load("lamp"),
            fuse("spare"),
            fuse("ring-a"),
            fuse("ring-b"),
            fuse("short"),
        ],
        [
            wire("f1", "house.positive", "plus.stud-1", parallel_group="main"),
            wire("f2", "house.positive", "plus.stud-1", parallel_group="main"),
            wire("h1", "plus.stud-2", "hub.supply"),
            wire("h2", "hub.out", "sensor.supply"),
            wire("h3", "hub.negative", "minus.stud-1"),
            wire("h4", "sensor.negative", "hub.negative"),
            wire("l1", "plus.stud-3", None),
            wire("l2", None, "lamp.negative"),
            wire("l3", None, None),
            wire("r1", "ring-a.line", "ring-b.line"),
            wire("r2", "ring-a.load", "ring-b.load"),
            wire("s1", "plus.stud-4", "short.line"),
            wire("s2", "short.load", "minus.stud-4"),
            wire("g1", "minus.stud-5", "hull.stud-1"),
            wire("loop", "plus.stud-6", "plus.stud-7"),
            wire("back", "minus.stud-3", "house.negative"),
        ],
    )


def every_other_kind() -> Boat:
    """An isolator, a panel main, an open combiner, a charge port, a two-pole switch, a relay, chargers."""
    fused = panel("panel")
    fused["sections"][0] |= {"main_kind": "breaker", "main": {"rating_a": 50.0}}  # type: ignore[index]
    relay = switch("relay", ("line", "load"), {"open": [], "closed": [("line", "load")]})
    relay["coil"] = {"kind": "coil", "current_a": 1.0, "rated_voltage_v": 12.0}
    double = switch(
        "double",
        ("p-in", "p-out", "n-in", "n-out"),
        {"on": [("p-in", "p-out"), ("n-in", "n-out")], "off": []},
    )
    pack = {"ports": "separate"}
    return boat(
        [
            battery("start", use="start"),
            battery("house", use="house", pack=pack, chemistry="lifepo4"),
            {"kind": "alternator", "id": "alternator", "name": "Alternator", "rated_current_a": 60.0},
            {"kind": "isolator", "id": "isolator", "name": "Diode isolator"},
            {"kind": "combiner", "id": "combiner", "name": "Combiner", "normal": "open"},
            {"kind": "charger", "id": "charger", "name": "Charger", "outputs": 2, "rated_current_a": 20.0},
            {"kind": "solar", "id": "sun", "name": "Sun", "rated_current_a": 10.0},
            {"kind": "inverter", "id": "inverter", "name": "Inverter", "rated_power_w": 1500.0},
            {
                "kind": "measuring-shunt",
                "id": "shunt",
                "name": "Shunt",
                "rated_current_a": 500.0,
                "rated_voltage_v": 0.05,
            },
            {"kind": "post", "id": "post", "name": "Post"},
            {"kind": "connector", "id": "plug", "name": "Mast plug", "style": "deck-plug", "pins": 1},
            {
                "kind": "converter",
                "id": "step-down",
                "name": "Step-down",
                "output_v": 5.0,
                "rated_current_a": 5.0,
            },
            relay,
            double,
            fused,
            bar("engine", kind="engine-block"),
            bar("minus", studs=16),
            bar("five"),
            load("pump"),
            load("light") | {"role": "lights"},
            load("heater"),
            load("tablet"),
        ],
        [
            wire("a1", "alternator.positive", "isolator.input"),
            wire("a2", "isolator.output-1", "start.positive"),
            wire("a3", "isolator.output-2", "house.charge"),
            wire("a4", "alternator.negative", "engine.stud-1"),
            wire("a5", "engine.stud-2", "minus.stud-1"),
            wire("c1", "start.positive", "combiner.a"),
            wire("c2", "combiner.b", "house.positive"),
            wire("c3", "combiner.ground", "minus.stud-2"),
            wire("g1", "charger.output-1", "house.positive"),
            wire("g2", "charger.output-2", "start.positive"),
            wire("g3", "charger.negative", "minus.stud-3"),
            wire("s1", "sun.positive", "post.stud"),
            wire("s2", "sun.negative", "minus.stud-4"),
            wire("i1", "post.stud", "house.positive"),
            wire("i2", "post.stud", "inverter.positive"),
            wire("i3", "inverter.negative", "minus.stud-5"),
            wire("d1", "post.stud", "double.p-in"),
            wire("d2", "double.p-out", "panel.dc-feed"),
            wire("d3", "double.n-in", "minus.stud-6"),
            wire("d4", "double.n-out", "pump.negative"),
            wire("p1", "panel.dc-w1", "relay.line"),
            wire("p2", "relay.load", "pump.supply"),
            wire("p3", "panel.dc-w2", "relay.coil-positive"),
            wire("p4", "relay.coil-negative", "minus.stud-7"),
            wire("l1", "panel.dc-w3", "plug.a-1"),
            wire("l2", "plug.b-1", "light.supply"),
            wire("l3", "light.negative", "minus.stud-8"),
            wire("h1", "panel.dc-w4", "heater.supply"),
            wire("h2", "heater.negative", "minus.stud-9"),
            wire("t1", "post.stud", "step-down.input"),
            wire("t2", "step-down.output", "five.stud-1"),
            wire("t3", "five.stud-2", "tablet.supply"),
            wire("t4", "tablet.negative", "minus.stud-10"),
            wire("t5", "step-down.negative", "minus.stud-11"),
            wire("n1", "minus.stud-12", "shunt.system"),
            wire("n2", "shunt.battery", "house.negative"),
            wire("n3", "start.negative", "minus.stud-13"),
        ],
    )


ALL = {
    "kinds": every_other_kind,
    "selector": two_batteries_on_a_selector,
    "cross-connected": cross_connected_panels,
    "series": series_string_with_a_midpoint_load,
    "odd": everything_odd,
}
