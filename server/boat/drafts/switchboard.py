"""The house side of a draft: positive buses, battery switches and the main panel."""

from server.boat.devices import PanelSection, PanelWay
from server.boat.drafts.bilge import BILGE_A, bilge_way
from server.boat.drafts.circuits import circuits, put_circuit, way
from server.boat.drafts.sheet import Sheet
from server.boat.drafts.sizing import gauge_for
from server.boat.parts import Busbar, Contact, Panel
from server.boat.presets import Figures, on_off, selector
from server.boat.value import Id
from server.units import Ampere

HOUSE_SIDE_M, START_SIDE_M = -0.6, 0.4
"""Where the switches of the two sides sit, from the centreline."""
PANEL_A: Ampere = 80.0
BAR_A: Ampere = 100.0
FEEDER_DROP = 0.005
SPARE_STUDS = 4
SWITCH: Figures = {
    "continuous_a": 350.0,
    "five_minute_a": 500.0,
    "cranking_a": 1500.0,
    "voltage_rating_v": 48.0,
    "is_battery_switch": True,
}


def positive_bus(sheet: Sheet, identity: Id, name: str, side_m: float) -> Id:
    """A positive bus beside the switches; answers its id."""
    return sheet.put(
        Busbar(
            kind="busbar",
            id=identity,
            name=name,
            place=sheet.spot(0.59, side_m, 0.6),
            zone="cabin",
            studs=8,
            rated_current_a=600.0,
            stud_size="M10",
            voltage_rating_v=48.0,
        )
    )


def switched_bus(sheet: Sheet, live: Id, slug: Id, name: str, side_m: float) -> Id:
    """A battery switch from a live bus to one behind it; answers the id of that one."""
    figures: Figures = {**SWITCH, "place": sheet.spot(0.59, side_m, 0.7)}
    switch = _aboard(sheet, on_off(f"{slug}-switch", f"{name} switch", **figures))
    behind = positive_bus(sheet, f"{slug}-switched", f"{name} bus, switched", side_m)
    sheet.heavy(f"{slug}-to-switch", sheet.stud(live), f"{switch}.in")
    sheet.heavy(f"{slug}-from-switch", f"{switch}.out", sheet.stud(behind))
    return behind


def selected_bus(sheet: Sheet, one: Id, two: Id) -> Id:
    """A selector between the live buses of two banks; answers the id of the bus behind it."""
    figures: Figures = {**SWITCH, "place": sheet.spot(0.59, HOUSE_SIDE_M, 0.7)}
    chooser = _aboard(sheet, selector("selector", "Battery selector", **figures))
    behind = positive_bus(sheet, "common-bus", "Bus behind the selector", -0.8)
    sheet.heavy("house-to-selector", sheet.stud(one), f"{chooser}.battery-1")
    sheet.heavy("start-to-selector", sheet.stud(two), f"{chooser}.battery-2")
    sheet.heavy("selector-common", f"{chooser}.common", sheet.stud(behind))
    return behind


def panel(sheet: Sheet, feed: Id, negative: Id) -> None:
    """The main panel with its circuits, fed from a switched bus over its fuse."""
    carried = circuits(sheet.wish.length_m)
    ways: tuple[PanelWay, ...] = (*(way(one, sheet.volts) for one in carried), bilge_way(BILGE_A))
    studs = len(carried) + SPARE_STUDS
    main = PanelSection(id="dc", name="Main section", polarity="positive", bar_rating_a=BAR_A, ways=ways)
    bar = PanelSection(id="neg", name="Negative bar", polarity="negative", bar_rating_a=BAR_A, studs=studs)
    sheet.put(
        Panel(
            kind="panel",
            id="panel",
            name="Main panel",
            place=sheet.spot(0.56, -0.8, 1.1),
            zone="cabin",
            sections=(main, bar),
            voltage_rating_v=32.0,
        )
    )
    out = (f"{sheet.fuse_on(feed, 'panel', PANEL_A)}.load", "panel.dc-feed")
    home = ("panel.neg-feed", sheet.stud(negative))
    path_m = sheet.metres(*out) + sheet.metres(*home)
    gauge = gauge_for(PANEL_A, PANEL_A / 2, path_m, FEEDER_DROP * sheet.volts, hot=False)
    sheet.wire("panel-feed", *out, gauge, "red")
    sheet.wire("panel-neg", *home, gauge, "black")
    for number, circuit in enumerate(carried, start=1):
        put_circuit(sheet, circuit, number)


def _aboard(sheet: Sheet, made: Contact) -> Id:
    return sheet.put(made.model_copy(update={"zone": "cabin", "ignition_protected": "yes"}))
