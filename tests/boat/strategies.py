"""Random valid boats that could be solved, and edits that may or may not fit them."""

from hypothesis import strategies as st

from server.boat.acceptance import Acceptance
from server.boat.boat import Boat, DataLink, Island, NotSeen, Zone
from server.boat.conductors import Cable, Conductor, Size
from server.boat.constructors import at, busbar, electronics, fuse, link, wire
from server.boat.decks import Deck
from server.boat.devices import LoadInput, Motor, PanelSection, PanelWay
from server.boat.edits import (
    AcceptFinding,
    AddCable,
    AddConductor,
    AddEvent,
    AddMode,
    AddPart,
    AddPhoto,
    ChangeValue,
    ClearAssumption,
    DuplicateConductor,
    DuplicatePart,
    MoveConductorEnd,
    MoveLead,
    PlacePart,
    PutDeck,
    PutReading,
    PutRun,
    PutWaypoint,
    PutZone,
    RemoveCable,
    RemoveConductor,
    RemoveEvent,
    RemoveMode,
    RemovePart,
    RemovePhoto,
    RemovePin,
    RemoveReading,
    Rename,
    SetAssumption,
    SetLength,
    SetModeHours,
    SetOn,
    SetPin,
    SetPosition,
    SetRowOrder,
    SetSize,
    Several,
    SingleEdit,
    Splice,
    TakeOffPlan,
    WithdrawAcceptance,
)
from server.boat.leads import lead_terminals
from server.boat.modes import (
    Event,
    EventStep,
    HeavyInput,
    Mode,
    Observation,
    PositionSetting,
    Reading,
    Running,
)
from server.boat.parts import Alternator, AnyPart, Battery, Busbar, EngineBlock, Load, MeasuringShunt, Panel
from server.boat.photos import Photo, Pin
from server.boat.presets import on_off, selector
from server.boat.runs import Run, Waypoint
from server.boat.terminals import terminals
from server.boat.value import Place, Span, TerminalRef

THIN = Size(label="2.5 mm²", area_mm2=2.5, resistance_ohm_per_m=7.98e-3, source="IEC 60228 class 5")
THICK = Size(label="50 mm²", area_mm2=50.0, resistance_ohm_per_m=3.86e-4, source="IEC 60228 class 5")

SHA = "ab" * 32

places = st.builds(
    Place,
    from_bow_m=st.floats(0, 12),
    from_centreline_m=st.floats(-2, 2),
    height_m=st.floats(-1, 2),
)
lengths = st.floats(0.2, 15.0) | st.builds(Span, low=st.floats(0.2, 2.0), high=st.floats(2.0, 9.0))
words = st.text("abcdefg øµ", min_size=1, max_size=12)


def _big_parts(draw: st.DrawFn, ways: int) -> tuple[AnyPart, ...]:
    positive = PanelSection(
        id="main",
        name="Main",
        polarity="positive",
        ways=tuple(
            PanelWay(
                id=f"w{n}", name=f"Way {n}", device_kind=draw(st.sampled_from(["fuse", "breaker", None]))
            )
            for n in range(ways)
        ),
    )
    negative = PanelSection(id="neg", name="Negative bar", polarity="negative", studs=ways)
    cranks = LoadInput(
        id="main",
        demand=Motor(kind="motor", running_current_a=100.0, inrush_current_a=350.0, inrush_voltage_v=9.5),
    )
    return (
        Battery(kind="battery", id="house", name="House battery", chemistry="agm", nominal_voltage_v=12.0),
        Battery(
            kind="battery", id="start", name="Start battery", chemistry="flooded", nominal_voltage_v=12.0
        ),
        selector("selector", "Battery selector"),
        MeasuringShunt(
            kind="measuring-shunt", id="shunt", name="Shunt", rated_current_a=500.0, rated_voltage_v=0.05
        ),
        Busbar(kind="busbar", id="bus", name="Main negative bus", studs=8, place=draw(places)),
        Panel(kind="panel", id="panel", name="Panel", sections=(positive, negative), place=draw(places)),
        EngineBlock(kind="engine-block", id="block", name="Engine block", studs=6, zone="engine-room"),
        Load(kind="load", id="starter", name="Starter", role="starter", heavy=True, inputs=(cranks,)),
        Alternator(kind="alternator", id="alt", name="Alternator", rated_current_a=90.0, engine="block"),
    )


