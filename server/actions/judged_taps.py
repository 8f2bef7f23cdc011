"""A picked-up lead as the checks judge its places: no hazard is ranked, and what clears a danger says so."""

from dataclasses import replace

from server.boat.leads import Landings, Lead, lead
from server.boat.parts import Busbar, Panel, Post
from server.boat.value import TerminalRef
from server.checks.ground import Ground
from server.checks.landing import Landed, Landing
from server.checks.mends import fits
from server.engine.answer import Mark, PickUp, TapAnswer
from server.engine.best_tap import IsAllowed
from server.engine.needs import VERDICT_ORDER
from server.engine.ranking import reranked
from server.units import Ampere, Metre


def judged(ground: Ground, held: PickUp, landings: Landings | None = None) -> PickUp:
    """The same places with what the checks add: what else breaks, and which wiring findings a move clears.

    Where nobody can say whether a larger device than now would fit the lead, or where a larger one would
    stand for the lead's own, the place has no rank.
    """
    begun = lead(ground.boat, held.part, held.terminal, landings)
    landing = Landing(ground, begun)
    present = None if held.present is None else _landed(landing, held.present, held.present.terminal)
    taps = [_judged(landing, one, held.present, present) for one in held.taps]
    known_a = None if present is None else present.device_a
    ordered = reranked(tuple(sorted(taps, key=lambda one: _order(one, known_a))))
    told = tuple(one if fits(one, known_a) else replace(one, rank=None) for one in ordered)
    return replace(held, taps=told, present=next((one for one in told if one.present), None))


def judge(ground: Ground) -> IsAllowed:
    """What advises no place that breaks or brings anything, loses the lead's own device, or may not fit it.

    As a mend does, a move lands on a bar, a post or a panel; a lead may stay where it lies.
    """
    landings: dict[tuple[str, str], Landing] = {}

    def is_allowed(held: Lead, to: tuple[str, str], length_m: Metre | None) -> bool:
        landing = landings.setdefault((held.part, held.terminal), Landing(ground, held))
        stays = held.tap is not None and to == (held.tap.part, held.tap.terminal)
        if not (stays or isinstance(ground.parts[to[0]], Busbar | Post | Panel)):
            return False
        landed, known_a = landing.at(to, length_m), landing.present_device_a
        fits = landed.is_judged or (
            known_a is not None and landed.device_a is not None and landed.device_a <= known_a
        )
        return fits and not (landed.breaks or landed.faults or landed.loses)

    return is_allowed


def _landed(landing: Landing, tap: TapAnswer, terminal: TerminalRef) -> Landed:
    return landing.at((terminal.part, terminal.terminal), tap.length_m)


def _judged(landing: Landing, tap: TapAnswer, before: TapAnswer | None, present: Landed | None) -> TapAnswer:
    landed = _landed(landing, tap, tap.terminal)
    alike = tuple(
        one
        for one in tap.same_as
        if landing.breaks_at((one.part, one.terminal), tap.length_m) == landed.breaks
    )
    breaks = tuple(dict.fromkeys((*tap.breaks, *landed.breaks)))
    faults = landed.faults & {"device-above-conductor", "unprotected"}
    return replace(
        tap,
        same_as=tap.same_as if tap.present else alike,
        breaks=breaks,
        mark=_mark(replace(tap, breaks=breaks), before, landed, present),
        protected=tap.protected and not faults,
        device_a=landed.device_a,
        device_judged=landed.is_judged,
        loses=landed.loses,
        bank_monitored=landed.is_monitored,
    )


def _mark(tap: TapAnswer, before: TapAnswer | None, landed: Landed, present: Landed | None) -> Mark:
    """What clears a wiring finding clears it, whatever the volts, unless something comes to restart."""
    if tap.present:
        return tap.mark
    if tap.breaks:
        return "breaks"
    if before is None or present is None or landed.faults or not present.faults or not landed.is_judged:
        return tap.mark
    is_worse = VERDICT_ORDER[tap.verdict] > VERDICT_ORDER[before.verdict]
    still_restarts = VERDICT_ORDER[tap.verdict] > VERDICT_ORDER["limit-not-known"]
    if is_worse or still_restarts or tap.others.restarts_after > tap.others.restarts_before:
        return tap.mark
    return "clears"


def _order(tap: TapAnswer, present_a: Ampere | None) -> tuple[object, ...]:
    """Before all else: breaks nothing, fits as far as is known, verdict, others spared, clears.

    Of places that clear, the smallest device comes first; otherwise the order stays as the engine had it.
    """
    clears = tap.mark == "clears"
    return (
        bool(tap.breaks),
        not (tap.present or fits(tap, present_a)),
        VERDICT_ORDER[tap.verdict],
        tap.others.restarts_after,
        not clears,
        (tap.device_a or 0.0) if clears else 0.0,
    )
