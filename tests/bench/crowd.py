"""A class of 24 that picks up leads within one second, on a server that has shown them the boat."""

import statistics
import tempfile
from concurrent.futures import Future
from threading import Timer

from tests.bench.pages import answered, served

STUDENTS = 24
WITHIN_S = 1.0
EVENT = "mode=starting&event=engine-start"
LEADS = [
    (part, terminal)
    for part in ("autopilot", "plotter", "instruments", "vhf", "fridge", "engine-panel")
    for terminal in ("supply", "negative")
]


def crowd_p95_s() -> float:
    """The 95th percentile of the seconds that the students wait, on a server of its own process."""
    with tempfile.TemporaryDirectory() as folder, served(folder) as address:
        answered(f"{address}/boats/sloop?{EVENT}")
        return statistics.quantiles(crowd(address), n=20)[-1]


def crowd(address: str) -> list[float]:
    """Seconds each student waited; every answer came whole."""
    waiting: list[Future[float]] = [Future() for _ in range(STUDENTS)]
    for number, future in enumerate(waiting):
        part, terminal = LEADS[number % len(LEADS)]
        url = f"{address}/boats/sloop/pick-up?part={part}&terminal={terminal}&{EVENT}"
        Timer(number * WITHIN_S / STUDENTS, _student, (url, part, future)).start()
    return [future.result(timeout=60) for future in waiting]


def _student(url: str, part: str, future: Future[float]) -> None:
    try:
        future.set_result(answered(url, f'data-part="{part}"'))
    except (OSError, AssertionError) as error:
        future.set_exception(error)
