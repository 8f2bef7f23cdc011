"""What lies in the cable runs and panels of a boat against the room that was left in them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from server.boat.assumed import assumed
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding
from server.boat.laid import Laid
from server.boat.leads import Landings
from server.boat.parts import Panel
from server.boat.runs import Run
from server.practice.assumptions import default
from server.units import Ratio

OVERALL_KEY = "cable_overall_section"
FILL_KEY = "trunking_fill"


@dataclass(frozen=True, slots=True)
class Fill:
    """How much of a trunking's inside the cables take, from what is assumed of their outside."""

    low: Ratio
    value: Ratio
    high: Ratio
    grown: Ratio
    """The likeliest value after the growth that the boat leaves room for."""
    most: Ratio
    """How full it may be."""

    @property
    def is_too_much(self) -> bool:
        """Whether it is likely to be fuller than it may be, once it has grown."""
        return self.grown > self.most


@dataclass(frozen=True, slots=True)
class SpareWays:
    """A panel, its free ways, and how many were asked for."""

    panel: Panel
    free: int
    asked: int


def fill_of(boat: Boat, run: Run, wires: Sequence[Conductor]) -> Fill | None:
    """How full a run's trunking is; None where it has none of known size, or no wire of known size in it."""
    area = sum(one.size.area_mm2 for one in wires if one.size is not None)
    if run.trunking_mm2 is None or not area:
        return None
    low, value, high = (area * one / run.trunking_mm2 for one in assumed(boat.assumptions, OVERALL_KEY))
    growth = 0.0 if boat.margin is None else boat.margin.growth or 0.0
    return Fill(low, value, high, value * (1 + growth), assumed(boat.assumptions, FILL_KEY)[1])


def spare_ways(boat: Boat) -> list[SpareWays]:
    """The free ways of every panel; nothing where the boat asks for none."""
    asked = None if boat.margin is None else boat.margin.spare_ways
    if asked is None:
        return []
    landings = Landings.of(boat)
    return [SpareWays(part, _free(landings, part), asked) for part in boat.parts if isinstance(part, Panel)]


def _free(landings: Landings, panel: Panel) -> int:
    ways = [f"{section.id}-{way.id}" for section in panel.sections for way in section.ways]
    return sum(not landings.at(panel.id, way) for way in ways)


def trunkings_too_full(boat: Boat) -> Iterator[Finding]:
    """Trunkings whose cables are likely to take more of them than they may, with the growth asked for."""
    laid = Laid.of(boat)
    for run in boat.runs:
        wires = laid.in_run[run.id]
        fill = fill_of(boat, run, wires)
        if fill is None or not fill.is_too_much:
            continue
        unknown = sum(one.size is None for one in wires)
        least = f"at least, as the size of {unknown} in it is not known" if unknown else ""
        grown = "" if fill.grown == fill.value else f", {fill.grown:.0%} with the growth asked for"
        yield Finding(
            code="trunking-full",
            severity="advice",
            subjects=(run.id,),
            figure=Figure(value=100 * fill.grown, unit="%", basis="assumed"),
            limit=Figure(value=100 * fill.most, unit="%", basis="assumed"),
            message=f"The trunking of {run.name} is about {fill.value:.0%} full ({fill.low:.0%} to "
            f"{fill.high:.0%}{', ' if least else ''}{least}){grown}; {fill.most:.0%} is taken as the most. "
            "Measure the outside of the cables before you take a larger one.",
            source=_limit_source(boat),
            source_status="memory",
        )


def _limit_source(boat: Boat) -> str:
    own = next((one for one in boat.assumptions if one.key == FILL_KEY and one.subject is None), None)
    return default(FILL_KEY).source if own is None else own.source


def few_spare_ways(boat: Boat) -> Iterator[Finding]:
    """Panels with fewer free ways than the boat's margin asks for."""
    for one in spare_ways(boat):
        if one.free < one.asked:
            ways = "1 way is" if one.free == 1 else f"{one.free or 'no'} ways are"
            yield Finding(
                code="few-spare-ways",
                severity="advice",
                subjects=(one.panel.id,),
                figure=Figure(value=one.free, unit="ways", basis="computed"),
                limit=Figure(value=one.asked, unit="ways", basis="rule"),
                message=f"{ways[:1].upper()}{ways[1:]} free in {one.panel.name}, {one.asked} are asked for. "
                "Plan a larger panel or a second one, or ask for fewer in the margins of the plan.",
                source="the margin set for this boat",
                source_status="document",
            )
