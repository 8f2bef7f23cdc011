"""Devices in series: which of two opens first when the circuit behind the second is shorted."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding, Severity
from server.checks.feeds import Device
from server.checks.opening import rounded, span_words
from server.checks.shorts import Shorts, band_of
from server.engine.answer import ModeAnswer
from server.practice.time_current import Opening
from server.units import Ampere

COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Pair:
    """A device, the one that feeds it, and the lowest and highest fault behind both."""

    upstream: Device
    upstream_a: Ampere
    downstream: Device
    downstream_a: Ampere
    faults_a: tuple[Ampere, ...]

    def openings(self, fault_a: Ampere) -> tuple[Opening, Opening]:
        """When the upstream and the downstream device open at a fault that runs through both."""
        return (
            band_of(self.upstream).opening(fault_a / self.upstream_a),
            band_of(self.downstream).opening(fault_a / self.downstream_a),
        )

    @property
    def is_assumed(self) -> bool:
        """Whether the curve of one of them is assumed."""
        return band_of(self.upstream).is_assumed or band_of(self.downstream).is_assumed


def opening_out_of_turn(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Devices that open with or before the one behind them, so that more goes dark than was shorted.

    Two curves as entered decide. With an assumed one, only an upstream device that is not larger, or whose
    whole band lies before the other's, is told; the rest stands in what is not assessed.
    """
    for pair in _pairs(Shorts.of(boat, answer)):
        first = [amps for amps in pair.faults_a if _is_first(*pair.openings(amps))]
        unsure = [amps for amps in pair.faults_a if not _is_in_turn(*pair.openings(amps))]
        if first:
            yield _finding(pair, first[0], "cannot-tell" if pair.is_assumed else "advice")
        elif unsure and (not pair.is_assumed or pair.upstream_a <= pair.downstream_a):
            yield _finding(pair, unsure[0], "cannot-tell")


def _is_first(upstream: Opening, downstream: Opening) -> bool:
    return upstream.longest_s < downstream.shortest_s


def _is_in_turn(upstream: Opening, downstream: Opening) -> bool:
    return downstream.longest_s < upstream.shortest_s


def _pairs(shorts: Shorts) -> Iterator[Pair]:
    """Each device with the largest one that feeds it, both of known rating.

    Devices that feed either way lie between two sources, where no turn is asked for.
    """
    lowest: dict[int, Ampere] = {}
    for name, amps in shorts.lowest.items():
        piece = shorts.piece_of(shorts.wires[name])
        lowest[piece] = min(lowest.get(piece, amps), amps)
    turns = {(device.element, here, beyond) for device, here, beyond in shorts.feeds}
    both_ways = {name for name, here, beyond in turns if (name, beyond, here) in turns}
    for device, here, beyond in shorts.feeds:
        before = None if device.element in both_ways else shorts.fed.get(beyond)
        if before is not None and before.element in both_ways:
            continue
        if before is not None and before.rating_a and device.rating_a and here in lowest:
            highest = max(shorts.highest.get(end, 0.0) for end in (device.line, device.load))
            faults = tuple(amps for amps in (lowest[here], highest) if amps > device.rating_a)
            yield Pair(before, before.rating_a, device, device.rating_a, faults)


def _finding(pair: Pair, fault_a: Ampere, severity: Severity) -> Finding:
    upstream, downstream = pair.openings(fault_a)
    told = "opens first" if severity == "advice" else "may open first"
    look = "; look up the curves of both" if severity == "cannot-tell" else ""
    sources = dict.fromkeys((COMMON, band_of(pair.upstream).source, band_of(pair.downstream).source))
    return Finding(
        code="opens-out-of-turn",
        severity=severity,
        subjects=(pair.upstream.load[0], pair.upstream.element, pair.downstream.element),
        figure=Figure(value=fault_a, unit="A", basis="computed"),
        message=f"A short circuit of {rounded(fault_a)} A behind “{pair.downstream.name}” of "
        f"{pair.downstream_a:g} A also runs through “{pair.upstream.name}” of {pair.upstream_a:g} A, which "
        f"{told}, after {span_words(upstream)} against {span_words(downstream)}: all behind "
        f"it goes dark{look}.",
        source="; ".join(sources),
        source_status="memory" if pair.is_assumed else "common-practice",
    )
