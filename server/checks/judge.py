"""All checks of one mode, worst first."""

from collections import deque
from collections.abc import Callable, Iterable

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.checks.backbones import backbone_drops
from server.checks.banks import packs_that_open, sources_alone, unlike_banks_now
from server.checks.charge_leads import charge_leads_that_feed
from server.checks.coils import coils_that_kick
from server.checks.crossings import fed_twice, feeds_that_may_meet, returns_through_heavy
from server.checks.events import brief_dips, event_findings, high_spikes, low_dips
from server.checks.faults import idle_devices, unknown_interrupting, weak_devices
from server.checks.feeders import shared_feeders
from server.checks.fit import conductors_too_thick, friction_joints, lugs_off_their_studs, voltage_ratings
from server.checks.happenings import parts_that_drop_out
from server.checks.installation import earth_links, metal_as_return, sparks_in_vapour, thin_conductors
from server.checks.interrupting import breakers_below_table
from server.checks.leads import lead_findings
from server.checks.links import links_pulled_apart
from server.checks.location import distant_devices
from server.checks.low_voltage import low_voltages
from server.checks.monitor import monitor_errors
from server.checks.one_lost import burning_in_its_place
from server.checks.opening import assumed_curves, burning_before_opening
from server.checks.outputs import modules_that_brown_out
from server.checks.panels import overloaded_panels, panels_below_load
from server.checks.paths import Paths
from server.checks.places import full_studs, repeated_names
from server.checks.protection import not_judged
from server.checks.ratings import overloaded_conductors, overloaded_parts
from server.checks.returns import devices_above_returns, negatives_below_feeders, returns_not_judged
from server.checks.runs import few_spare_ways, trunkings_too_full
from server.checks.series import opening_out_of_turn
from server.checks.starts import opening_for_nothing, stalled_motors
from server.checks.stray_starts import starts_beside_their_way
from server.checks.supply import drop_findings, state_findings, trouble_findings
from server.checks.supply_limits import charging_too_high, overdrawn_packs
from server.checks.switch_currents import cranking_through_switches, overloaded_switches
from server.checks.switch_rules import banks_without_switch, switches_below_feeders
from server.checks.turns import banks_joined, turns_that_lose
from server.checks.two_sources import (
    alternators_own_end,
    limits_not_stated,
    one_end_unprotected,
    sources_without_device,
)
from server.checks.way_round import turned_through_off
from server.checks.worse import SEVERITIES, is_worse
from server.engine.answer import BranchFlow, ModeAnswer

BOAT_CHECKS = (
    full_studs,
    repeated_names,
    distant_devices,
    weak_devices,
    thin_conductors,
    sparks_in_vapour,
    metal_as_return,
    earth_links,
    charging_too_high,
    banks_joined,
    turns_that_lose,
    turned_through_off,
    banks_without_switch,
    switches_below_feeders,
    panels_below_load,
    monitor_errors,
    voltage_ratings,
    conductors_too_thick,
    lugs_off_their_studs,
    backbone_drops,
    negatives_below_feeders,
    sources_without_device,
    one_end_unprotected,
    returns_through_heavy,
    breakers_below_table,
    alternators_own_end,
    coils_that_kick,
    trunkings_too_full,
    few_spare_ways,
)
EVENT_CHECKS = (
    event_findings,
    high_spikes,
    low_dips,
    brief_dips,
    modules_that_brown_out,
    links_pulled_apart,
    opening_for_nothing,
    parts_that_drop_out,
)
"""Those that judge by the events in time where these are known."""
MODE_CHECKS = (
    state_findings,
    drop_findings,
    trouble_findings,
    lead_findings,
    shared_feeders,
    overloaded_conductors,
    overloaded_parts,
    idle_devices,
    overdrawn_packs,
    burning_in_its_place,
    overloaded_switches,
    cranking_through_switches,
    overloaded_panels,
    unlike_banks_now,
    packs_that_open,
    low_voltages,
    sources_alone,
    friction_joints,
    burning_before_opening,
    stalled_motors,
    opening_out_of_turn,
    devices_above_returns,
    starts_beside_their_way,
    charge_leads_that_feed,
    fed_twice,
)
"""Those that the event in time changes nothing for."""


