"""Devices and conductors of a draft, by what they carry and how far."""

from server.boat.conductors import Size
from server.boat.drafts.wish import Wish
from server.practice.ampacity import smallest_for_current
from server.practice.drop_limits import circular_mil_area_needed
from server.practice.protection import next_standard_rating
from server.practice.sizes import ConductorSize, size, smallest_size
from server.units import Ampere, Metre, Volt

INSULATION_C = 105.0
SPARE = 1.25
"""A device's rating against the current it carries; common practice, no source."""
THINNEST = "16 AWG"


def device_a(current_a: Ampere) -> Ampere:
    """The usual rating of a fuse or breaker for a continuous current.

    Raises:
        ValueError: no usual device is that large.
    """
    rating = next_standard_rating(SPARE * current_a)
    if rating is None:
        raise ValueError(f"no usual device carries {current_a:g} A")
    return rating


def gauge_for(
    rating_a: Ampere, design_a: Ampere, path_m: Metre, allowed_v: Volt, *, hot: bool
) -> ConductorSize:
    """The thinnest American gauge, from 16 on, for a device and a drop over a path out and back.

    Raises:
        ValueError: no gauge is thick enough.
    """
    by_heat = smallest_for_current(rating_a, INSULATION_C, "abyc-e11", engine_space=hot)
    by_drop = smallest_size(circular_mil_area_needed(design_a, path_m, allowed_v), "awg")
    if by_heat is None or by_drop is None:
        raise ValueError(f"no gauge carries {rating_a:g} A over {path_m:g} m")
    return max(by_heat, by_drop, size(THINNEST), key=lambda candidate: candidate.area_mm2)


def bought(gauge: ConductorSize, wish: Wish) -> ConductorSize:
    """The size as it is bought under the wished practice: of a metric one no less copper than of the gauge.

    Raises:
        ValueError: no metric size is thick enough.
    """
    if wish.profile == "us-recreational":
        return gauge
    metric = smallest_size(gauge.area_mm2, "metric")
    if metric is None:
        raise ValueError(f"no metric size has the copper of {gauge.label}")
    return metric


def printed(chosen: ConductorSize) -> Size:
    """A size as the document states it, with its tinned resistance."""
    return Size(
        label=chosen.label,
        area_mm2=float(f"{chosen.area_mm2:.4g}"),
        resistance_ohm_per_m=float(f"{chosen.ohm_per_m:.4g}"),
        source=chosen.source,
    )
