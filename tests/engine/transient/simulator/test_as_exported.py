"""A deck as a person exports it runs as it is, and prints the extremes that the event's answer gives."""

import json
import os
import re
import subprocess
from pathlib import Path

import pytest

from server.boat.document import read_boat
from server.engine.transient.event_run import event_run
from server.papers.event_deck import event_deck
from tests.engine.simulator.opinion import fingerprint
from tests.engine.simulator.run import simulator
from tests.engine.transient.simulator.events import SEED_BOATS
from tests.engine.transient.simulator.opinion import RECORDED
from tests.engine.transient.simulator.run import SECONDS

LOW_V, HIGH_V = 0.001, 0.005
EVENTS = (("1-sloop", "starting", "engine-start"), ("4-outboard", "starting", "outboard-start"))


@pytest.mark.parametrize(("name", "mode", "event"), EVENTS)
def test_an_exported_event_prints_the_extremes_of_the_answer(
    name: str, mode: str, event: str, tmp_path: Path
) -> None:
    boat = read_boat((SEED_BOATS / f"{name}.json").read_bytes())
    run = event_run(boat, mode, event)
    deck = event_deck(boat, mode, event)
    node = {name: node for node, name in re.findall(r"^\*   (at_\w+): (.*)$", deck, re.MULTILINE)}

    printed = measured(f"as-exported-{name}", deck, tmp_path)

    assert len(run.points) == len(node) - 1  # and the pressed motor
    for point in run.points:
        at = node[point.name]
        assert printed[f"lowest_{at}"] == pytest.approx(point.lowest.value, abs=LOW_V), point.name
        assert printed[f"highest_{at}"] == pytest.approx(point.highest.value, abs=HIGH_V), point.name


def measured(name: str, deck: str, folder: Path) -> dict[str, float]:
    """What the simulator prints of a deck's measurements; without it, what it printed of the same deck."""
    program, path = simulator(), RECORDED / f"{name}.json"
    if program is not None:
        source = folder / "deck.cir"
        source.write_text(deck)
        ran = subprocess.run(
            [program, "-b", str(source)], capture_output=True, text=True, timeout=SECONDS, check=False
        )
        found = re.findall(r"^(\w+)\s*=\s+(\S+)", ran.stdout.split("Measurements")[-1], re.MULTILINE)
        assert ran.returncode == 0, ran.stderr[-1500:]
        printed = {key: float(value) for key, value in found}
        if os.environ.get("TAPCHART_RECORD"):
            path.write_text(json.dumps({"circuit": fingerprint(deck), "printed": printed}) + "\n")
    kept = json.loads(path.read_text())
    assert kept["circuit"] == fingerprint(deck), f"{name} changed: record it anew (TAPCHART_RECORD=1)"
    return printed if program is not None else dict(kept["printed"])
