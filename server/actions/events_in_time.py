"""Events in time: a heavy load's start, run and release solved, what meters show of it, and load dump."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from server.actions.choices import UnknownChoiceError
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import read_boat

if TYPE_CHECKING:
    from server.engine.answer import Trouble
    from server.engine.transient.answer import (
        DeviceCurrent,
        EventFigures,
        EventRun,
        LinkOffsetInTime,
        PointAnswer,
        PointPair,
        Turning,
    )
    from server.engine.transient.coil_release import CoilRelease
    from server.engine.transient.coil_run import CoilLetGo
    from server.engine.transient.load_dump import LostBattery
    from server.engine.transient.meters import Instrument, Reading
    from server.engine.transient.profiles import Comparison, Requirement
    from server.engine.transient.waves import Wave
    from server.practice.load_dump import LoadDump

HEAVY_CURRENT = "heavy-current"


HAPPENS = frozenset({"leaves-its-state", "drops-out"})
"""Troubles that happen in the event itself rather than keep a part of the boat out of the solution."""


class UnsolvedEventError(ValueError):
    """An event that cannot be solved in time; the message says which piece and why."""


@dataclass(frozen=True)
class Figures:
    """What every load, data link and device has in an event in time; ``why`` says why it has nothing.

    ``turning`` is only known where the run was explained.
    """

    points: "Mapping[str, PointAnswer]" = field(default_factory=dict)
    inrush_a: float | None = None
    why: str = ""
    links: "tuple[LinkOffsetInTime, ...]" = ()
    devices: "tuple[DeviceCurrent, ...]" = ()
    happens: "tuple[Trouble, ...]" = ()
    turning: "Turning | None" = None


def figures_of(results: Results, sha: str, boat: Boat, mode: str, event: str) -> Figures:
    """The figures of an event in time, solved if they are not known yet.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """

    def made() -> Figures:
        try:
            if results.explains:
                run = event_in_time(results, sha, boat, mode, event)
                return _figures(run, run.turning)
            return _figures(_judged(boat, mode, event))
        except UnsolvedEventError as error:
            return Figures(why=str(error))

    return results.figures.get((sha, mode, event), made)


def _figures(of: "EventRun | EventFigures", turning: "Turning | None" = None) -> Figures:
    return Figures(
        {point.key: point for point in of.points},
        of.inrush_a.value,
        links=of.links,
        devices=of.devices,
        happens=of.happens,
        turning=turning,
    )


def _judged(boat: Boat, mode: str, event: str) -> "EventFigures":
    from server.engine.transient.event_run import event_figures

    with refusals():
        return event_figures(boat, mode, event)


def event_in_time(  # noqa: PLR0913, PLR0917 - each names one thing of the question
    results: Results,
    sha: str,
    boat: Boat,
    mode: str,
    event: str,
    probes: "tuple[PointPair, ...]" = (),
    *,
    bands: bool = False,
) -> "EventRun":
    """An event solved in time; with ``bands`` its assumptions are drawn many times, which takes seconds.

    Raises:
        UnknownChoiceError: the boat has no such mode, event or terminal.
        UnsolvedEventError: a piece of the model cannot be solved, or the probes share no source.
    """
    key = (sha, mode, event, probes, bands)
    run = results.runs.get(key, lambda: _solve(boat, mode, event, probes, bands=bands))
    if not probes and not bands:
        results.figures.get((sha, mode, event), lambda: _figures(run, run.turning))
    return run


def _solve(boat: Boat, mode: str, event: str, probes: "tuple[PointPair, ...]", *, bands: bool) -> "EventRun":
    from server.engine.transient.event_run import event_run

    with refusals():
        return event_run(boat, mode, event, probes, bands=bands)


@contextmanager
def refusals() -> Iterator[None]:
    """Says the engine's refusals as those of an action."""
    from server.engine.transient.event_run import TransientError, UnknownModeError

    try:
        yield
    except UnknownModeError as error:
        raise UnknownChoiceError(str(error)) from None
    except TransientError as error:
        raise UnsolvedEventError(str(error)) from None


def point_of(run: "EventRun", key: str) -> "PointAnswer":
    """A load or pair of probes of a solved event.

    Raises:
        UnknownChoiceError: it has no such point.
    """
    found = next((point for point in run.points if point.key == key), None)
    if found is None:
        raise UnknownChoiceError(f"This event has no point “{key}”. Choose one from the list.")
    return found


