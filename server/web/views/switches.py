"""What can be switched in a mode: battery switches, fuses and ways, and which loads and sources are on."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.modes import Mode, Running
from server.boat.parts import (
    Alternator,
    AnyPart,
    Breaker,
    Charger,
    Combiner,
    Contact,
    Converter,
    Fuse,
    Inverter,
    Load,
    LoadRole,
    Outboard,
    Panel,
    Solar,
)
from server.boat.references import inputs_of
from server.web.views.forms import ChoiceView, FieldView, FormView, change_form
from server.web.views.state import ViewState

RECORD = "On a boat as surveyed, switching opens an option; the record stays as it was found."

_GROUPS: dict[LoadRole, str] = {
    "electronics": "Electronics",
    "autopilot": "Electronics",
    "radio": "Electronics",
    "backbone": "Electronics",
    "navigation-lights": "Lights",
    "lights": "Lights",
    "bilge-pump": "Pumps and alarms",
    "alarm": "Pumps and alarms",
    "pump": "Pumps and alarms",
    "blower": "Pumps and alarms",
    "starter": "Heavy loads",
    "windlass": "Heavy loads",
    "thruster": "Heavy loads",
    "winch": "Heavy loads",
    "furler": "Heavy loads",
}
_ORDER = ("Sources", "Electronics", "Lights", "Pumps and alarms", "Comfort and other", "Heavy loads")


@dataclass(frozen=True)
class SwitchGroupView:
    """The fuses, breakers or ways of one part."""

    name: str
    switches: tuple[FieldView, ...]


@dataclass(frozen=True)
class RunningView:
    """A load's input or a source, with a button that switches it and, while it is on, its hours a day."""

    id: str
    name: str
    state: str
    word: str
    form: FormView
    hours: FieldView | None


@dataclass(frozen=True)
class RunningGroupView:
    """Loads of one sort, or the sources."""

    name: str
    rows: tuple[RunningView, ...]


@dataclass(frozen=True)
class SwitchesView:
    """``workbench/_switches.html``: the battery switches; unfolded, everything that can be switched."""

    mode: str
    contacts: tuple[FieldView, ...]
    turns_url: str = ""
    toggle_words: str = ""
    toggle_url: str = ""
    hours: FieldView | None = None
    running: tuple[RunningGroupView, ...] = ()
    groups: tuple[SwitchGroupView, ...] = ()
    note: str = ""


def switches_view(opened: OpenBoat, state: ViewState) -> SwitchesView:
    """Everything that can be switched in the chosen mode."""
    mode = next((mode for mode in opened.boat.modes if mode.id == state.mode), None)
    if mode is None:
        return SwitchesView("", ())
    positions = _Positions(opened, state, mode)
    shown = state.unfolded == "switches"
    folded = SwitchesView(
        mode=mode.name,
        contacts=tuple(positions.contacts()),
        turns_url=state.url("/switching"),
        toggle_words="Fold away" if shown else "What is on, hours, fuses and ways",
        toggle_url=state.unfolding("switches").url(),
        note=RECORD,
    )
    if not shown:
        return folded
    return replace(
        folded,
        hours=_hours_field("hours-of-mode", change_form(state, "/hours", opened.rev), mode.hours_per_day),
        running=tuple(_running(opened, state, mode)),
        groups=tuple(positions.groups()),
    )


def _hours_field(key: str, form: FormView, hours: float | None, about: str = "") -> FieldView:
    return FieldView(key, form, "Hours a day", "" if hours is None else f"{hours:g}", "h", "", about=about)


@dataclass(frozen=True)
class _Positions:
    """The fields for positions in a mode."""

    opened: OpenBoat
    state: ViewState
    mode: Mode

    def contacts(self) -> Iterator[FieldView]:
        """Switches, selectors and relays."""
        for part in self.opened.boat.parts:
            if isinstance(part, Contact):
                choices = {position.id: position.name for position in part.positions}
                yield self._field(part.id, None, part.name, choices, part.normal)
            elif isinstance(part, Combiner):
                choices = {"auto": "automatic", "open": "open", "closed": "closed"}
                yield self._field(part.id, None, part.name, choices, part.normal)

    def groups(self) -> Iterator[SwitchGroupView]:
        """Fuses and breakers together, then the ways of each panel."""
        on_off = {"on": "on", "off": "off"}
        alone = tuple(
            self._field(part.id, None, part.name, on_off, "on")
            for part in self.opened.boat.parts
            if isinstance(part, Fuse | Breaker)
        )
        if alone:
            yield SwitchGroupView("Fuses and breakers", alone)
        for part in self.opened.boat.parts:
            if isinstance(part, Panel):
                ways = tuple(
                    self._field(part.id, f"{section.id}-{way.id}", way.name, on_off, way.normally)
                    for section in part.sections
                    for way in section.ways
                )
                if ways:
                    yield SwitchGroupView(part.name, ways)

    def _field(
        self, part: str, way: str | None, name: str, choices: dict[str, str], normal: str
    ) -> FieldView:
        settings = {(one.part, one.way): one.position for one in self.mode.positions}
        now = settings.get((part, way), normal)
        more = {} if way is None else {"way": way}
        form = change_form(self.state, "/position", self.opened.rev, part=part, **more)
        options = tuple(ChoiceView(key, word, key == now) for key, word in choices.items())
        return FieldView(
            f"position-{part}" + (f"-{way}" if way else ""), form, name, now, "", "", options=options
        )


def _running(opened: OpenBoat, state: ViewState, mode: Mode) -> Iterator[RunningGroupView]:
    """Loads and sources by sort, each with what switches it."""
    rows: dict[str, list[RunningView]] = {name: [] for name in _ORDER}
    for part, name in _switchable(opened.boat):
        rows[_group(part)].append(_row(opened, state, mode, part, name))
    for group, found in rows.items():
        if found:
            yield RunningGroupView(group, tuple(found))


def _switchable(boat: Boat) -> Iterator[tuple[AnyPart, str | None]]:
    """Loads with each of their inputs where there are several, and sources."""
    for part in boat.parts:
        match part:
            case Load() if len(part.inputs) > 1:
                yield from ((part, name) for name in inputs_of(part))
            case Load() | Inverter() | Outboard() | Alternator() | Charger() | Solar() | Converter():
                yield part, None
            case _:
                pass


def _group(part: AnyPart) -> str:
    if isinstance(part, Load):
        return _GROUPS.get(part.role, "Comfort and other")
    return "Heavy loads" if isinstance(part, Inverter) else "Sources"


def _row(opened: OpenBoat, state: ViewState, mode: Mode, part: AnyPart, name: str | None) -> RunningView:
    entry = _entry(mode, part.id, name)
    key = "-".join(word for word in (part.id, name) if word)
    subject = {"part": part.id} | ({} if name is None else {"input": name})
    hours = None
    if entry is not None:
        form = change_form(state, "/on", opened.rev, **subject, on="yes")
        hours = _hours_field(f"hours-{key}", form, entry.hours_per_day, part.name)
    return RunningView(
        id=f"running-{key}",
        name=part.name if name is None else f"{part.name}, {name}",
        state="off" if entry is None else "on",
        word="Switch on" if entry is None else "Switch off",
        form=change_form(state, "/on", opened.rev, **subject, on="yes" if entry is None else "no"),
        hours=hours,
    )


def _entry(mode: Mode, part: str, name: str | None) -> Running | None:
    """The entry that says it is on; one for the whole part covers each of its inputs."""
    return next((one for one in mode.on if one.part == part and one.input in {None, name}), None)
