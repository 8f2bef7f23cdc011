"""Leads landed elsewhere, lugs on another stud, links taken out, parts of another make."""

from collections.abc import Callable, Iterable, Iterator

from server.boat.conductors import Conductor
from server.boat.edits import ChangeValue, MoveConductorEnd, MoveLead, RemoveConductor, Rename, SetLength
from server.boat.finding import Mend
from server.boat.leads import End
from server.boat.parts import Busbar, Panel, Post
from server.boat.terminals import terminals
from server.boat.value import TerminalRef, nominal
from server.checks.mending.fuses import HOLDER_M
from server.checks.mending.patient import Patient
from server.checks.words import conductor_words, listed, the
from server.engine.answer import TapAnswer

Taps = Callable[[str, str], Iterable[TapAnswer]]
"""The places where the lead on a terminal could be put down, the best first."""
MOST_PLACES = 2


def moved(patient: Patient, part: str, terminals_of: Iterable[str], taps: Taps) -> Iterator[Mend]:
    """A lead moved to each of the best places that break nothing: a bar, a post or a panel."""
    for terminal in terminals_of:
        fitting = (tap for tap in taps(part, terminal) if _fits(patient, tap))
        for tap, _ in zip(fitting, range(MOST_PLACES), strict=False):
            polarity = "positive" if terminal not in _negatives(patient, part) else "negative"
            is_own = part == patient.finding.subjects[0]
            lead = f"its {polarity}" if is_own else f"the {polarity} of {the(patient.parts[part].name)}"
            label = f"Move {lead} to {tap.place}"
            yield Mend(label=label, edits=(MoveLead(part=part, terminal=terminal, to=tap.terminal),))


def _fits(patient: Patient, tap: TapAnswer) -> bool:
    is_bar = isinstance(patient.parts[tap.terminal.part], Busbar | Post | Panel)
    return is_bar and not tap.present and not tap.breaks and tap.rank is not None


def _negatives(patient: Patient, part: str) -> tuple[str, ...]:
    return getattr(patient.parts[part], "negatives", ("negative",))


def to_a_free_stud(patient: Patient) -> Iterator[Mend]:
    """The lugs that came last moved to studs of the same bar on which nothing lands."""
    part, terminal = patient.parts[patient.finding.subjects[0]], patient.finding.subjects[1]
    limit = patient.finding.limit
    if limit is None:
        return
    landings = patient.landings
    over = landings.at(part.id, terminal)[int(limit.value) :]
    free = [name for name in terminals(part) if not landings.at(part.id, name)]
    if 0 < len(over) <= len(free):
        moves = tuple(_onto(end, part.id, name) for end, name in zip(over, free, strict=False))
        words = listed(conductor_words(patient.boat, end.conductor) for end in over)
        studs = ", ".join(name.replace("-", " ") for name in free[: len(over)])
        yield Mend(label=f"Move {words} to {studs} of {the(part.name)}", edits=moves)


def _onto(end: End, part: str, terminal: str) -> MoveConductorEnd:
    to = TerminalRef(part=part, terminal=terminal)
    return MoveConductorEnd(conductor=end.conductor.id, end=end.side, to=to, keep_length=True)


def without_a_link(patient: Patient) -> Iterator[Mend]:
    """One of several links between the wiring and the bonding taken out, the last first."""
    for name in reversed(patient.finding.subjects):
        label = f"Take out {_between(patient, patient.conductors[name])}"
        yield Mend(label=label, edits=(RemoveConductor(id=name),))


def without_a_loose_end(patient: Patient) -> Iterator[Mend]:
    """A conductor with a loose end taken out."""
    for name in patient.finding.subjects:
        if name in patient.conductors:
            label = f"Take out {conductor_words(patient.boat, patient.conductors[name])}"
            yield Mend(label=label, edits=(RemoveConductor(id=name),))


def _between(patient: Patient, conductor: Conductor) -> str:
    ends = [the(patient.parts[end.part].name) for end in (conductor.tail, conductor.head) if end is not None]
    words = conductor_words(patient.boat, conductor)
    return words if " from " in words else f"{words} between {' and '.join(ends)}"


def renamed(patient: Patient) -> Iterator[Mend]:
    """The second of two things of one name called after it with a number."""
    name = patient.finding.subjects[1]
    numbers = {one.id: one.number for one in patient.boat.cables}
    old = patient.parts[name].name if name in patient.parts else numbers[name] or ""
    taken = {part.name.strip().casefold() for part in patient.boat.parts}
    taken |= {(number or "").strip().casefold() for number in numbers.values()}
    tries = (f"{old.strip()} {count}" for count in range(2, len(taken) + 3))
    new = next(one for one in tries if one.casefold() not in taken)
    yield Mend(label=f"Call the second “{new}”", edits=(Rename(id=name, name=new),))


def ignition_protected(patient: Patient) -> Iterator[Mend]:
    """An ignition-protected part in the place of one that can spark; what nobody looked up is not mended."""
    name = patient.finding.subjects[0]
    if patient.finding.severity != "cannot-tell" and name in patient.parts:
        label = f"An ignition-protected one in place of {the(patient.parts[name].name)}"
        yield Mend(label=label, edits=(ChangeValue(id=name, field="ignition_protected", value="yes"),))


def isolated_link(patient: Patient) -> Iterator[Mend]:
    """Galvanic isolation in a data link."""
    link = next(one for one in patient.boat.links if one.id == patient.finding.subjects[0])
    edit = ChangeValue(id=link.id, field="isolated", value="yes")
    yield Mend(label=f"Galvanic isolation in “{link.name}”", edits=(edit,))


def nearer_device(patient: Patient) -> Iterator[Mend]:
    """A device moved along its cable to the battery, the cable behind it longer by as much."""
    part, *way = patient.finding.subjects
    if len(way) != 1 or patient.parts[part].kind not in {"fuse", "breaker"}:
        return
    before = patient.conductors[way[0]]
    behind = [
        end.conductor
        for name in terminals(patient.parts[part])
        for end in patient.landings.at(part, name)
        if end.conductor.id != before.id and end.conductor.kind == "wire"
    ]
    if before.length_m is None or len(behind) != 1 or behind[0].length_m is None:
        return
    longer = nominal(behind[0].length_m) + nominal(before.length_m) - HOLDER_M
    far = [end for end in (before.tail, before.head) if end is not None and end.part != part]
    where = the(patient.parts[far[0].part].name) if far else "the battery"
    yield Mend(
        label=f"{patient.parts[part].name} {HOLDER_M * 1000:.0f} mm from {where}",
        edits=(
            SetLength(conductor=before.id, length_m=HOLDER_M, basis="estimated"),
            SetLength(conductor=behind[0].id, length_m=round(longer, 3), basis="estimated"),
        ),
    )


def lower_setpoint(patient: Patient) -> Iterator[Mend]:
    """A charging source set to what the load stands, where that still charges the battery."""
    found = patient.finding
    if found.limit is not None and found.limit.value >= LEAST_CHARGING * patient.boat.nominal_voltage_v:
        source = found.subjects[2]
        label = f"Set {the(patient.parts[source].name)} to {found.limit.value:g} V"
        edit = ChangeValue(id=source, field="setpoint_v", value=found.limit.value)
        yield Mend(label=label, edits=(edit,))


LEAST_CHARGING = 13.8 / 12.0
"""Below 13.8 V on 12 V a lead battery is no longer charged full (common practice, no source)."""