def _trunk(draw: st.DrawFn) -> tuple[Conductor, ...]:
    run = draw(lengths)
    return (
        wire("house-plus", "house.positive", "selector.battery-1", THICK, length_m=run),
        wire("start-plus", "start.positive", "selector.battery-2", THICK, length_m=1.0),
        wire("house-minus", "house.negative", "shunt.battery", THICK, length_m=0.5),
        wire("start-minus", "start.negative", "bus.stud-1", THICK, length_m=1.5),
        wire("shunt-bus", "shunt.system", "bus.stud-1", THICK, length_m=0.5),
        wire("bus-block", "bus.stud-2", "block.stud-1", THICK, length_m=2.0),
        wire("feeder", "selector.common", "panel.main-feed", THICK, length_m=run),
        wire("panel-minus", "panel.neg-stud-1", "bus.stud-3", THICK, length_m=2.5),
        wire("crank-plus", "selector.common", "starter.main", THICK, length_m=2.0),
        link("crank-minus", "starter.negative", "block.stud-1"),
        wire("alt-plus", "alt.positive", "selector.common", THICK, length_m=3.0),
        link("alt-minus", "alt.negative", "block.stud-2"),
    )


def _load(draw: st.DrawFn, n: int) -> tuple[list[AnyPart], list[Conductor]]:
    """A load with its two leads, either of them perhaps with a fuse or a switch in line."""
    device = electronics(f"load{n}", f"Load {n}", draw(st.floats(1.0, 60.0)), draw(st.none() | st.just(9.5)))
    if draw(st.booleans()):
        device = device.model_copy(update={"place": draw(places)})
    plus = draw(st.sampled_from([f"panel.main-w{n}", "selector.common", "house.positive"]))
    minus = draw(st.sampled_from(["bus.stud-4", "block.stud-2", f"panel.neg-stud-{n + 1}", "shunt.battery"]))
    parts: list[AnyPart] = [device]
    conductors = []
    for side, start, end in (("p", "main", plus), ("n", "negative", minus)):
        length = draw(st.none() | lengths)
        inline = draw(st.sampled_from(["none", "fuse", "switch"]))
        first = f"load{n}.{start}"
        if inline != "none":
            name = f"{inline}{n}{side}"
            fused = inline == "fuse"
            parts.append(fuse(name, f"Fuse {n}{side}", 10.0) if fused else on_off(name, f"Switch {n}{side}"))
            near, far = ("load", "line") if fused else ("out", "in")
            conductors.append(wire(f"{side}{n}a", first, f"{name}.{near}", THIN, length_m=length))
            first = f"{name}.{far}"
        conductors.append(wire(f"{side}{n}", first, end, THIN, length_m=length))
    return parts, conductors