_FIRST = ("shorted", "cannot-run", "not-connected", "restarts", "device-above-conductor", "unprotected-lead")
"""Within one severity: what stops or burns comes first."""


def _rank(finding: Finding) -> tuple[int, int, str]:
    place = _FIRST.index(finding.code) if finding.code in _FIRST else len(_FIRST)
    return SEVERITIES.index(finding.severity), place, finding.id


def findings(boat: Boat, answer: ModeAnswer) -> tuple[Finding, ...]:
    """Everything found on the boat in the mode that was answered, worst first, each once."""
    found = [finding for check in EVENT_CHECKS for finding in check(boat, answer)]
    return merged([*found, *_mode_findings(boat, answer), *boat_findings(boat)])


LATE: frozenset[Callable[..., Iterable[Finding]]] = frozenset(
    {
        distant_devices,
        weak_devices,
        overloaded_conductors,
        overloaded_parts,
        idle_devices,
        charging_too_high,
        metal_as_return,
        burning_in_its_place,
        banks_joined,
        turns_that_lose,
        turned_through_off,
        banks_without_switch,
        switches_below_feeders,
        panels_below_load,
        monitor_errors,
        cranking_through_switches,
        burning_before_opening,
        opening_for_nothing,
        stalled_motors,
        opening_out_of_turn,
        devices_above_returns,
        starts_beside_their_way,
        charge_leads_that_feed,
        sources_without_device,
        one_end_unprotected,
        fed_twice,
        returns_through_heavy,
        breakers_below_table,
        sources_alone,
        alternators_own_end,
    }
)
"""Slower checks: a page is shown without their findings, which follow with those of the other modes."""


def findings_at_once(boat: Boat, answer: ModeAnswer) -> tuple[Finding, ...]:
    """The same without those of the slower checks."""
    checks = (*EVENT_CHECKS, *MODE_CHECKS)
    found = [finding for check in checks if check not in LATE for finding in check(boat, answer)]
    found += [finding for check in BOAT_CHECKS if check not in LATE for finding in check(boat)]
    return merged(found)


def boat_findings(boat: Boat) -> tuple[Finding, ...]:
    """What is found on the boat in whatever mode; for the same boat it is worked out once."""
    for known, found in tuple(_RECENT):
        if known is boat:
            return found
    found = tuple(finding for check in BOAT_CHECKS for finding in check(boat))
    _RECENT.append((boat, found))
    return found


def _mode_findings(boat: Boat, answer: ModeAnswer) -> tuple[Finding, ...]:
    """What the events in time change nothing for: an answer keeps its flows when they are laid over it."""
    for known, mode, flows, found in tuple(_RECENT_MODES):
        if known is boat and mode == answer.mode and flows is answer.flows:
            return found
    found = tuple(finding for check in MODE_CHECKS for finding in check(boat, answer))
    _RECENT_MODES.append((boat, answer.mode, answer.flows, found))
    return found


_RECENT_MODES: deque[tuple[Boat, str, tuple[BranchFlow, ...], tuple[Finding, ...]]] = deque(maxlen=16)
_RECENT: deque[tuple[Boat, tuple[Finding, ...]]] = deque(maxlen=8)
"""Boats still held by someone: a frozen boat has only one answer, so this changes none."""


def wiring_findings(boat: Boat, answer: ModeAnswer) -> tuple[Finding, ...]:
    """What follows from the wiring alone, without any voltage: for asking what a move would bring."""
    return merged([*lead_findings(boat, answer), *full_studs(boat)])


def not_assessed(boat: Boat) -> tuple[str, ...]:
    """What the checks leave open for want of a published table or of something nobody stated."""
    unjudged = not_judged(boat, Paths(boat, boat.modes[0])) if boat.modes else ()
    return (
        *unjudged,
        *returns_not_judged(boat),
        *unknown_interrupting(boat),
        *assumed_curves(boat),
        *feeds_that_may_meet(boat),
        *limits_not_stated(boat),
    )


def merged(found: "list[Finding] | tuple[Finding, ...]") -> tuple[Finding, ...]:
    """Findings in order of severity; the same finding from several modes counts once, at its worst."""
    unique: dict[str, Finding] = {}
    for finding in found:
        known = unique.get(finding.id)
        if known is None or is_worse(finding, known):
            unique[finding.id] = finding
    return tuple(sorted(unique.values(), key=_rank))
