"""Check a boat file: everything worked out about it, as one published object or as tables for a terminal."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from server.actions import in_time
from server.actions.answer_document import (
    AnswerDocument,
    FindingResult,
    LoadResult,
    ModeResult,
    answer_document,
)
from server.actions.findings import not_assessed
from server.actions.mending import all_mended
from server.actions.results import Results
from server.actions.words import STATES, VERDICTS
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.events import events_of
from server.practice.office_text import read_office_table

CAUTION = (
    "A planning aid: the full text of the standards, local codes and licensed practice decide. "
    "Stop the engine and take the negative off every battery before any work."
)


@dataclass(frozen=True)
class Checked:
    """A boat with everything worked out about it."""

    boat: Boat
    document: AnswerDocument

    @property
    def is_clean(self) -> bool:
        """Whether nothing was found in what was entered but what somebody lets stand."""
        return all(one.accepted is not None for one in self.document.findings)


def check(body: bytes, ampacity: str | None = None) -> Checked:
    """Work out all modes and events of a boat file, by an office's own ampacity table where one is given.

    Raises:
        DocumentError: the file is no boat; every problem is placed and explained.
        OfficeTextError: the table is none; every problem is placed and explained.
    """
    boat = read_boat(body)
    if ampacity is not None:
        practice = boat.practice.model_copy(update={"ampacity_table": read_office_table(ampacity)})
        boat = boat.model_copy(update={"practice": practice})
    results, sha = Results(), hashlib.sha256(body).hexdigest()
    solved = [in_time.whole_answer(results, sha, boat, mode.id) for mode in boat.modes]
    found, left_open = all_mended(results, sha, boat), not_assessed(results, sha, boat)
    not_in_time = {one.mode: in_time.not_in_time(results, sha, one) for one in solved}
    return Checked(boat, answer_document(boat, solved, found, left_open, not_in_time))


def report(checked: Checked) -> str:
    """Loads of every mode, findings, assumptions and what was not assessed, for a terminal."""
    return "\n".join(_lines(checked)) + "\n"


def _lines(checked: Checked) -> Iterator[str]:
    document = checked.document
    yield document.boat
    yield "=" * len(document.boat)
    if not document.modes:
        yield "No mode is described, so nothing was worked out."
    for mode in document.modes:
        yield from _mode_lines(checked.boat, mode)
    yield ""
    open_ones = [one for one in document.findings if one.accepted is None]
    yield f"Findings ({len(open_ones)})"
    for one in open_ones:
        yield from _finding_lines(one)
        for mend in one.mends:
            yield f"      mend: {mend.label}"
            yield from (f"        {number}. {step.what}" for number, step in enumerate(mend.steps, 1))
    if not open_ones:
        yield "  Nothing was found in what was entered."
    yield from _accepted_lines(document.findings)
    yield ""
    yield f"Assumed ({len(document.assumptions)})"
    rows = [
        (
            one.title,
            one.subject or "",
            with_unit(one.value, one.unit),
            f"{one.low:g} to {one.high:g}",
            one.source,
        )
        for one in document.assumptions
    ]
    yield from _table(("what", "of", "value", "range", "source"), rows)
    yield ""
    yield f"Not assessed ({len(document.not_assessed)})"
    yield from (f"  {text}" for text in document.not_assessed)
    yield ""
    yield CAUTION


def _finding_lines(one: FindingResult) -> Iterator[str]:
    yield f"  {one.severity}: {one.message}"
    yield f"      {one.code}; {one.source}{_status(one.source_status)}"


def _accepted_lines(found: Sequence[FindingResult]) -> Iterator[str]:
    """What a surveyor lets stand, apart; dangers among it are not hidden."""
    accepted = [(one, one.accepted) for one in found if one.accepted is not None]
    if not accepted:
        return
    yield ""
    yield f"Accepted ({len(accepted)})"
    for one, by in accepted:
        yield from _finding_lines(one)
        yield f"      accepted by {by.by}: {by.reason}"


def with_unit(value: float, unit: str) -> str:
    """A plain figure; a ratio has no unit to show."""
    return f"{value:g}" if unit == "1" else f"{value:g} {unit}"


def _status(status: str) -> str:
    return " (from memory, confirm)" if status == "memory" else ""


def _mode_lines(boat: Boat, mode: ModeResult) -> Iterator[str]:
    yield ""
    yield f"{mode.name}"
    yield from (f"  left out: {text}" for text in mode.troubles)
    names = {event.id: event.name for event in events_of(boat)}
    rows = [row for load in mode.loads for row in _load_rows(load, names)]
    heads = ("load", "steady", "current", "drop", "event", "lowest", "highest", "needs", "verdict")
    yield from _table(heads, rows)
    yield from (f"  first instant only: {text}" for text in mode.not_in_time)


def _load_rows(load: LoadResult, events: dict[str, str]) -> Iterator[tuple[str, ...]]:
    if not load.on and not load.events:
        return
    drop = "" if load.drop is None else f"{load.drop.judged_fraction:.1%}"
    steady = (load.name, _figure(load.voltage_v, ".2f", "V"), _figure(load.current_a, ".1f", "A"), drop)
    if not load.events:
        yield (*steady, "", "", "", "", STATES[load.state])
    for number, seen in enumerate(load.events):
        first = steady if number == 0 else ("", "", "", "")
        need = "?" if seen.need_v is None else f"{seen.need_v:.1f} V{' assumed' if seen.need_assumed else ''}"
        lowest, highest = f"{seen.lowest_v.value:.1f} V", _figure(seen.highest_v, ".1f", "V")
        spare = "" if seen.margin_v is None else f", {seen.margin_v:+.1f} V"
        basis = "" if seen.basis == "in-time" else ", at the first instant"
        verdict = f"{VERDICTS[seen.verdict]}{spare}{basis}"
        yield (*first, events[seen.event], lowest, highest, need, verdict)


def _figure(value: float | None, form: str, unit: str) -> str:
    return "" if value is None else f"{value:{form}} {unit}"


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Columns as wide as their widest cell."""
    if not rows:
        return
    widths = [max(len(row[n]) for row in (heads, *rows)) for n in range(len(heads))]
    for row in (heads, tuple("-" * width for width in widths), *rows):
        yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
