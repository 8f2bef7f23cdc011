"""A fuse put into a conductor where it leaves what feeds it."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edits import EditError, Splice, apply
from server.boat.finding import Mend
from server.boat.leads import End, Lead
from server.boat.parts import Breaker, Fuse, Load, Outboard
from server.boat.value import TerminalRef, bounds
from server.checks.mending.devices import USUAL_BREAKING_A, largest_allowed, usual_ratings
from server.checks.mending.patient import Patient
from server.checks.paths import Paths, source_posts
from server.checks.protection import cranking_leads
from server.checks.words import conductor_words, the
from server.engine.faults import highest_fault_a, most_joined
from server.units import Ampere, Metre

HOLDER_M: Metre = 0.1
"""How far from the stud the holder sits: well within the 7 in (ABYC E-11) and 200 mm (ISO 10133) allowed."""
MOST_AT_ONCE = 3
"""More fuses than that are no mend but a new installation."""
SHORTEST_M: Metre = 0.3
"""A shorter conductor is not cut: the fuse is bolted onto the stud."""


def fuse_in_lead(patient: Patient, part: str, terminal: str, most_a: Ampere | None = None) -> Iterator[Mend]:
    """A fuse at the far end of a lead, for what the lead carries."""
    lead = next((one for one in patient.leads_of(part) if one.terminal == terminal), None)
    if lead is not None and lead.last is not None and lead.far is not None:
        yield from _fused(patient, End(patient.conductors[lead.last], lead.far), most_a)


def fuses_at_sources(patient: Patient, part: str, terminal: str) -> Iterator[Mend]:
    """A fuse in every conductor that leaves a source on the way to a lead; cranking leads are left alone."""
    piece = Paths.of(patient.boat, patient.any_mode).pieces_without_devices
    posts = [
        post for _, post in source_posts(patient.boat, "positive") if piece[post] == piece[part, terminal]
    ]
    cranking = cranking_leads(patient.boat)
    ends = [end for post in posts for end in patient.landings.at(*post) if end.conductor.id not in cranking]
    if 0 < len(ends) <= MOST_AT_ONCE:
        for mends in zip(*(_fused(patient, end, None) for end in ends), strict=False):
            label = "; ".join(mend.label for mend in mends)
            yield Mend(label=label, edits=tuple(edit for mend in mends for edit in mend.edits))


def fuse_at_source(patient: Patient) -> Iterator[Mend]:
    """A fuse in the conductor by which a source that has none feeds the boat."""
    source, *way = patient.finding.subjects
    own = (name for one in patient.leads_of(source) if one.terminal == "positive" for name in one.conductors)
    for name in way or own:
        wire = patient.conductors.get(name)
        for end in () if wire is None else (End(wire, "tail"), End(wire, "head")):
            if end.terminal is not None and end.terminal.part == source:
                yield from _fused(patient, end, None)


def fuse_before(patient: Patient, name: str, most_a: Ampere | None = None) -> Iterator[Mend]:
    """A fuse where a conductor leaves what feeds it; the last of its lead goes before it."""
    conductor, lead = patient.conductors[name], patient.lead_of.get(name)
    if lead is not None and lead.last not in {None, name} and not _has_device(patient, lead):
        yield from fuse_in_lead(patient, lead.part, lead.terminal, most_a)
    yield from _fused(patient, End(conductor, patient.feeding_side(conductor)), most_a)


def _has_device(patient: Patient, lead: Lead) -> bool:
    return any(isinstance(patient.parts[name], Fuse | Breaker) for name in lead.inline)


def _fused(patient: Patient, near: End, most_a: Ampere | None) -> Iterator[Mend]:
    conductor, spot = near.conductor, near.terminal
    if conductor.kind != "wire" or spot is None:
        return
    limits = [*_limits(patient, conductor), *([] if most_a is None else [most_a])]
    of_feeder = not patient.is_of_load(conductor.id)
    least_a, most_a = patient.needed_a(conductor.id), min(limits, default=None)
    for rating in usual_ratings(least_a, most_a, of_feeder=of_feeder):
        edit = _splice(patient, near, rating)
        breaks = None if edit is None else _breaking(patient.boat, edit)
        if edit is not None and breaks is not None:
            whole = edit.part.model_copy(update={"interrupting_a": breaks})
            where = f"{conductor_words(patient.boat, conductor)} {_where(patient, edit, spot)}"
            yield Mend(
                label=f"{rating:g} A fuse in {where}, that can break {breaks:,.0f} A",
                edits=(edit.model_copy(update={"part": whole}),),
            )


def _limits(patient: Patient, conductor: Conductor) -> Iterator[Ampere]:
    """The largest device for each conductor that the fuse would protect, where a published figure tells."""
    lead = patient.lead_of.get(conductor.id)
    names = (conductor.id,) if lead is None else lead.conductors[: lead.conductors.index(conductor.id) + 1]
    for name in names:
        allowed = largest_allowed(patient.boat, patient.conductors[name])
        if allowed is not None:
            yield allowed


def _splice(patient: Patient, near: End, rating: Ampere) -> Splice | None:
    """The fuse near the end of a conductor; none in a cranking lead, which must not open in a start."""
    conductor = near.conductor
    lead = patient.lead_of.get(conductor.id)
    owner = None if lead is None else patient.parts[lead.part]
    if isinstance(owner, Outboard) or (isinstance(owner, Load) and owner.role == "starter"):
        return None
    about = conductor_words(patient.boat, conductor) if owner is None else owner.name
    fuse = Fuse(
        kind="fuse",
        id=patient.fresh_id(f"fuse-{conductor.id}"),
        name=f"Fuse of {about}"[:120],
        rating_a=rating,
        ignition_protected="yes",
    )
    length = None if conductor.length_m is None else bounds(conductor.length_m)[0]
    distance = HOLDER_M if length is not None and length >= SHORTEST_M else None
    return Splice(
        conductor=conductor.id,
        part=fuse,
        new_conductor=patient.fresh_id(f"{conductor.id}-feed"),
        near=near.side,
        distance_m=distance,
        new_cable=None if None in {conductor.cable, distance} else patient.fresh_id(f"{conductor.cable}-cut"),
    )


def _breaking(boat: Boat, edit: Splice) -> Ampere | None:
    """The usual interrupting rating that breaks what a short circuit draws where the new fuse is put in."""
    try:
        fused = apply(boat, edit)
    except EditError:
        return None
    place = (edit.part.id, "line")
    amps = highest_fault_a(fused, most_joined(fused), [place]).get(place, 0.0)
    return next((one for one in USUAL_BREAKING_A if one >= amps), None)


def _where(patient: Patient, edit: Splice, spot: TerminalRef) -> str:
    name = the(patient.parts[spot.part].name)
    return f"on {name}" if edit.distance_m is None else f"{edit.distance_m * 1000:.0f} mm from {name}"
