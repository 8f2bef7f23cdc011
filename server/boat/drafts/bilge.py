"""The bilge pump of a draft: by float whatever the switches say, by hand from the panel."""

from server.boat.devices import LoadInput, Motor, PanelWay
from server.boat.drafts.circuits import CRITICAL_DROP, breaker
from server.boat.drafts.sheet import Sheet
from server.boat.drafts.sizing import gauge_for
from server.boat.parts import Load
from server.boat.presets import on_off
from server.boat.value import Id
from server.units import Ampere, Watt

BILGE_W: Watt = 48.0
BILGE_A: Ampere = 7.5


def bilge_way(rating_a: Ampere) -> PanelWay:
    """The way of the panel by which the pump is run by hand."""
    return PanelWay(id="bilge", name="Bilge pump by hand", device_kind="breaker", device=breaker(rating_a))


def bilge_pump(sheet: Sheet, live: Id, negative: Id) -> None:
    """The pump, fed over its float from a bus that no switch cuts off, and from the panel."""
    spot, pump_a = sheet.spot(0.65, 0.0, 0.0), BILGE_W / sheet.volts
    motor = Motor(
        kind="motor", running_current_a=pump_a, running_voltage_v=sheet.volts, winding="permanent-magnet"
    )
    sheet.put(
        Load(
            kind="load",
            id="bilge-pump",
            name="Bilge pump",
            place=spot,
            zone="bilge",
            ignition_protected="yes",
            role="bilge-pump",
            inputs=(
                LoadInput(id="manual", name="By hand", demand=motor),
                LoadInput(id="automatic", name="By float", demand=motor),
            ),
            consequence="safety",
            duty="short-time",
            circuit_class="critical",
            bypasses_switch="Pumps while nobody is aboard",
        )
    )
    made = on_off("float", "Float switch", place=spot, normal="off", continuous_a=10.0, voltage_rating_v=32.0)
    sheet.put(made.model_copy(update={"zone": "bilge", "ignition_protected": "yes", "actuator": "motor"}))
    home = ("bilge-pump.negative", sheet.stud(negative))
    automatic = (f"{sheet.fuse_on(live, 'bilge', BILGE_A)}.load", "float.in")
    by_hand = ("panel.dc-bilge", "bilge-pump.manual")
    path_m = max(sheet.metres(*automatic), sheet.metres(*by_hand)) + sheet.metres(*home)
    gauge = gauge_for(BILGE_A, pump_a, path_m, CRITICAL_DROP * sheet.volts, hot=False)
    sheet.wire("bilge-live", *automatic, gauge, "brown")
    sheet.wire("bilge-auto", "float.out", "bilge-pump.automatic", gauge, "brown")
    sheet.wire("bilge-manual", *by_hand, gauge, "brown")
    sheet.wire("bilge-neg", *home, gauge, "black")