@st.composite
def boats(draw: st.DrawFn, most_loads: int = 5) -> Boat:
    """A boat with two batteries, selector, shunt, bus, panel, engine and some loads on their leads."""
    count = draw(st.integers(0, most_loads))
    parts, conductors = list(_big_parts(draw, most_loads + 1)), list(_trunk(draw))
    for n in range(count):
        more_parts, more_conductors = _load(draw, n)
        parts += more_parts
        conductors += more_conductors
    cable = Cable(id="cable1", number="W1", construction="twin", cores=2)
    running = [Running(part=f"load{n}") for n in range(count) if draw(st.booleans())]
    position = draw(st.sampled_from(["one", "both", "two", "off"]))
    hours = draw(st.none() | st.floats(0, 24))
    sailing = Mode(id="sailing", name="Sailing", hours_per_day=hours, on=tuple(running))
    starting = Mode(
        id="starting",
        name="Starting",
        positions=(PositionSetting(part="selector", position=position),),
        on=(Running(part="starter", input="main"), *running),
    )
    event = Event(
        id="cold-start",
        name="Cold start",
        mode="starting",
        heavy=HeavyInput(part="starter", input="main"),
        steps=(EventStep(action="press", part="starter", input="main", at_s=0.0),),
    )
    reading = Reading(
        id="reading1",
        plus=at("house.positive"),
        minus=at("bus.stud-1"),
        volts_v=12.6,
        mode="starting",
        event="cold-start",
    )
    conductors[0] = conductors[0].model_copy(update={"cable": "cable1", "reading": "reading1"})
    waypoints, runs = _plan(draw)
    deck = draw(st.sampled_from([None, "sole"]))
    return Boat(
        format="tapchart.boat",
        version=1,
        name=draw(words),
        nominal_voltage_v=12.0,
        islands=(Island(id="main-island", name="12 V", nominal_voltage_v=12.0),),
        zones=(Zone(id="engine-room", name="Engine room", engine_space=True, deck=deck),),
        decks=() if deck is None else (Deck(id=deck, name="Cabin sole", floor_m=-0.3),),
        waypoints=waypoints,
        runs=runs,
        parts=tuple(_at_waypoint(draw, part, waypoints) for part in parts),
        cables=(cable,),
        conductors=tuple(conductors),
        links=(DataLink(id="data1", name="Backbone", parts=("starter", "alt")),),
        modes=(sailing, starting),
        events=(event,),
        readings=(reading,),
        observations=(Observation(id="seen1", subject="shunt", aspect="corrosion", state="poor"),),
        not_seen=(NotSeen(id="unseen1", what="Behind the tank", subject="bus"),),
        photos=(
            Photo(
                id="photo1",
                sha=SHA,
                subject="shunt",
                pins=(
                    Pin(number=1, x=draw(st.floats(0, 1)), y=0.5, terminal=at("bus.stud-2")),
                    Pin(number=2, x=0.1, y=0.1, conductor="feeder", tag=draw(st.none() | words)),
                ),
            ),
        ),
        accepted=(_acceptance("bus", None), _acceptance("starter", "starting")),
    )


def _terminal_of(draw: st.DrawFn, boat: Boat) -> TerminalRef:
    part = draw(st.sampled_from(boat.parts)) if boat.parts else None
    if part is None or draw(st.integers(0, 9)) == 0:
        return TerminalRef(part="nowhere", terminal="stud-1")
    return TerminalRef(part=part.id, terminal=draw(st.sampled_from(terminals(part))))


def _any_id(draw: st.DrawFn, items: tuple[object, ...]) -> str:
    ids = [str(getattr(item, "id")) for item in items]  # noqa: B009 - the things have no common class with an id
    return draw(st.sampled_from([*ids, "nowhere"]))


def _plan(draw: st.DrawFn) -> tuple[tuple[Waypoint, ...], tuple[Run, ...]]:
    """A few waypoints and runs, or none."""
    names = [f"way{n}" for n in range(draw(st.integers(0, 4)))]
    waypoints = tuple(Waypoint(id=name, name=name, place=draw(st.none() | places)) for name in names)
    pairs = [(one, other) for n, one in enumerate(names) for other in names[n + 1 :] if draw(st.booleans())]
    metres, zones = st.none() | st.floats(0.1, 9.0), st.sampled_from([None, "engine-room"])
    runs = tuple(
        Run(id=f"{one}-{other}", name="Run", start=one, end=other, length_m=draw(metres), zone=draw(zones))
        for one, other in pairs
    )
    return waypoints, runs


def _at_waypoint(draw: st.DrawFn, part: AnyPart, waypoints: tuple[Waypoint, ...]) -> AnyPart:
    if not waypoints:
        return part
    place = {"waypoint": draw(st.sampled_from([None, *(one.id for one in waypoints)]))}
    return part.model_copy(update=place)


