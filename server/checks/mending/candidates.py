"""Which edits may mend which finding, the better job first."""

from collections.abc import Callable, Iterator, Mapping
from itertools import chain, zip_longest

from server.boat.finding import Mend
from server.boat.parts import Load
from server.checks.faults import SURELY_OPENS
from server.checks.installation import ROUNDING
from server.checks.mending import coils, devices, fuses, shared, sizes, wiring
from server.checks.mending.patient import Patient
from server.checks.mending.wiring import Taps
from server.checks.protection import is_too_large
from server.engine.answer import InputAnswer

Kind = Callable[[Patient, Taps], Iterator[Mend]]


def candidates(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """Edits that may mend a finding; none where only somebody aboard can look something up."""
    return _KINDS[patient.finding.code](patient, taps) if patient.finding.code in _KINDS else iter(())


def _by_turns(*kinds: Iterator[Mend]) -> Iterator[Mend]:
    """The first of each kind, then the second of each: so that several kinds of mend are offered."""
    return (one for one in chain.from_iterable(zip_longest(*kinds)) if one is not None)


def _better_place_or_copper(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """For a load in an event: its leads or the heavy load's elsewhere, or more copper where it loses most."""
    part, name = patient.finding.subjects
    return _by_turns(
        wiring.moved(patient, part, _ends(patient, part, name), taps),
        shared.thicker_shared(patient),
        shared.heavy_elsewhere(patient, taps),
        sizes.thicker(patient, _wires(patient, part, name)),
    )


def _own_leads(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    """Thicker leads for a load that loses too much, from the size on that can be enough."""
    part, name = patient.finding.subjects
    found = patient.finding
    if found.figure is None or found.limit is None or _has_unknown(patient, part, name):
        return iter(())
    wires = _wires(patient, part, name)
    at_least = ROUNDING * found.figure.value / found.limit.value  # all loss scales with 1/area at best
    return sizes.thicker(patient, wires, at_least * sizes.thinnest_mm2(patient, wires))


def _wires(patient: Patient, part: str, name: str) -> list[str]:
    """The conductors of an input's own leads, out and back."""
    ends = set(_ends(patient, part, name))
    return [wire for one in patient.leads_of(part) if one.terminal in ends for wire in one.conductors]


def _ends(patient: Patient, part: str, name: str) -> tuple[str, ...]:
    """The terminals of an input, the negative first: moving that keeps the fuse."""
    owner = patient.parts[part]
    if isinstance(owner, Load):
        return tuple(end for one in owner.inputs if one.id == name for end in (one.returns_to, one.id))
    return ("negative", "positive")


def _has_unknown(patient: Patient, part: str, name: str) -> bool:
    loads = (load for mode in patient.modes for load in mode.loads if (load.part, load.input) == (part, name))
    return any(_is_unknown(load) for load in loads)


def _is_unknown(load: InputAnswer) -> bool:
    return load.drop is not None and bool(load.drop.unknown)


def _protected(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """A lead without any device: a fuse of its own, or a place behind one."""
    part, name = patient.finding.subjects
    return _by_turns(
        fuses.fuses_at_sources(patient, part, name),
        fuses.fuse_in_lead(patient, part, name),
        wiring.moved(patient, part, (name,), taps),
    )


def _fitted(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    """A conductor behind too large a device: a fuse of its own, a smaller device, or more copper.

    More copper that only lasts until the device opens is no job while that is too large all the same.
    """
    name = patient.finding.subjects[0]
    leaves_it = patient.finding.code != "device-above-conductor" and _is_behind_too_large(patient, name)
    return _by_turns(
        fuses.fuse_before(patient, name),
        devices.smaller_device(patient, patient.conductors[name]),
        iter(()) if leaves_it else sizes.thicker(patient, (name,)),
    )


def _fitted_return(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    """A negative behind too large a device: one in its load's positive that it bears, or more copper."""
    name, limit = patient.finding.subjects[0], patient.finding.limit
    lead, most_a = patient.lead_of.get(name), None if limit is None else limit.value
    owner = None if lead is None else patient.parts[lead.part]
    inputs = [one.id for one in owner.inputs] if isinstance(owner, Load) else []
    own = [one for one in patient.leads_of(owner.id) if one.terminal in inputs] if owner is not None else []
    return _by_turns(
        chain.from_iterable(fuses.fuse_in_lead(patient, one.part, one.terminal, most_a) for one in own),
        chain.from_iterable(
            devices.smaller_device(patient, patient.conductors[one.conductors[-1]], most_a) for one in own
        ),
        sizes.thicker(patient, (name,)),
    )


def _counted(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """The negatives of what the monitor misses elsewhere."""
    return _by_turns(
        *(
            wiring.moved(patient, part, _first_negative(patient, part), taps)
            for part in patient.finding.subjects[1:]
        )
    )


def _larger(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    return devices.larger_device(patient, patient.finding.subjects[1])


def _opening(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    """A lead whose device does not open on a short circuit at its end: a smaller one, or more copper.

    More copper is no job while the device is too large for the wire itself: that danger would stay.
    """
    part, amps = patient.finding.subjects[0], patient.finding.figure
    most_a = None if amps is None else amps.value / SURELY_OPENS
    owner = patient.parts[part]
    names = [one.id for one in owner.inputs] if isinstance(owner, Load) else ["positive"]
    leads = [one for one in patient.leads_of(part) if one.terminal in names]
    wires = [wire for one in patient.leads_of(part) for wire in one.conductors]
    is_above = any(_is_behind_too_large(patient, wire) for one in leads for wire in one.conductors)
    return _by_turns(
        chain.from_iterable(fuses.fuse_in_lead(patient, part, one.terminal, most_a) for one in leads),
        chain.from_iterable(
            devices.smaller_device(patient, patient.conductors[one.conductors[-1]], most_a) for one in leads
        ),
        iter(()) if is_above else sizes.thicker(patient, wires),
    )


def _is_behind_too_large(patient: Patient, name: str) -> bool:
    wire = patient.conductors[name]
    device = patient.device_before(wire)
    return device is not None and is_too_large(patient.boat, wire, device) is True


def _thicker(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    return sizes.thicker(patient, patient.finding.subjects[:1])


def _thick_enough(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    """From the smallest allowed size on; a table's own size may be a little less than its exact area."""
    limit = patient.finding.limit
    least_mm2 = 0.0 if limit is None else ROUNDING * limit.value
    return sizes.thicker(patient, patient.finding.subjects[:1], least_mm2)


def _thicker_feeders(patient: Patient, _taps: Taps) -> Iterator[Mend]:
    return sizes.thicker(patient, patient.finding.subjects)


def _moved_lead(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """The lead of a load on the named terminal elsewhere."""
    part, terminal = patient.finding.subjects[:2]
    return wiring.moved(patient, part, (terminal,), taps)


def _moved_return(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """The negative of an input elsewhere."""
    part, name = patient.finding.subjects[:2]
    return wiring.moved(patient, part, _ends(patient, part, name)[:1], taps)


def _isolated(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """A data link pulled apart: isolation, or the negatives of its two ends elsewhere."""
    return _by_turns(
        *(
            wiring.moved(patient, part, _first_negative(patient, part), taps)
            for part in patient.finding.subjects[1:]
        ),
        wiring.isolated_link(patient),
    )


def _first_negative(patient: Patient, part: str) -> tuple[str, ...]:
    owner = patient.parts[part]
    return owner.negatives[:1] if isinstance(owner, Load) else ("negative",)


def _at_own_end(patient: Patient) -> Iterator[Mend]:
    """A source without a device near it: one there, or where the lead has none at all one at either end."""
    source = patient.finding.subjects[0]
    return _by_turns(fuses.fuse_at_source(patient), fuses.fuses_at_sources(patient, source, "positive"))


def _plain(kind: Callable[[Patient], Iterator[Mend]]) -> Kind:
    def asked(patient: Patient, _taps: Taps) -> Iterator[Mend]:
        return kind(patient)

    return asked


_KINDS: Mapping[str, Kind] = {
    "restarts": _better_place_or_copper,
    "too-close": _better_place_or_copper,
    "dips-low": _better_place_or_copper,
    "spike-high": _better_place_or_copper,
    "drop-over-limit": _own_leads,
    "drop-too-close": _own_leads,
    "unprotected-lead": _protected,
    "device-above-conductor": _fitted,
    "fault-does-not-open": _opening,
    "fault-may-not-open": _opening,
    "conductor-over-ampacity": _thicker,
    "conductor-too-thin": _thick_enough,
    "burns-in-its-place": _thicker,
    "feeder-shared": _thicker_feeders,
    "alive-when-off": _moved_lead,
    "returned-to-block": _moved_lead,
    "metal-as-return": _moved_lead,
    "uncounted": _moved_return,
    "midpoint-fed": _moved_lead,
    "link-offset": _isolated,
    "return-through-heavy": _moved_lead,
    "monitor-error": _counted,
    "device-above-negative": _fitted_return,
    "burns-before-opening": _fitted,
    "stall-does-not-open": _opening,
    "opens-at-start": _larger,
    "negative-below-feeder": _thicker,
    "start-beside-its-way": _thicker,
    "one-end-unprotected": _plain(fuses.fuse_at_source),
    "source-without-device": _plain(fuses.fuse_at_source),
    "turn-loses-battery": _plain(devices.making_first),
    "coil-kicks": _plain(coils.suppressed),
    "interrupting-below-table": _plain(devices.breaking_more),
    "source-end-unprotected": _plain(_at_own_end),
    "switch-continuous": _plain(devices.continuous_enough),
    "switch-intermittent": _plain(devices.carrying_more),
    "interrupting-too-low": _plain(devices.breaking_more),
    "over-rating": _plain(devices.carrying_more),
    "stud-full": _plain(wiring.to_a_free_stud),
    "several-earth-links": _plain(wiring.without_a_link),
    "loose-end": _plain(wiring.without_a_loose_end),
    "name-used-twice": _plain(wiring.renamed),
    "spark-in-vapour": _plain(wiring.ignition_protected),
    "device-too-far": _plain(wiring.nearer_device),
    "charging-too-high": _plain(wiring.lower_setpoint),
}