def meters(run: "EventRun", key: str) -> "tuple[tuple[Instrument, Reading | None], ...]":
    """What the usual instruments show at a point, or of the heavy load's current.

    Raises:
        UnknownChoiceError: it has no such waveform.
    """
    from server.engine.transient.meters import CLAMP, OSCILLOSCOPE, PEAK_CAPTURE, RECORDING, reading

    wave = wave_of(run, key)
    kinds = (CLAMP, OSCILLOSCOPE) if key == HEAVY_CURRENT else (PEAK_CAPTURE, RECORDING, OSCILLOSCOPE)
    return tuple((instrument, reading(instrument, wave)) for instrument in kinds)


def wave_of(run: "EventRun", key: str) -> "Wave":
    """The waveform of a point, or of the heavy load's current.

    Raises:
        UnknownChoiceError: it has no such waveform.
    """
    from server.engine.transient.waves import Wave

    found = next((wave for wave in run.waveforms if wave.key == key), None)
    if found is None:
        raise UnknownChoiceError(f"This event has no waveform “{key}”. Choose one from the list.")
    return Wave(found.time_s, found.values)


def requirements_met(run: "EventRun", boat: Boat, key: str) -> "tuple[Comparison, ...]":
    """How a point meets every published, verified supply requirement for its nominal voltage.

    Raises:
        UnknownChoiceError: it has no such point.
    """
    from server.engine.transient.profiles import compared, requirements

    wave, system_v = wave_of(run, key), _system_v(boat, key)
    return tuple(compared(one, wave, system_v) for one in requirements(system_v))


def starting_profiles(boat: Boat, key: str) -> "tuple[tuple[Requirement, Wave], ...]":
    """The published starting profiles for a load's nominal voltage, each with its wave from zero on."""
    from server.engine.transient.profiles import profile_wave, requirements
    from server.practice.supply import StartingProfile

    system_v = _system_v(boat, key)
    return tuple(
        (one, profile_wave(one.supply, system_v))
        for one in requirements(system_v)
        if isinstance(one.supply, StartingProfile)
    )


def _system_v(boat: Boat, key: str) -> float:
    part = next((part for part in boat.parts if part.id == key.partition(".")[0]), None)
    islands = {island.id: island.nominal_voltage_v for island in boat.islands}
    return islands.get(part.island or "", boat.nominal_voltage_v) if part else boat.nominal_voltage_v


def coils_let_go(boat: Boat) -> "tuple[CoilRelease, ...]":
    """What every coil of a boat does when it is let go."""
    from server.engine.transient.coil_release import coil_releases

    return coil_releases(boat)


def coils_in_mode(boat: Boat, mode: str) -> "tuple[CoilLetGo, ...]":
    """What every coil that is fed in a mode does to the loads when it is let go.

    Raises:
        UnknownChoiceError: the boat has no such mode.
        UnsolvedEventError: a piece of the model cannot be solved.
    """
    from server.engine.transient.coil_run import coils_let_go as solved

    with refusals():
        return solved(boat, mode)


def load_dumps(boat: Boat, mode: str) -> "tuple[tuple[LostBattery, ...], LoadDump | None]":
    """What takes the battery off an alternator in a mode, and the published range of what then comes.

    Raises:
        UnknownChoiceError: the boat has no such mode.
    """
    from server.engine.transient.load_dump import lost_batteries
    from server.practice.load_dump import load_dump

    chosen = next((one for one in boat.modes if one.id == mode), None)
    if chosen is None:
        raise UnknownChoiceError(f"This boat has no mode “{mode}”. Choose one from the list.")
    return lost_batteries(boat, chosen), load_dump(boat.nominal_voltage_v)


def event_report(body: bytes, mode: str, event: str, *, bands: bool = False) -> str:
    """An event of a boat file in time, as a table for a terminal.

    Raises:
        DocumentError: the file is no boat.
        UnknownChoiceError, UnsolvedEventError: see ``event_in_time``.
    """
    run = _solve(read_boat(body), mode, event, (), bands=bands)
    inrush = run.inrush_a
    lines = [
        f"{run.name}: {run.heavy_name}, {run.conditions}",
        f"{inrush.value:.0f} A at most, {inrush.at_s * 1e3:.1f} ms after the press; "
        f"{run.settled_a:.0f} A before the release",
        "",
        *(_line(point) for point in run.points),
        "",
        *(f"{'happens' if one.code in HAPPENS else 'left out'}: {one.message}" for one in run.troubles),
        *(f"not assessed: {text}" for text in run.not_assessed),
    ]
    return "\n".join(lines) + "\n"


def _line(point: "PointAnswer") -> str:
    from server.actions.words import VERDICTS

    return (
        f"{point.name}: {point.before_v:.1f} V before, {point.lowest.value:.1f} V at lowest, "
        f"{point.average_v:.1f} V on average, {point.highest.value:.1f} V at highest: "
        f"{VERDICTS[point.verdict]}. {point.reason}"
    )