@st.composite
def edits(draw: st.DrawFn, boat: Boat, fresh: str) -> SingleEdit:  # noqa: PLR0911, PLR0912, PLR0915 - one a kind
    """An edit that fits the boat more often than not; new things are called after ``fresh``."""
    kind = draw(st.sampled_from(KINDS))
    mode, part = _any_id(draw, boat.modes), _any_id(draw, boat.parts)
    conductor, spot = _any_id(draw, boat.conductors), _terminal_of(draw, boat)
    length, keep = draw(st.none() | st.floats(0.1, 9.0)), draw(st.booleans())
    match kind:
        case "move-lead":
            starts = [(p.id, t) for p in boat.parts for t in lead_terminals(p)] or [("nowhere", "main")]
            start = draw(st.sampled_from(starts))
            return MoveLead(part=start[0], terminal=start[1], to=spot, length_m=length, keep_length=keep)
        case "move-conductor-end":
            return MoveConductorEnd(
                conductor=conductor,
                end=draw(st.sampled_from(["tail", "head"])),
                to=draw(st.none() | st.just(spot)),
                length_m=length,
                keep_length=keep,
            )
        case "set-size":
            return SetSize(conductor=conductor, size=draw(st.sampled_from([THIN, THICK, None])))
        case "set-length":
            return SetLength(
                conductor=conductor,
                length_m=draw(st.none() | lengths),
                basis=draw(st.sampled_from(["measured", "estimated", None])),
                fixed=draw(st.none() | st.booleans()),
            )
        case "set-position":
            position = draw(st.sampled_from(["on", "off", "one", "both", None]))
            way = draw(st.sampled_from([None, "main-w0", "main-feed"]))
            return SetPosition(mode=mode, part=part, way=way, position=position)
        case "set-on":
            which = draw(st.sampled_from([None, "main"]))
            return SetOn(mode=mode, part=part, input=which, on=keep)
        case "add-part":
            return AddPart(part=electronics(fresh, "New", 5.0) if keep else fuse(fresh, "New", 5.0))
        case "remove-part":
            return RemovePart(id=part)
        case "duplicate-part":
            return DuplicatePart(id=part, new_id=fresh, name="Twin")
        case "add-conductor":
            new = Conductor(id=fresh, kind="wire", tail=spot, head=_terminal_of(draw, boat))
            return AddConductor(conductor=new)
        case "remove-conductor":
            return RemoveConductor(id=conductor)
        case "duplicate-conductor":
            return DuplicateConductor(id=conductor, new_id=fresh)
        case "add-cable":
            return AddCable(cable=Cable(id=fresh, construction="single"))
        case "remove-cable":
            return RemoveCable(id=_any_id(draw, boat.cables))
        case "splice":
            return Splice(
                conductor=conductor,
                part=fuse(fresh, "Spliced", 5.0) if keep else busbar(fresh, "Bar", 3),
                new_conductor=f"{fresh}-piece",
                near=draw(st.sampled_from(["tail", "head"])),
                distance_m=draw(st.none() | st.floats(0, 3)),
                new_cable=draw(st.sampled_from([None, f"{fresh}-cable"])),
            )
        case "add-photo":
            return AddPhoto(photo=Photo(id=fresh, sha=SHA, subject=draw(st.sampled_from([None, part, mode]))))
        case "remove-photo":
            return RemovePhoto(id=_any_id(draw, boat.photos))
        case "set-pin":
            at_one = {"terminal": spot} if keep else {"conductor": conductor}
            pin = Pin(number=draw(st.integers(1, 4)), x=0.5, y=0.5, **at_one)
            return SetPin(photo=_any_id(draw, boat.photos), pin=pin)
        case "remove-pin":
            return RemovePin(photo=_any_id(draw, boat.photos), number=draw(st.integers(1, 4)))
        case "set-row-order":
            return SetRowOrder(parts=tuple(dict.fromkeys((part, _any_id(draw, boat.parts)))))
        case "rename":
            ids = [None, part, conductor, mode, _any_id(draw, boat.observations), _any_id(draw, boat.cables)]
            return Rename(id=draw(st.sampled_from(ids)), name=draw(words))
        case "change-value":
            field, value = draw(st.sampled_from(CHANGES))
            return ChangeValue(
                id=draw(st.sampled_from([None, part, conductor, mode])), field=field, value=value
            )
        case "set-assumption":
            low, high = sorted([draw(st.floats(0, 5)), draw(st.floats(0, 5))])
            value = draw(st.floats(low, high) | st.just(-1.0))
            subject = draw(st.sampled_from([None, part]))
            return SetAssumption(
                key="joint_resistance",
                subject=subject,
                low=low,
                value=value,
                high=high,
                source="measured aboard",
            )
        case "clear-assumption":
            return ClearAssumption(key="joint_resistance", subject=draw(st.sampled_from([None, part])))
        case "add-mode":
            positions = (PositionSetting(part=part, position="on"),) if keep else ()
            return AddMode(mode=Mode(id=fresh, name="New mode", positions=positions))
        case "remove-mode":
            return RemoveMode(id=mode)
        case "set-mode-hours":
            return SetModeHours(mode=mode, hours_per_day=draw(st.none() | st.floats(0, 24)))
        case "add-event":
            heavy = HeavyInput(part=part, input="main")
            return AddEvent(event=Event(id=fresh, name="New event", mode=mode, heavy=heavy))
        case "put-waypoint":
            where = draw(st.none() | places)
            return PutWaypoint(waypoint=Waypoint(id=fresh, name=draw(words), place=where))
        case "put-run":
            joined = draw(st.permutations([*(one.id for one in boat.waypoints), "here", "there"]))
            return PutRun(run=Run(id=fresh, name="Run", start=joined[0], end=joined[1], length_m=length))
        case "put-zone":
            return PutZone(zone=Zone(id=fresh, name="Zone", engine_space=keep))
        case "put-deck":
            return PutDeck(deck=Deck(id=fresh, name="Deck", floor_m=draw(st.floats(-2, 5))))
        case "take-off-plan":
            things = (*boat.waypoints, *boat.runs, *boat.zones, *boat.decks)
            return TakeOffPlan(id=_any_id(draw, things))
        case "place-part":
            return PlacePart(
                part=part,
                place=draw(st.none() | places),
                waypoint=draw(st.none() | st.just(_any_id(draw, boat.waypoints))),
                from_waypoint_m=length,
                deck=draw(st.none() | st.just(_any_id(draw, boat.decks))),
            )
        case "accept-finding":
            return AcceptFinding(acceptance=_acceptance(part, draw(st.none() | st.just(mode))))
        case "put-reading":
            ends = _terminal_of(draw, boat), _terminal_of(draw, boat)
            known = draw(st.sampled_from([fresh, *(one.id for one in boat.readings)]))
            return PutReading(reading=Reading(id=known, plus=ends[0], minus=ends[1], volts_v=10.9))
        case "remove-reading":
            return RemoveReading(id=_any_id(draw, boat.readings))
        case "withdraw-acceptance":
            return WithdrawAcceptance(finding=_acceptance(part, None).finding)
        case _:
            return RemoveEvent(id=_any_id(draw, boat.events))


