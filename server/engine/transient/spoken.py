"""The circuit's rows in a message of the solver, said in the boat's own names."""

import re

from server.engine.naming import Names
from server.engine.transient.model import NOWHERE, BoatModel

_ROWS = re.compile(r"\b(draw|capacitor|branch|node)(?:s|es)? (\d+(?:, \d+)*(?: and \d+)?)")
_NUMBER = re.compile(r"\d+")


def spoken(text: str, model: BoatModel) -> str:
    """A message with names of loads and conductors in the place of “draws 3 and 5”."""
    return _ROWS.sub(lambda found: _named(found, model), text)


def _named(found: re.Match[str], model: BoatModel) -> str:
    kind, names = found[1], model.solution.names
    if kind == "node":
        return "a part of the wiring"
    rows = model.draw_rows if kind in {"draw", "capacitor"} else model.rows
    return _NUMBER.sub(lambda number: _element(int(number[0]), rows.tolist(), model, names), found[2])


def _element(number: int, rows: list[int], model: BoatModel, names: Names) -> str:
    row = rows[number] if number < len(rows) else NOWHERE
    return "the preheating" if row == NOWHERE else names.element(model.net.labels[row].element)
