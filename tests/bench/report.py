"""All measurements, beside what was aimed at."""

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass

from tests.bench.boats import boat_of_conductors, boat_of_loads
from tests.bench.checks import CHECKED, ChecksRow, checks_growth, checks_row
from tests.bench.crowd import STUDENTS, crowd_p95_s
from tests.bench.edits import MANY_EDITS, EditMemoryRow, EditRow, edit_memory_row, edit_row
from tests.bench.events import (
    FLAT_EVENTS,
    BandsRow,
    EventRow,
    MemoryRow,
    TapsRow,
    bands_row,
    event_growth,
    event_rows,
    memory_row,
    taps_row,
)
from tests.bench.following import FollowingRow, following_row
from tests.bench.imports import AIM_S, ImportRow, import_rows
from tests.bench.moves import MovesResult, attribution_error_v, moves_result
from tests.bench.operating import SIZES, OperatingRow, growth_exponent, operating_rows
from tests.bench.own_leads import LARGEST, OwnLeadsRow, own_leads_rows
from tests.bench.pages import ServerRow, StartRow, server_row, start_row

LARGEST_AIMED_AT = 200
"""Conductors of the largest boat whose event has an aim."""
HELD_LEADS = (
    ("1-sloop", "starting", "engine-start", ("autopilot", "supply")),
    ("2-trawler", "starting", "engine-start", ("autopilot", "supply")),
)


@dataclass(frozen=True)
class BenchResult:
    """Everything measured in one run."""

    operating: list[OperatingRow]
    growth: float | None
    moves: MovesResult
    attribution_v: float
    events: list[EventRow]
    event_growth: float | None
    bands: list[BandsRow]
    taps: list[TapsRow]
    checks: list[ChecksRow]
    checks_growth: float | None
    memory: MemoryRow
    edit: EditRow
    edit_memory: EditMemoryRow
    following: FollowingRow
    server: list[ServerRow]
    own_leads: list[OwnLeadsRow]
    start: StartRow | None
    crowd_p95_s: float
    imports: list[ImportRow]


@dataclass(frozen=True)
class Line:
    """One figure with its aim; ``met`` is None where there is no aim or nothing was measured."""

    what: str
    figure: str
    aim: str = ""
    met: bool | None = None


def run(*, smallest: bool = False) -> BenchResult:
    """Measure; ``smallest`` measures only the smallest of everything and starts the server once."""
    rows = list(operating_rows(SIZES[:1] if smallest else SIZES))
    events = list(event_rows((50,)) if smallest else event_rows())
    checks = [checks_row(size) for size in ((50,) if smallest else CHECKED)]
    return BenchResult(
        operating=rows,
        growth=None if smallest else growth_exponent(rows),
        moves=moves_result(boat_of_loads(12 if smallest else 60), compared=20 if smallest else 200),
        attribution_v=attribution_error_v(boat_of_conductors(50 if smallest else 200)),
        events=events,
        event_growth=None if smallest else event_growth(events),
        bands=[bands_row(size) for size in ((50,) if smallest else (50, 200))],
        taps=[taps_row(*one) for one in (HELD_LEADS[:1] if smallest else HELD_LEADS)],
        checks=checks,
        checks_growth=None if smallest else checks_growth(checks),
        memory=memory_row(20 if smallest else FLAT_EVENTS),
        edit=edit_row(boat_of_conductors(50 if smallest else 1000)),
        edit_memory=edit_memory_row(boat_of_conductors(50), 5 if smallest else MANY_EDITS),
        following=following_row(boat_of_conductors(50 if smallest else 1000)),
        server=[server_row(boat_of_conductors(size)) for size in ((50,) if smallest else (200, 1000))],
        own_leads=list(own_leads_rows(LARGEST[:1] if smallest else LARGEST)),
        start=None if smallest else start_row(),
        crowd_p95_s=crowd_p95_s(),
        imports=list(import_rows(smallest=smallest)),
    )