def _acceptance(part: str, mode: str | None) -> Acceptance:
    return Acceptance(
        code="uncounted",
        subjects=(part, "main"),
        mode=mode,
        severity="advice",
        by="Surveyor",
        reason="Small and always on.",
    )


KINDS = (
    "move-lead",
    "move-conductor-end",
    "set-size",
    "set-length",
    "set-position",
    "set-on",
    "add-part",
    "remove-part",
    "duplicate-part",
    "add-conductor",
    "remove-conductor",
    "duplicate-conductor",
    "add-cable",
    "remove-cable",
    "splice",
    "add-photo",
    "remove-photo",
    "set-pin",
    "remove-pin",
    "set-row-order",
    "rename",
    "change-value",
    "set-assumption",
    "clear-assumption",
    "add-mode",
    "remove-mode",
    "set-mode-hours",
    "add-event",
    "remove-event",
    "put-waypoint",
    "put-run",
    "put-zone",
    "put-deck",
    "take-off-plan",
    "place-part",
    "accept-finding",
    "withdraw-acceptance",
    "put-reading",
    "remove-reading",
)
CHANGES: tuple[tuple[str, str | float | None], ...] = (
    ("notes", "seen on the hard"),
    ("nominal_voltage_v", 24),
    ("nominal_voltage_v", -1),
    ("studs", 2),
    ("inputs.0.minimum_voltage_v", 9.0),
    ("inputs.0.id", "feed"),
    ("inputs.0.demand.power_w", None),
    ("practice.use", "commercial"),
    ("hours_per_day", 30),
    ("tail_joint.resistance_ohm", 0.01),
    ("sections.1.studs", 0),
    ("zone", "nowhere"),
    ("parts", None),
    ("id", "other"),
)


@st.composite
def several(draw: st.DrawFn, boat: Boat, fresh: str) -> Several:
    """Two edits as one, each drawn for the boat as it is before both."""
    pair = (draw(edits(boat, f"{fresh}a")), draw(edits(boat, f"{fresh}b")))
    return Several(edits=pair, label="Two at once")
