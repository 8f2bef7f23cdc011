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
EVENTS = (
    ("1-sloop", "starting", "engine-start", True),
    ("4-outboard", "starting", "outboard-start", True),
    ("2-trawler", "at-anchor", "inverter-surge", False),
    ("2-trawler", "anchoring", "windlass-break-out", False),
    ("3-workboat", "working", "winch-lift", False),
)
"""The last ones, up to half a minute long, take the simulator ten seconds and more: what it printed then."""


@pytest.mark.parametrize(("name", "mode", "event", "is_live"), EVENTS)
def test_an_exported_event_prints_the_extremes_of_the_answer(
    name: str, mode: str, event: str, is_live: bool, tmp_path: Path
) -> None:
    boat = read_boat((SEED_BOATS / f"{name}.json").read_bytes())
    run = event_run(boat, mode, event)
    deck = event_deck(boat, mode, event)
    node = {name: node for node, name in re.findall(r"^\*   (at_\w+): (.*)$", deck, re.MULTILINE)}

    recorded = f"as-exported-{name}" if is_live else f"as-exported-{name}-{event}"
    printed = measured(recorded, deck, tmp_path, is_live=is_live)

    assert len(run.points) == len(node) - 1  # and the pressed motor
    for point in run.points:
        at = node[point.name]
        assert printed[f"lowest_{at}"] == pytest.approx(point.lowest.value, abs=LOW_V), point.name
        assert printed[f"highest_{at}"] == pytest.approx(point.highest.value, abs=HIGH_V), point.name


def measured(name: str, deck: str, folder: Path, *, is_live: bool = True) -> dict[str, float]:
    """What the simulator prints of a deck's measurements; without it, or not live, what it printed then."""
    program, path = simulator(), RECORDED / f"{name}.json"
    if not is_live and not os.environ.get("TAPCHART_RECORD"):
        program = None
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
