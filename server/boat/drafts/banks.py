"""Battery banks of a draft, each with its fuse, and the negative side they return to."""

from dataclasses import dataclass
from typing import Literal

from server.boat.devices import Pack
from server.boat.drafts.sheet import Sheet
from server.boat.drafts.wish import EngineSize
from server.boat.parts import Battery, Bonding, Busbar, MeasuringShunt
from server.boat.value import Id, Place
from server.practice.sizes import size
from server.units import Volt

BLOCK_V: Volt = 12.0
METRES_A_STRING = 5.0
"""One house battery more for each so many metres of boat, up to four; our own round figures."""
MOST_STRINGS = 4
START_STRINGS: dict[EngineSize, int] = {"small": 1, "medium": 2, "large": 2}
"""Start batteries side by side."""
PACK = Pack(discharge_limit_a=150.0, charge_limit_a=100.0, low_cut_off_v=10.0, high_cut_off_v=14.6)
LOCKER = "battery-locker"
FUSE_ABOVE_M = 0.02
LINK_GAUGE = "8 AWG"


@dataclass(frozen=True, slots=True)
class Bank:
    """Strings of batteries side by side; ``slug`` begins the ids of all of its things."""

    slug: Id
    name: str
    chemistry: Literal["agm", "lifepo4"]
    strings: int
    use: Literal["house", "start"]


def house_strings(sheet: Sheet) -> int:
    """How many strings the house bank of a boat of this length has."""
    return min(MOST_STRINGS, max(1, round(sheet.wish.length_m / METRES_A_STRING)))


def put_bank(sheet: Sheet, bank: Bank) -> tuple[str, str]:
    """The batteries with their jumpers, tapped at opposite ends; answers the two posts."""
    blocks = round(sheet.volts / BLOCK_V)
    for string in range(1, bank.strings + 1):
        for block in range(1, blocks + 1):
            sheet.put(_battery(sheet, bank, string, block))
        for block in range(1, blocks):
            upper, lower = f"{bank.slug}-{string}-{block}", f"{bank.slug}-{string}-{block + 1}"
            sheet.heavy(f"{bank.slug}-series-{string}-{block}", f"{lower}.positive", f"{upper}.negative")
    for string in range(1, bank.strings):
        one, other = f"{bank.slug}-{string}", f"{bank.slug}-{string + 1}"
        sheet.heavy(f"{bank.slug}-plus-{string}", f"{one}-1.positive", f"{other}-1.positive")
        ends = f"{one}-{blocks}.negative", f"{other}-{blocks}.negative"
        sheet.heavy(f"{bank.slug}-minus-{string}", *ends, colour="black")
    return f"{bank.slug}-1-1.positive", f"{bank.slug}-{bank.strings}-{blocks}.negative"


def _battery(sheet: Sheet, bank: Bank, string: int, block: int) -> Battery:
    starts, lead = bank.use == "start", bank.chemistry != "lifepo4"
    side_m = (-0.6 if starts else 0.6) + 0.25 * (string - 1)
    first = sheet.spot(0.62, side_m, 0.3)
    place = first.model_copy(update={"from_bow_m": round(first.from_bow_m + 0.35 * (block - 1), 2)})
    return Battery(
        kind="battery",
        id=f"{bank.slug}-{string}-{block}",
        name=f"{bank.name} battery {string}{'AB'[block - 1] if sheet.volts > BLOCK_V else ''}",
        place=place,
        zone=LOCKER,
        chemistry=bank.chemistry,
        nominal_voltage_v=BLOCK_V,
        capacity_ah=90.0 if starts else 100.0,
        cranking_a=(800.0 if starts else 600.0) if lead else None,
        cranking_standard="sae" if lead else None,
        short_circuit_a=None if lead else 5000.0,
        state_of_charge=0.9 if starts else 0.8,
        bank=bank.name,
        use=bank.use,
        pack=None if lead else PACK,
    )


def fused(sheet: Sheet, bank: Bank, post: str, to: str) -> None:
    """A fuse on a bank's post, and the cable on from there."""
    spot = sheet.place(post)
    near: Place = spot.model_copy(update={"height_m": round(spot.height_m + FUSE_ABOVE_M, 2)})
    slug = sheet.fuse(f"{bank.slug}-fuse", f"{bank.name} fuse", near, sheet.main_fuse_a)
    sheet.link(f"{bank.slug}-post", post, f"{slug}.line")
    sheet.heavy(f"{bank.slug}-feed", f"{slug}.load", to)


def negative_bus(sheet: Sheet, post: str) -> Id:
    """The main negative bus behind the house bank's shunt, linked once to the bonding; answers its id."""
    bus = sheet.put(
        Busbar(
            kind="busbar",
            id="negative-bus",
            name="Main negative bus",
            place=sheet.spot(0.58, -0.4, 0.5),
            zone="cabin",
            studs=12,
            rated_current_a=600.0,
            stud_size="M10",
            voltage_rating_v=48.0,
        )
    )
    sheet.put(
        MeasuringShunt(
            kind="measuring-shunt",
            id="shunt",
            name="Battery monitor shunt",
            place=sheet.spot(0.61, 0.3, 0.4),
            zone=LOCKER,
            rated_current_a=500.0,
            rated_voltage_v=0.05,
            bank="House",
        )
    )
    sheet.heavy("shunt-battery", post, "shunt.battery", colour="black")
    sheet.heavy("shunt-system", "shunt.system", sheet.stud(bus), colour="black")
    bonding = sheet.put(
        Bonding(
            kind="bonding",
            id="bonding-bus",
            name="Bonding bus",
            place=sheet.spot(0.6, 0.0, 0.1),
            zone="bilge",
            role="bonding-bus",
            studs=4,
        )
    )
    sheet.wire("bond-link", sheet.stud(bus), sheet.stud(bonding), size(LINK_GAUGE), "green")
    return bus
