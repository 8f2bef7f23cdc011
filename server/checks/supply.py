"""Steady supply: voltage drop over its limit, loads that cannot run, and what could not be solved."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.finding import Figure, Finding, Severity
from server.checks.paths import Paths, node, source_posts
from server.checks.spoken import rule_kind
from server.checks.words import tagged_words, the
from server.engine.answer import Drop, InputAnswer, ModeAnswer, Trouble
from server.practice.rules import rule

STATE_SEVERITIES: dict[str, Severity] = {
    "shorted": "danger",
    "not-connected": "fault",
    "cannot-run": "fault",
    "switched-off": "advice",
    "loose-end": "advice",
    "no-convergence": "cannot-tell",
    "does-not-settle": "cannot-tell",
}


def drop_findings(_boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every input whose steady drop is over its limit, or may well be.

    That is by the verdict of the drop itself, which the table of loads shows too.
    """
    for load in answer.loads:
        drop = load.drop
        if drop is None or drop.limit_fraction is None:
            continue
        if drop.verdict == "fail":
            yield _drop(load, drop, drop.limit_fraction)
        elif drop.verdict == "cannot-tell":
            yield _doubtful_drop(load, drop, drop.limit_fraction)


def _doubtful_drop(load: InputAnswer, drop: Drop, limit: float) -> Finding:
    rule = f"where {limit * 100:.0f} % is the limit"
    if drop.unknown:
        least = f"{drop.judged_low_fraction * 100:.1f} %"
        said = f"loses at least {least} {rule}; read size and length off: {', '.join(drop.unknown)}."
    else:
        low, high = drop.judged_low_fraction * 100, drop.judged_high_fraction * 100
        said = f"loses {low:.1f} to {high:.1f} % {rule}: too close to call, measure it."
    return Finding(
        code="drop-too-close",
        severity="cannot-tell",
        subjects=(load.part, load.input),
        figure=Figure(value=drop.judged_fraction * 100, unit="%", basis="computed"),
        limit=Figure(value=limit * 100, unit="%", basis="rule"),
        message=f"At {drop.design_current_a:.1f} A, {the(load.name)} {said}",
        source=drop.limit_source,
        source_status="verified",
        rule_kind="standard",
    )


def _drop(load: InputAnswer, drop: Drop, limit: float) -> Finding:
    start = "the battery" if drop.counted_from == "battery" else "the panelboard"
    return Finding(
        code="drop-over-limit",
        severity="advice" if limit > _STRICT else "fault",
        subjects=(load.part, load.input),
        figure=Figure(value=drop.judged_fraction * 100, unit="%", basis="computed"),
        limit=Figure(value=limit * 100, unit="%", basis="rule"),
        message=(
            f"At {drop.design_current_a:.1f} A, {the(load.name)} loses {drop.judged_v:.2f} V "
            f"from {start} and back: {per_cent(drop.judged_fraction, limit)} % "
            f"where {limit * 100:.0f} % is the limit."
        ),
        source=drop.limit_source,
        source_status="verified",
        rule_kind="standard",
    )


def per_cent(fraction: float, limit: float) -> str:
    """A fraction as per cent with the digits that tell it from its limit.

    >>> per_cent(0.039, 0.03), per_cent(0.03021, 0.03)
    ('3.9', '3.02')
    """
    return next(
        text
        for digits in range(1, 12)
        if float(text := f"{fraction * 100:.{digits}f}") != round(limit * 100, digits)
        or digits == _MOST_DIGITS
    )


_MOST_DIGITS = 6
_STRICT = 0.03
"""The stricter of the two drop classes (ABYC E-11, ISO 10133: 3 % and 10 %)."""


def state_findings(_boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every load that ought to run in this mode and does not."""
    for load in answer.loads:
        if load.on and load.state in {"cannot-run", "not-connected", "shorted"}:
            message = f"{load.name}: {load.reason[:1].lower()}{load.reason[1:]}"
            yield _state(answer.mode, (load.part, load.input), load.state, message)


def trouble_findings(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every part of the boat that was left out of the solution."""
    told = {(load.part, load.state) for load in answer.loads if load.on}
    bare = _bare_loose_ends(boat, answer) if any(one.code == "loose-end" for one in answer.troubles) else {}
    for trouble in answer.troubles:
        if trouble.code == "loose-end" and trouble.subjects[0] in bare:
            yield _alive(boat, bare[trouble.subjects[0]])
        elif not any((subject, trouble.code) in told for subject in trouble.subjects):
            yield _trouble(boat, answer.mode, trouble)


def _bare_loose_ends(boat: Boat, answer: ModeAnswer) -> dict[str, Conductor]:
    """Conductors with one end on a source's positive without a device between, and the other on nothing."""
    paths = Paths.of(boat, next(mode for mode in boat.modes if mode.id == answer.mode))
    piece = paths.pieces_without_devices
    live = {piece[post] for _, post in source_posts(boat, "positive")}
    ends = {one.id: one.tail or one.head for one in boat.conductors if None in {one.tail, one.head}}
    bare = {name for name, end in ends.items() if end is not None and piece[node(end)] in live}
    return {one.id: one for one in boat.conductors if one.id in bare}


def _alive(boat: Boat, wire: Conductor) -> Finding:
    spoken = rule("e11-7in")
    return Finding(
        code="loose-end",
        severity="danger",
        subjects=(wire.id,),
        message=f"An end of {tagged_words(boat, wire)} lands on nothing, and no fuse or breaker stands "
        "between a source and it: it is alive, and burns where it touches the negative. Take it off at "
        "the source's end, or insulate the loose one.",
        source=spoken.source,
        source_status=spoken.status,
        rule_kind=rule_kind(boat, spoken),
    )


def _trouble(boat: Boat, mode: str, trouble: Trouble) -> Finding:
    if trouble.code != "loose-end":
        return _state(mode, trouble.subjects, trouble.code, trouble.message)
    wire = next(one for one in boat.conductors if one.id == trouble.subjects[0])
    name = tagged_words(boat, wire)
    noted = f" It is noted: {wire.notes}." if wire.notes and wire.notes not in name else ""
    message = f"An end of {name} lands on nothing: connect it or take it out.{noted}"
    return _state(None, trouble.subjects, trouble.code, message)


def _state(mode: str | None, subjects: tuple[str, ...], code: str, message: str) -> Finding:
    return Finding(
        code=code,
        severity=STATE_SEVERITIES[code],
        subjects=subjects,
        mode=mode,
        message=message,
        source="the wiring as entered",
        source_status="document",
    )
