"""How the figure of a finding comes about, step by step, from the engine's own numbers."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from server.boat.assumed import assumed
from server.boat.conductors import Conductor
from server.boat.figure import Figure
from server.boat.finding import Finding
from server.boat.laid import Laid
from server.boat.value import Span, nominal
from server.checks.events import is_brief
from server.checks.mending.patient import Patient
from server.checks.protection import conductor_ampacity
from server.checks.runs import OVERALL_KEY, fill_of
from server.checks.shown_shares import between, dip_shares
from server.checks.words import conductor_words, need_words
from server.checks.worse import FLOORS
from server.engine.answer import Drop, EventAnswer, InputAnswer
from server.engine.transient.verdict import duration
from server.practice.profiles import profile
from server.practice.protection import rating_limit
from server.practice.sourced import Sourced
from server.units import Ampere, Ohm, Second

Origin = Literal["as entered", "measured", "assumed", "tabulated", "computed", "by the rule"]


@dataclass(frozen=True, slots=True)
class Step:
    """One line of arithmetic: what it is, the numbers, the result; ``subject`` is what it is of."""

    what: str
    numbers: str
    result: str
    origin: Origin
    source: str = ""
    subject: str | None = None


Working = Callable[[Patient], Iterator[Step]]


def working(patient: Patient) -> tuple[Step, ...]:
    """The arithmetic of a finding, ending with its figure against its limit."""
    own = _WORKINGS.get(patient.finding.code)
    return (*(() if own is None else own(patient)), *_verdict(patient.finding))


def _verdict(finding: Finding) -> Iterator[Step]:
    figure, limit = finding.figure, finding.limit
    if figure is not None and limit is None:
        yield Step("Found", "", _shown(figure), _origin(figure))
    if figure is None or limit is None:
        return
    sign = "<" if figure.value < limit.value else ">" if figure.value > limit.value else "="
    wanted = "at least" if finding.code in FLOORS else "at most"
    found: Origin = "tabulated" if finding.code in _TABULATED else _origin(figure)
    yield Step("Found", "", _shown(figure), found)
    yield Step(f"Allowed: {wanted}", "", _shown(limit), *_limit_origin(finding, limit))
    yield Step("Compared", f"{_shown(figure)} {sign} {_shown(limit)}", _word(finding), "computed")


def _word(finding: Finding) -> str:
    return "cannot tell" if finding.severity == "cannot-tell" else "fails"


def _shown(figure: Figure) -> str:
    return f"{figure.value:.4g} {figure.unit}"


def _origin(figure: Figure) -> Origin:
    kinds: Mapping[str, Origin] = {"computed": "computed", "assumed": "assumed", "measured": "measured"}
    return kinds.get(figure.basis, "as entered")


def _limit_origin(finding: Finding, limit: Figure) -> tuple[Origin, str]:
    """Where a limit comes from: a rating as entered, a table, arithmetic, or the rule itself."""
    if finding.code in _RATINGS:
        return "as entered", _RATINGS[finding.code]
    if finding.code in _TABULATED:
        return "tabulated", finding.source
    if finding.code in _COMPUTED_LIMITS:
        return "computed", finding.source
    if limit.basis != "rule":
        return _origin(limit), finding.source
    return "as entered" if finding.source_status == "document" else "by the rule", finding.source


_RATINGS: Mapping[str, str] = {
    "fault-does-not-open": "the device's rating",
    "fault-may-not-open": "the device's rating",
    "opens-at-start": "the device's rating",
    "stall-does-not-open": "the device's rating",
    "switch-intermittent": "the switch's rating for cranking",
    "panel-load": "the panel's rating",
    "voltage-rating-low": "the boat's nominal voltage",
    "interrupting-too-low": "the device's interrupting rating",
}
"""Findings whose limit was entered though their source speaks of how they are judged."""

_TABULATED = frozenset({"negative-below-feeder"})
"""Findings that set two ampacities of a table against each other."""

_COMPUTED_LIMITS = frozenset(
    {"device-above-conductor", "device-above-negative", "switch-continuous", "burns-before-opening"}
)
"""Findings whose limit is worked out from a rule and what was entered."""


def _in_an_event(patient: Patient) -> Iterator[Step]:
    """Volts before the press, less what each element takes at the lowest instant."""
    seen = _seen(patient)
    if seen is None:
        return
    if seen.in_time is None:
        before = seen.lowest.value + seen.sag_v
        taken = between(before, seen.lowest.value)
        yield Step("Before the press", "", f"{before:.2f} V", "computed")
        yield Step("What the start takes", "", f"{taken:.2f} V", "computed")
        numbers = f"{before:.2f} V − {taken:.2f} V"
        yield Step("Left at the first instant", numbers, f"{seen.lowest.value:.2f} V", "computed")
        return
    point = seen.in_time
    yield Step("Before the press", "", f"{point.before_v:.2f} V", "computed")
    shares = dip_shares(point)
    taken = between(point.before_v, point.lowest.value)
    for one, volts in shares[:_MOST_SHARES]:
        subject = one.element.split(".", maxsplit=1)[0]
        yield Step(f"{one.name}, by its {one.cause}", "", f"{volts:.2f} V", "computed", "", subject)
    if rest := [volts for _, volts in shares[_MOST_SHARES:]]:
        yield Step(f"{len(rest)} more elements", "", f"{sum(rest):.2f} V", "computed")
    numbers = f"{point.before_v:.2f} V − {taken:.2f} V"
    when = f"Left {point.lowest.at_s * 1000:.0f} ms after the press"
    yield Step(when, numbers, f"{point.lowest.value:.2f} V", "computed")


_MOST_SHARES = 8


def _briefly(patient: Patient) -> Iterator[Step]:
    """What each load of a short dip has, needs and rides through."""
    finding = patient.finding
    for answer in patient.modes:
        for load in answer.loads if answer.mode == finding.mode else ():
            for seen in load.events if load.part in finding.subjects else ():
                point = seen.in_time
                if seen.event == finding.event and point is not None and is_brief(point):
                    lasts = _lasts(need_words(seen), point.below_need_s, point.perhaps_below_s)
                    held = "" if point.hold_up_s is None else f"; rides through {duration(point.hold_up_s)}"
                    held += " (assumed)" if held and point.hold_up_assumed else ""
                    volts = f"{seen.lowest.value:.2f} V"
                    yield Step(f"{load.name} at lowest", lasts + held, volts, "computed", "", load.part)


def _lasts(need: str, below_s: Second, perhaps_s: Second) -> str:
    """For how long something is below a need, and at the worst end of what is assumed."""
    now = f"below {need} for {duration(below_s)}" if below_s > 0 else f"not below {need}"
    return f"{now}, at worst for {duration(perhaps_s)}" if perhaps_s > below_s else now


def _seen(patient: Patient) -> EventAnswer | None:
    load = _load(patient)
    if load is None:
        return None
    return next((one for one in load.events if one.event == patient.finding.event), None)


def _load(patient: Patient) -> InputAnswer | None:
    key = patient.finding.subjects[:2]
    return next(
        (
            load
            for answer in patient.modes
            for load in answer.loads
            if (load.part, load.input) == key and patient.finding.mode in {None, answer.mode}
        ),
        None,
    )


def _drop(patient: Patient) -> Iterator[Step]:
    """Design current through wires, joints and devices, as a share of the nominal voltage."""
    load = _load(patient)
    drop = None if load is None else load.drop
    if load is None or drop is None:
        return
    amps = f"{drop.design_current_a:.2f} A"
    yield Step("Design current", drop.current_basis, amps, "as entered", "", load.part)
    for lead in patient.leads_of(load.part):
        for name in lead.conductors:
            yield from _wire(patient.conductors[name], patient, drop)
    other = drop.judged_v - drop.conductors_v
    yield Step(
        "All wires of the way, out and back", f"{amps} × their Ω", f"{drop.conductors_v:.3f} V", "computed"
    )
    yield Step("Joints and devices of the way", f"{amps} × their Ω", f"{other:.3f} V", "computed")
    whole = f"{drop.conductors_v:.3f} V + {other:.3f} V"
    yield Step("Together", whole, f"{drop.judged_v:.3f} V", "computed")
    if drop.judged_fraction > 0:
        rated = drop.judged_v / drop.judged_fraction
        numbers = f"{drop.judged_v:.3f} V ÷ {rated:.4g} V"
        yield Step("As a share", numbers, f"{drop.judged_fraction * 100:.2f} %", "computed")


def _wire(wire: Conductor, patient: Patient, drop: Drop) -> Iterator[Step]:
    """A wire of the load's own leads: measured, as entered, or its size at 20 °C."""
    name, amps = conductor_words(patient.boat, wire), drop.design_current_a
    if wire.measured_resistance_ohm is not None:
        yield Step(name, "", _lost(nominal(wire.measured_resistance_ohm), amps), "measured", "", wire.id)
    elif wire.resistance_ohm is not None:
        yield Step(name, "", _lost(nominal(wire.resistance_ohm), amps), "as entered", "", wire.id)
    elif wire.size is None or wire.length_m is None:
        yield Step(name, "size or length is not known", "cannot tell", "as entered", "", wire.id)
    else:
        per_m, length = wire.size.resistance_ohm_per_m, nominal(wire.length_m)
        about = "about " if isinstance(wire.length_m, Span) else ""
        numbers = f"{wire.size.label} at 20 °C: {per_m * 1000:.3g} mΩ/m × {about}{length:g} m"
        lost = _lost(per_m * length, amps)
        yield Step(name, numbers, lost, "tabulated", wire.size.source or "", wire.id)


