"""Panelboards: what runs through main and bar, and the load by the published calculation."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from server.boat.boat import Boat
from server.boat.devices import PanelSection
from server.boat.finding import Figure, Finding
from server.boat.leads import Landings
from server.boat.parts import Battery, Converter, Inverter, Load, Panel
from server.checks.currents import lead_current
from server.checks.feeds import Between, Device, between, devices_of, feeding, feeds_into, pieces
from server.checks.over_rating import over_rating
from server.checks.paths import Node, Paths, source_posts
from server.checks.protection import conductor_ampacity
from server.engine.answer import ModeAnswer
from server.engine.drop import design_current
from server.practice.panel_load import PanelItem, column_of, panel_load
from server.practice.profiles import profile
from server.practice.sourced import Sourced
from server.units import Ampere


def overloaded_panels(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Panel sections whose main device or bar carries more in the mode than it is rated for."""
    flows = {flow.element: flow.current_a for flow in answer.flows}
    for panel, section in _sections(boat):
        amps = abs(_through_feed(boat, panel, section, flows))
        main = section.main.rating_a if section.main is not None else None
        for rated, what in ((main, "main device"), (section.bar_rating_a, "bar")):
            if rated is not None and amps > rated:
                name = f"The {what} of {panel.name}, {section.name},"
                subjects = panel.id, f"{panel.id}.{section.id}-{what.split()[0]}"
                yield over_rating(name, subjects, (amps, rated), ".", "fault")


def _sections(boat: Boat) -> Iterator[tuple[Panel, PanelSection]]:
    return ((part, one) for part in boat.parts if isinstance(part, Panel) for one in part.sections)


def _through_feed(boat: Boat, panel: Panel, section: PanelSection, flows: dict[str, Ampere]) -> Ampere:
    """The current that comes in by the conductors on a section's feed."""
    ends = Landings.of(boat).at(panel.id, f"{section.id}-feed")
    return sum(flows.get(end.conductor.id, 0.0) * (1 if end.side == "head" else -1) for end in ends)


def panels_below_load(boat: Boat) -> Iterator[Finding]:
    """Panels whose load by the calculation is above their main device, their bar or their feeder.

    The calculation is from memory: it never makes more than an advice.
    """
    if not boat.modes or profile(boat.practice.profile).standard != "abyc-e11":
        return
    wiring = _Wiring(boat, Paths.of(boat, boat.modes[0]))
    for panel, section in _sections(boat):
        if section.polarity == "positive":
            items = wiring.items((panel.id, f"{section.id}-bar"))
            load = panel_load(items)
            limits = list(wiring.limits(panel, section))
            below = [(amps, what) for amps, what in limits if load.value > amps]
            if items and below:
                yield _below(panel, section, load, *min(below))


def _below(panel: Panel, section: PanelSection, load: Sourced, limit_a: Ampere, what: str) -> Finding:
    return Finding(
        code="panel-load",
        severity="advice",
        subjects=(panel.id, section.id),
        figure=Figure(value=load.value, unit="A", basis="computed"),
        limit=Figure(value=limit_a, unit="A", basis="rule"),
        message=f"By the load calculation {panel.name}, {section.name}, needs {load.value:.0f} A; "
        f"{what} {limit_a:.0f} A. The calculation is from memory: confirm it in the standard.",
        source=load.source,
        source_status=load.status,
        rule_kind="standard",
    )


@dataclass(frozen=True)
class _Wiring:
    """A boat's copper between its devices."""

    boat: Boat
    paths: Paths

    @cached_property
    def piece(self) -> dict[Node, int]:
        """Every terminal's piece, with all fuses and breakers taken out."""
        return pieces(self.paths)

    @cached_property
    def joins(self) -> list[Between]:
        """All devices with the pieces that they join."""
        return between(devices_of(self.boat), self.piece)

    @cached_property
    def sources(self) -> set[int]:
        """Pieces on which a battery stands; what only charges feeds no panel by itself."""
        posts = source_posts(self.boat, "positive")
        return {self.piece[post] for part, post in posts if isinstance(part, Battery)}

    @cached_property
    def fed(self) -> dict[int, Device]:
        """The largest device that feeds each piece."""
        return feeding(self.joins, self.sources)

    def items(self, bar: Node) -> list[PanelItem]:
        """What hangs on a bar, as the calculation takes it; nothing for a bar that a battery stands on."""
        top = self.piece[bar]
        if top in self.sources:
            return []
        below = self._below(top)
        return [item for part in self.boat.parts for item in self._items_of(part, below)]

    def _below(self, top: int) -> set[int]:
        """A piece and all those beyond it, other panels too; not those before it or with a battery."""
        found, waiting = {top}, [*(self.around.get(top, set()) - self.above.get(top, set()) - self.sources)]
        while waiting:
            here = waiting.pop()
            if here not in found:
                found.add(here)
                waiting.extend(self.around[here] - self.sources)
        return found

    @cached_property
    def around(self) -> dict[int, set[int]]:
        """The pieces that devices join to each."""
        found: dict[int, set[int]] = {}
        for _, a, b in self.joins:
            found.setdefault(a, set()).add(b)
            found.setdefault(b, set()).add(a)
        return found

    @cached_property
    def above(self) -> dict[int, set[int]]:
        """The pieces from which each is fed."""
        found: dict[int, set[int]] = {}
        for _, here, beyond in feeds_into(self.joins, self.sources):
            found.setdefault(here, set()).add(beyond)
        return found

    def _items_of(self, part: object, below: set[int]) -> Iterator[PanelItem]:
        match part:
            case Load():
                for one in part.inputs:
                    if self.piece[part.id, one.id] in below:
                        amps = design_current(part, one.id, self.boat.nominal_voltage_v)[0]
                        column = column_of(part.role, continuous=part.duty == "continuous")
                        yield PanelItem(amps, column)
            case Inverter() | Converter():
                name = "input" if isinstance(part, Converter) else "positive"
                if self.piece[part.id, name] in below:
                    column = column_of("other", continuous=isinstance(part, Converter))
                    yield PanelItem(lead_current(self.boat, part, name), column)
            case _:
                pass

    def limits(self, panel: Panel, section: PanelSection) -> Iterator[tuple[Ampere, str]]:
        """What main device, bar and feeder allow, each where it is known, with its words."""
        device = self.fed.get(self.piece[panel.id, f"{section.id}-bar"])
        if device is not None and device.rating_a is not None:
            yield device.rating_a, f"“{device.name}” before it has"
        if section.bar_rating_a is not None:
            yield section.bar_rating_a, "its bar has"
        feeder = [e.conductor for e in Landings.of(self.boat).at(panel.id, f"{section.id}-feed")]
        allowed = [conductor_ampacity(self.boat, one) for one in feeder]
        known = [one.value for one in allowed if isinstance(one, Sourced) and one.may_decide]
        if known and len(known) == len(feeder):
            yield sum(known), "its feeder may carry"
