"""What joins two banks of a draft: the combining relay, and the charging converter."""

from server.boat.drafts.sheet import Sheet
from server.boat.drafts.sizing import THINNEST, gauge_for
from server.boat.parts import Combiner, Converter
from server.boat.value import Id
from server.practice.sizes import size
from server.units import Ampere

COMBINER_A: Ampere = 120.0
COMBINER_FUSE_A: Ampere = 150.0
COMBINER_GAUGE = "2 AWG"
CONVERTER_A: Ampere = 30.0
CONVERTER_FUSE_A: Ampere = 60.0
CONVERTER_DROP = 0.03


def combining_relay(sheet: Sheet, prefix: str, banks: tuple[Id, Id], negative: Id) -> None:
    """A relay that joins the buses of two banks while one is charged, fused at both ends."""
    slug = f"{prefix}-combiner".lstrip("-")
    factor = sheet.volts / 12.0
    sheet.put(
        Combiner(
            kind="combiner",
            id=slug,
            name=f"{prefix} combining relay".strip().capitalize(),
            place=sheet.spot(0.6, 0.0, 0.7),
            zone="cabin",
            connect_v=13.3 * factor,
            disconnect_v=12.8 * factor,
            rated_current_a=COMBINER_A,
            normal="auto",
        )
    )
    for end, bus in zip("ab", banks, strict=True):
        fuse = sheet.fuse_on(bus, f"{slug}-{end}", COMBINER_FUSE_A)
        sheet.wire(f"{slug}-{end}", f"{fuse}.load", f"{slug}.{end}", size(COMBINER_GAUGE), "red")
    sheet.wire(f"{slug}-ground", f"{slug}.ground", sheet.stud(negative), size(THINNEST), "black")


def charging_converter(sheet: Sheet, source: Id, charged: Id, negative: Id) -> None:
    """A DC-DC converter that charges one bus from another, fused at both."""
    factor = sheet.volts / 12.0
    sheet.put(
        Converter(
            kind="converter",
            id="converter",
            name="Charging converter",
            place=sheet.spot(0.6, 0.1, 0.7),
            zone="cabin",
            output_v=14.2 * factor,
            rated_current_a=CONVERTER_A,
            efficiency=0.9,
            minimum_input_v=13.0 * factor,
            role="charger",
        )
    )
    fuses = {
        end: sheet.fuse_on(bus, f"converter-{end}", CONVERTER_FUSE_A)
        for end, bus in (("input", source), ("output", charged))
    }
    leads = [(f"{fuse}.load", f"converter.{end}", "red") for end, fuse in fuses.items()]
    leads.append(("converter.negative", sheet.stud(negative), "black"))
    for tail, head, colour in leads:
        allowed = CONVERTER_DROP * sheet.volts
        gauge = gauge_for(CONVERTER_FUSE_A, CONVERTER_A, 2 * sheet.metres(tail, head), allowed, hot=False)
        end = head.split(".")[1] if colour == "red" else "negative"
        sheet.wire(f"converter-{end}-lead", tail, head, gauge, colour)
