"""Instrument backbones: the volts that their own trunk loses to the farthest device."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding
from server.boat.parts import Load
from server.boat.value import bounds
from server.checks.words import the
from server.practice.supply import BACKBONE_DROP_LIMIT, backbone_drop


def backbone_drops(boat: Boat) -> Iterator[Finding]:
    """Trunks that would lose more than allowed with every device at their far end.

    Where the devices sit is not known, so that is a bound: within it all is well, above it nothing is told.
    """
    for part in boat.parts:
        bone = part.backbone if isinstance(part, Load) else None
        if bone is None or bone.trunk_length_m is None or bone.trunk_ohm_per_m is None:
            continue
        units = sum(one.units for one in bone.devices)
        length_m, ohm_per_m = bounds(bone.trunk_length_m)[1], bounds(bone.trunk_ohm_per_m)[1]
        lost_v = backbone_drop(ohm_per_m, length_m, units)
        if lost_v > BACKBONE_DROP_LIMIT.value:
            yield Finding(
                code="backbone-drop",
                severity="cannot-tell",
                subjects=(part.id,),
                figure=Figure(value=lost_v, unit="V", basis="computed"),
                limit=Figure(value=BACKBONE_DROP_LIMIT.value, unit="V", basis="rule"),
                message=f"Over its {length_m:g} m, {the(part.name)} loses up to {lost_v:.1f} V with all of "
                f"its {units:g} units at one end, where {BACKBONE_DROP_LIMIT.value:g} V are allowed: measure "
                "at the farthest device, or feed it in the middle.",
                source=BACKBONE_DROP_LIMIT.source,
                source_status=BACKBONE_DROP_LIMIT.status,
                rule_kind="standard",
            )
