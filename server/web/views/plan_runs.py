"""Runs typed or pasted as a list: one a line, from where to where, how long."""

import re

from server.actions.plan_edits import RunTold, runs_edit
from server.boat.boat import Boat
from server.boat.edits import AnyEdit
from server.web.forms import Wrong, number
from server.web.views.plan_typed import LONGEST_M, LONGEST_NAME, Answers

RUNS_ASKED = "Runs, one a line: from; to; length in m; up and down in m"
MOST_RUNS_TYPED = 300
_APART = re.compile(r"\s*[;\t]\s*")
_PLACES, _FIGURES = 2, 2


def run_list_edit(boat: Boat, told: Answers) -> AnyEdit | None:
    """The runs that were typed; what is wrong is told with the number of its line."""
    lines = [
        (line_number, line)
        for line_number, line in enumerate(told.typed.get("lines", "").splitlines(), start=1)
        if line.strip()
    ]
    if not lines or len(lines) > MOST_RUNS_TYPED:
        told.errors["lines"] = f"Enter 1 to {MOST_RUNS_TYPED} runs, one a line."
        return None
    found: list[RunTold] = []
    for line_number, line in lines:
        run = _run(line)
        if isinstance(run, Wrong):
            told.errors["lines"] = f"Line {line_number}: {run.message}"
            return None
        found.append(run)
    return runs_edit(boat, found)


def _run(line: str) -> RunTold | Wrong:
    cells = _APART.split(line.strip().rstrip(";").rstrip())
    places, figures = [" ".join(name.split()) for name in cells[:_PLACES]], cells[_PLACES:]
    if len(places) < _PLACES or len(figures) > _FIGURES:
        return Wrong("Enter from; to; length, with semicolons between, for example Panel; Mast; 4.5.")
    if any(not name or len(name) > LONGEST_NAME or not name.isprintable() for name in places):
        return Wrong(f"Enter two names of 1 to {LONGEST_NAME} characters.")
    if len({name.casefold() for name in places}) < _PLACES:
        return Wrong("A run joins two waypoints: enter another one.")
    metres = [_metres(cell) for cell in figures]
    wrong = next((one for one in metres if isinstance(one, Wrong)), None)
    if wrong is not None:
        return wrong
    length_m, drop_m = (*(one for one in metres if not isinstance(one, Wrong)), None, None)[:_FIGURES]
    return RunTold(places[0], places[1], length_m or None, drop_m or None)


def _metres(cell: str) -> float | Wrong | None:
    if not cell:
        return None
    found = number(cell, "m", "4.5", at_most=LONGEST_M, above=-LONGEST_M)
    return Wrong("Enter 0 m or more.") if isinstance(found, float) and found < 0 else found