def lines(result: BenchResult) -> Iterator[Line]:
    """The table's lines."""
    for row in result.operating:
        yield from _operating(row)
    if result.growth is not None:
        within = result.growth <= 1.15
        yield Line("growth exponent, objects to voltages", f"{result.growth:.2f}", "about 1", within)
    yield from _moves(result.moves)
    yield _at_most("largest |sum of shares - sag|", result.attribution_v, 1e-10, "V", ".1e")
    for event in result.events:
        yield from _event(event)
    if result.event_growth is not None:
        cubic = result.event_growth <= 3.0
        yield Line("growth exponent of an event, by states", f"{result.event_growth:.2f}", "at most 3", cubic)
    for bands in result.bands:
        at = f"{bands.conductors} conductors: bands with {bands.draws} draws"
        yield _at_most(at, bands.took_s, 2.0, "s")
    for taps in result.taps:
        at = f"{taps.boat}, {taps.event}: at each of {taps.places} places of a lead"
        yield _at_most(at, taps.took_s, 1.0, "s")
    for checks in result.checks:
        yield from _checks(checks)
    if result.checks_growth is not None:
        linear = result.checks_growth <= 1.2
        yield Line("growth exponent of all checks", f"{result.checks_growth:.2f}", "about 1", linear)
    yield _at_most(
        f"memory grown by {result.memory.events} events", result.memory.grown_mib, 2.0, "MiB", ".1f"
    )
    yield from _edit(result.edit)
    grown = result.edit_memory.grown_mib
    yield _at_most(f"memory grown by {result.edit_memory.edits} edits", grown, 2.0, "MiB", ".1f")
    yield from _following(result.following)
    for server in result.server:
        yield from _server(server)
    for own in result.own_leads:
        at = f"{own.boat}: pick-up of {own.leads} leads of heavy loads and converters, slowest"
        yield _at_most(at, own.slowest_ms, 50.0, "ms", ".0f")
        yield Line(f"  {own.slowest}; the middle one", f"{own.median_ms:.0f} ms")
    yield _at_most(f"{STUDENTS} pick-ups within a second, p95", result.crowd_p95_s, 0.6, "s")
    yield from _imports(result.imports)
    if result.start is not None:
        yield _at_most("first page, empty data folder", result.start.first_ever_s, 2.0, "s")
        yield _at_most("first page, cold", result.start.first_page_s, 2.0, "s")
        yield _at_most("first page, warm", result.start.warm_page_s, 1.0, "s")


def _imports(rows: list[ImportRow]) -> Iterator[Line]:
    for row in rows:
        yield _at_most(f"{row.what}: the slowest of {row.files}", row.took_s, AIM_S, "s")
        if row.slowest:
            yield Line("  which is", row.slowest)


def _operating(row: OperatingRow) -> Iterator[Line]:
    at = f"{row.conductors} conductors ({row.nodes} nodes)"
    aims = {200: 1.0, 5000: 10.0}
    aim = next((ms for size, ms in aims.items() if abs(row.conductors - size) < size / 20), None)
    yield _at_most(f"{at}: objects to voltages, boat known", row.objects_to_voltages_ms, aim, "ms")
    yield Line("  of it the network", f"{row.objects_to_network_ms:.2f} ms")
    yield Line("  of it the solution", f"{row.network_to_voltages_ms:.2f} ms")
    yield Line("  in factorisations with one solution", f"{row.factorisations:.1f}")
    yield _at_most("  the same after an edit of one conductor", row.edited_voltages_ms, aim, "ms")
    yield _at_most("  the same for a boat just read", row.first_voltages_ms, aim, "ms")
    yield Line("    of it the network", f"{row.first_network_ms:.2f} ms")
    yield Line("    document to objects with its columns, besides", f"{row.document_to_objects_ms:.2f} ms")
    read = row.document_to_objects_ms + row.first_voltages_ms
    yield Line("    document to voltages: both", f"{read:.2f} ms")
    yield _faster("  against the simulator's process", row.faster_than_simulator)
    yield _faster("  the same for a boat just read", row.first_faster_than_simulator)
    if row.difference is not None:
        yield _at_most("  difference from the simulator", row.difference, 1e-6, "", ".1e")


def _faster(what: str, times: float | None) -> Line:
    if times is None:
        return Line(what, "not installed")
    return Line(what, f"{times:.1f} times faster", "10 times", times >= 10)