def _lost(ohm: Ohm, amps: Ampere) -> str:
    return f"{ohm * 1000:.3g} mΩ, {ohm * amps:.3f} V"


def _ampacity(patient: Patient) -> Iterator[Step]:
    """What a conductor may carry as laid, and the largest device for that."""
    wire = patient.conductors[patient.finding.subjects[0]]
    allowed = conductor_ampacity(patient.boat, wire)
    if not isinstance(allowed, Sourced) or wire.size is None:
        return
    hot = "in an engine space" if wire.in_engine_space == "yes" else "outside engine spaces"
    laid = f"{wire.size.label}, {wire.insulation_c:g} °C insulation, {hot}"
    name = f"{conductor_words(patient.boat, wire)} may carry all day"
    yield Step(name, laid, f"{allowed.value:.4g} A", "tabulated", allowed.source, wire.id)


def _fitting(patient: Patient) -> Iterator[Step]:
    yield from _ampacity(patient)
    wire, figure = patient.conductors[patient.finding.subjects[0]], patient.finding.figure
    allowed = conductor_ampacity(patient.boat, wire)
    device = patient.device_before(wire)
    if not isinstance(allowed, Sourced) or figure is None or device is None:
        return
    standard = profile(patient.boat.practice.profile).standard
    limit = rating_limit(allowed, patient.boat.nominal_voltage_v, standard)
    numbers = f"{allowed.value:.4g} A × {limit.limit_a / allowed.value * 100:.0f} %"
    if limit.largest_a > limit.limit_a:
        numbers += f" = {limit.limit_a:.4g} A, the next usual rating is allowed"
    yield Step("Largest device", numbers, f"{limit.largest_a:.4g} A", "computed", limit.source)
    yield Step(f"“{device.name}”", "", f"{figure.value:g} A", "as entered", "", device.load[0])


