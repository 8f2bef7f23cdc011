"""What a person waits for: a lead picked up, a lead put down, the first page."""

import gzip
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from urllib.parse import urlencode
from urllib.request import Request, urlopen

from server.actions import answers, boats, changes, pick_ups, pictures
from server.actions.choices import Chosen
from server.actions.findings import found_at_once
from server.actions.yard import OpenBoat, Yard, open_boat, open_yard
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import MoveLead
from server.boat.value import TerminalRef
from tests.bench.boats import EVENT, MODE
from tests.bench.clock import Timed, timed

CHOSEN = Chosen(MODE, EVENT)


def _to(number: int) -> TerminalRef:
    """A stud of the first negative bus: spread out, as no stud takes more than four conductors."""
    return TerminalRef(part="minus-bus-0", terminal=f"stud-{7 + number % 12}")


@dataclass(frozen=True)
class ServerRow:
    """One pick-up and one put-down, in milliseconds; nothing is kept from before.

    A put-down counts from the request to the last byte of the answer, on a server of its own process with the
    load selected; "of it" are its larger actions by themselves, in this process.
    """

    conductors: int
    pick_up_ms: float
    taps: int
    put_down_ms: float
    late_ms: float
    of_it_edit_ms: float
    of_it_answer_ms: float
    of_it_findings_ms: float
    of_it_drawing_ms: float


def server_row(boat: Boat) -> ServerRow:
    """Pick up and put down leads of a boat, another one each time so that nothing is remembered."""
    with tempfile.TemporaryDirectory() as folder:
        yard = open_yard(Path(folder))
        boat_id = boats.take_in(yard, boat_bytes(boat), boats.fresh_request_id()).row.id
        option = changes.apply_edit(yard, boat_id, 1, _move(0), boats.fresh_request_id()).after.id
        leads = iter(range(1, sum(part.id.startswith("load-") for part in boat.parts)))
        picked = timed(lambda: _pick_up(yard, option, next(leads)), runs=3)
        steps: dict[str, Timed[object]] = {}
        timed(lambda: _put_down(yard, option, next(leads), steps), runs=3)
        rev = open_boat(yard, option).rev
        yard.store.close()
        puts = list(_puts_over_http(folder, option, rev, leads))
    last = {name: step.best_ms for name, step in steps.items()}
    return ServerRow(
        conductors=len(boat.conductors),
        pick_up_ms=picked.best_ms,
        taps=picked.result,
        put_down_ms=min(put for put, _ in puts) * 1e3,
        late_ms=min(late for _, late in puts) * 1e3,
        of_it_edit_ms=last["edit"],
        of_it_answer_ms=last["answer"],
        of_it_findings_ms=last["findings"],
        of_it_drawing_ms=last["drawing"],
    )


PUTS = 7


def _puts_over_http(
    folder: str, boat_id: str, rev: int, leads: Iterator[int]
) -> Iterator[tuple[float, float]]:
    """Seconds to each put-down's answer, and to the findings that follow it, on a server by itself."""
    with served(folder) as address:
        answered(f"{address}/boats/{boat_id}?mode={MODE}&event={EVENT}")
        for base, number in zip(range(rev, rev + PUTS), leads, strict=False):
            view = {"mode": MODE, "event": EVENT, "selected": f"load-{number}"}
            place = {"to_part": _to(number).part, "to_terminal": _to(number).terminal}
            stamp = {"revision": str(base), "request_id": boats.fresh_request_id()}
            fields = {"part": f"load-{number}", "terminal": "negative", **place, **view, **stamp}
            put_s = answered(f"{address}/boats/{boat_id}/put-down", 'id="diagram"', fields)
            late_s = answered(f"{address}/boats/{boat_id}/findings/rest?{urlencode(view)}", 'id="findings"')
            yield put_s, put_s + late_s


def _pick_up(yard: Yard, boat_id: str, number: int) -> int:
    opened = open_boat(yard, boat_id)
    return len(pick_ups.pick_up(yard, opened, f"load-{number}", "negative", CHOSEN).taps)


def _move(number: int) -> MoveLead:
    return MoveLead(part=f"load-{number}", terminal="negative", to=_to(number))


def _put_down(yard: Yard, boat_id: str, number: int, steps: dict[str, Timed[object]]) -> None:
    """Edit, answer, findings and drawing, as the page after a put-down needs them."""

    def step(name: str, work: Callable[[], object]) -> object:
        begun = time.perf_counter()
        result = work()
        took = time.perf_counter() - begun
        best = min(took, steps[name].best_s) if name in steps else took
        steps[name] = Timed(result, best, best)
        return result

    def edit() -> OpenBoat:
        rev = yard.store.head(boat_id).rev
        return changes.apply_edit(yard, boat_id, rev, _move(number), boats.fresh_request_id()).after

    opened = step("edit", edit)
    assert isinstance(opened, OpenBoat)
    step("answer", lambda: answers.shown_answer(yard, opened, CHOSEN))
    answer = answers.shown_answer(yard, opened, CHOSEN)
    step("findings", lambda: found_at_once(yard, opened.sha, opened.boat, MODE, EVENT))
    step("drawing", lambda: pictures.diagram(yard, opened, answer, event=EVENT, selected=None, earlier=None))


@dataclass(frozen=True)
class StartRow:
    """Seconds from the start of the process to a page."""

    first_ever_s: float
    first_page_s: float
    warm_page_s: float


def start_row() -> StartRow:
    """Serve the demo boats from an empty folder, then again from the same one."""
    with tempfile.TemporaryDirectory() as folder:
        first_ever, _ = _served(folder)
        first, warm = _served(folder)
    return StartRow(first_ever_s=first_ever, first_page_s=first, warm_page_s=warm)


def _served(folder: str) -> tuple[float, float]:
    begun = time.perf_counter()
    with served(folder) as address:
        _fetch(address)
        first = time.perf_counter() - begun
        again = time.perf_counter()
        _fetch(address)
        return first, time.perf_counter() - again


@contextmanager
def served(folder: str) -> Iterator[str]:
    """A server of its own process over a folder; gives its address."""
    command = [sys.executable, "-m", "tests.bench.serve", folder]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=os.environ) as process:
        assert process.stdout is not None
        try:
            yield process.stdout.readline().split()[3]
        finally:
            process.send_signal(signal.SIGINT)


def answered(url: str, expected: str = "", fields: Mapping[str, str] | None = None) -> float:
    """Seconds until fragments have come whole and hold what was expected; with fields they are sent."""
    origin = "/".join(url.split("/")[:3])
    headers = {"HX-Request": "true", "Origin": origin, "Accept-Encoding": "gzip"}
    body = None if fields is None else urlencode(fields).encode()
    began = perf_counter()
    with urlopen(Request(url, body, headers)) as answer:  # noqa: S310 - our own server
        text = answer.read()
    took = perf_counter() - began
    if answer.headers.get("Content-Encoding") == "gzip":
        text = gzip.decompress(text)
    assert expected in text.decode()
    return took


def _fetch(address: str) -> None:
    with urlopen(address) as answer:  # noqa: S310 - our own server
        assert answer.status == 200
        answer.read()
