"""Electronic output modules: what they feed goes dark together when the module itself has too little."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.devices import PanelSection
from server.boat.events import events_of
from server.boat.finding import Figure, Finding
from server.boat.parts import Panel
from server.checks.paths import Paths
from server.checks.words import listed, when
from server.engine.answer import EventAnswer, InputAnswer, ModeAnswer
from server.engine.figures import Figures
from server.engine.needs import LARGEST_24_V, MIDWAY_12_OR_24_V
from server.practice.assumptions import default


def modules_that_brown_out(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Output modules that an event may leave with less than electronics are assumed to need.

    What a module itself needs, no document states, so this is always to be looked up. The module has at least
    what the best-supplied load on it has. Above 24 V nothing can be assumed.
    """
    modules = list(_modules(boat))
    if not modules or boat.nominal_voltage_v > LARGEST_24_V:
        return
    mode = next(mode for mode in boat.modes if mode.id == answer.mode)
    piece = Paths.of(boat, mode).pieces_without_devices
    moments = {event.id: when(boat, event) for event in events_of(boat)}
    for panel, section in modules:
        bars = {piece[panel.id, f"{section.id}-{end}"] for end in ("bar", *(way.id for way in section.ways))}
        fed = [load for load in answer.loads if load.on and piece[load.part, load.input] in bars]
        for info in answer.events:
            seen = [(load, one) for load in fed for one in load.events if one.event == info.event]
            found = _judged(boat, answer.mode, panel, section, seen)
            if found is not None:
                message = f"{moments[info.event]}, {found.message}"
                yield found.model_copy(update={"event": info.event, "message": message})


def _modules(boat: Boat) -> Iterator[tuple[Panel, PanelSection]]:
    for part in boat.parts:
        if isinstance(part, Panel):
            yield from ((part, one) for one in part.sections if one.electronic_outputs)


def _judged(
    boat: Boat, mode: str, panel: Panel, section: PanelSection, seen: list[tuple[InputAnswer, EventAnswer]]
) -> Finding | None:
    """What is told of one event, its moment left to be put before it."""
    system = "12v" if boat.nominal_voltage_v < MIDWAY_12_OR_24_V else "24v"
    key = f"electronics_cut_out_voltage_{system}"
    need = Figures.of(boat).level(key, panel.id)
    best = max((one for _, one in seen), key=lambda one: one.lowest.value, default=None)
    if best is None or best.lowest.low >= need.high:
        return None
    names = listed(dict.fromkeys(load.name for load, _ in seen))
    return Finding(
        code="outputs-brown-out",
        severity="cannot-tell",
        subjects=(panel.id, section.id),
        mode=mode,
        figure=Figure(value=best.lowest.value, unit="V", basis="computed"),
        limit=Figure(value=need.high, unit="V", basis="assumed"),
        message=f"the outputs of {panel.name}, {section.name}, have {best.lowest.value:.1f} V "
        f"({best.lowest.low:.1f} to {best.lowest.high:.1f} V). If that is less than the module itself needs, "
        f"all it feeds goes dark together: {names}. Look up its lowest voltage; {need.low:.1f} to "
        f"{need.high:.1f} V are assumed of electronics.",
        source=f"assumed: {default(key).source}",
        source_status="memory",
    )