def _way(patient: Patient) -> Iterator[Step]:
    """The lengths of the conductors between a battery and its first device."""
    lengths = list[float]()
    for name in patient.finding.subjects[1:]:
        wire = patient.conductors[name]
        length = 0.0 if wire.length_m is None else nominal(wire.length_m)
        lengths.append(length)
        basis: Origin = "measured" if wire.length_basis == "measured" else "as entered"
        yield Step(conductor_words(patient.boat, wire), "", f"{length:.2f} m", basis, "", wire.id)
    if len(lengths) > 1:
        yield Step(
            "Together", " + ".join(f"{one:.2f}" for one in lengths), f"{sum(lengths):.2f} m", "computed"
        )


def _short(patient: Patient) -> Iterator[Step]:
    """A fault current as a multiple of the rating of the device before it."""
    return _multiple(patient, "Short circuit at its end", patient.finding.subjects[0])


def _start(patient: Patient) -> Iterator[Step]:
    """The highest current of a start as a multiple of the rating of a device; its curve is entered there."""
    return _multiple(patient, "Highest current of the start", patient.finding.subjects[-1])


def _multiple(patient: Patient, what: str, subject: str) -> Iterator[Step]:
    figure, limit = patient.finding.figure, patient.finding.limit
    if figure is not None and limit is not None:
        yield Step(what, "", _shown(figure), "computed", "", subject)
        multiple = figure.value / limit.value
        numbers = f"{_shown(figure)} ÷ {_shown(limit)}"
        yield Step("As a multiple of the rating", numbers, f"{multiple:.2f} ×", "computed")


def _fill(patient: Patient) -> Iterator[Step]:
    """Copper in a trunking, the cables' outside from it, and what was left for growth."""
    boat, name = patient.boat, patient.finding.subjects[0]
    run = next(one for one in boat.runs if one.id == name)
    wires = Laid.of(boat).in_run[name]
    fill = fill_of(boat, run, wires)
    if fill is None or run.trunking_mm2 is None:
        return
    areas = [one.size.area_mm2 for one in wires if one.size is not None]
    factor = assumed(boat.assumptions, OVERALL_KEY)[1]
    few = len(areas) <= _MOST_TERMS
    copper = " + ".join(f"{area:.3g}" for area in areas) if few else f"{len(areas)} conductors"
    yield Step("Copper of the conductors in it", copper, f"{sum(areas):.4g} mm²", "as entered")
    outside = f"{sum(areas):.4g} mm² × {factor:g}"
    yield Step("Outside of their cables", outside, f"{sum(areas) * factor:.4g} mm²", "assumed")
    share = f"{sum(areas) * factor:.4g} ÷ {run.trunking_mm2:g} mm²"
    yield Step("Of the inside of its trunking", share, f"{100 * fill.value:.3g} %", "computed")
    if fill.grown != fill.value:
        growth = f"{100 * fill.value:.3g} % × {fill.grown / fill.value:.3g}"
        yield Step("With the growth asked for", growth, f"{100 * fill.grown:.3g} %", "as entered")


_MOST_TERMS = 8

_WORKINGS: Mapping[str, Working] = {
    "trunking-full": _fill,
    "restarts": _in_an_event,
    "too-close": _in_an_event,
    "limit-not-known": _in_an_event,
    "dips-low": _in_an_event,
    "dips-briefly": _briefly,
    "drop-over-limit": _drop,
    "drop-too-close": _drop,
    "device-above-conductor": _fitting,
    "device-above-negative": _ampacity,
    "conductor-over-ampacity": _ampacity,
    "burns-in-its-place": _ampacity,
    "device-too-far": _way,
    "opens-at-start": _start,
    "fault-does-not-open": _short,
    "fault-may-not-open": _short,
    "interrupting-too-low": _short,
}