def _moves(moves: MovesResult) -> Iterator[Line]:
    yield _at_most(f"all {moves.moves} moves of {moves.loads} loads", moves.all_moves_ms, 20.0, "ms")
    for what, ratio, each_ms in (
        (
            "a moved network solved in full, arrays to voltages",
            moves.times_a_network_each,
            moves.network_each_ms,
        ),
        ("the edit and the boat it makes, objects to voltages", moves.times_an_edit_each, moves.edit_each_ms),
    ):
        yield Line(f"  times faster than, each: {what}", f"{ratio:.0f}", "600", ratio >= 600)
        yield Line("    which takes", f"{each_ms:.2f} ms")
    yield _at_most(f"  worst of {moves.compared} compared", moves.worst_relative_difference, 1e-9, "", ".1e")
    yield Line("  solved in full", str(moves.solved_in_full))


def _event(row: EventRow) -> Iterator[Line]:
    at = f"{row.conductors} conductors ({row.states} states)"
    aim_ms = 50.0 if row.conductors <= LARGEST_AIMED_AT else None
    yield _at_most(f"{at}: event, {row.loads} loads", row.whole_ms, aim_ms, "ms", ".1f")
    yield Line("  of it the solution", f"{row.solution_ms:.1f} ms")
    yield Line("  solution and waveforms of all loads instead", f"{row.waveforms_ms:.1f} ms")
    yield Line("  in dense eigenvalue problems of that size", f"{row.decompositions:.1f}")
    times = row.faster_than_simulator
    if row.simulated is not None and times is not None:
        faster = f"{times:.0f} times faster"
        yield Line("    against the simulator's run", faster, "40 times", times >= 40)
        yield _at_most("    difference from it", row.simulated.difference_v * 1e3, 1.0, "mV", ".3f")


def _checks(row: ChecksRow) -> Iterator[Line]:
    at = f"{row.conductors} conductors: all checks of a mode, boat just read"
    yield _at_most(at, row.checks_ms, 1000.0, "ms", ".0f")
    yield Line("  in operating points of that boat", f"{row.operating_points:.0f}")
    yield Line(f"  of it {row.slowest}", f"{row.slowest_ms:.0f} ms")


def _edit(row: EditRow) -> Iterator[Line]:
    at = f"{row.conductors} conductors: an edit to its picture, in solutions of that boat"
    yield _at_most(at, row.solves, 120.0, "", ".0f")
    yield Line("  which takes", f"{row.edit_to_picture_ms:.0f} ms")
    yield Line("  of it the edit", f"{row.of_it_edit_ms:.0f} ms")


def _following(row: FollowingRow) -> Iterator[Line]:
    at = f"{row.conductors} conductors, {row.routed} of them along runs"
    yield _at_most(f"{at}: a waypoint moved, in solutions of that boat", row.waypoint_solves, 40.0, "", ".0f")
    yield Line("  which takes", f"{row.waypoint_ms:.0f} ms")
    yield _at_most("  a part moved, in solutions of that boat", row.part_solves, 40.0, "", ".0f")
    yield Line("  which takes", f"{row.part_ms:.0f} ms")


def _server(row: ServerRow) -> Iterator[Line]:
    at = f"{row.conductors} conductors"
    yield _at_most(f"{at}: pick-up, {row.taps} taps", row.pick_up_ms, 50.0, "ms", ".0f")
    yield _at_most(f"{at}: put-down, over HTTP", row.put_down_ms, 150.0, "ms", ".0f")
    yield _at_most("  with all that follows", row.late_ms, 1000.0, "ms", ".0f")
    for name, took in (
        ("edit", row.of_it_edit_ms),
        ("answer", row.of_it_answer_ms),
        ("findings", row.of_it_findings_ms),
        ("drawing", row.of_it_drawing_ms),
    ):
        yield Line(f"  of it {name}", f"{took:.0f} ms")


def _at_most(what: str, figure: float, aim: float | None, unit: str, form: str = ".2f") -> Line:
    shown = f"{figure:{form}} {unit}".strip()
    if aim is None:
        return Line(what, shown)
    return Line(what, shown, f"at most {aim:g} {unit}".strip(), figure <= aim)


def table(result: BenchResult) -> str:
    """The lines in columns."""
    words = {None: "", True: "met", False: "MISSED"}
    rows = [(line.what, line.figure, line.aim, words[line.met]) for line in lines(result)]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )


def to_json(result: BenchResult) -> str:
    """Every figure, and every line of the table with whether its aim was met."""
    return json.dumps({**asdict(result), "table": [asdict(line) for line in lines(result)]}, indent=1) + "\n"
