"""The writing process is killed without warning, and nothing it had acknowledged is lost.

This proves the order of commit and answer, and that a broken-off commit leaves no half revision.
It says nothing about a power cut, where the kernel's cache dies too: only FULL synchronisation survives that.
"""

import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from server.store import Repository

from .writer import BOATS, append, body_of

KILLS = 10


def test_no_acknowledged_edit_is_lost_when_the_writer_is_killed(
    tmp_path: Path, open_store: Callable[[], Repository]
) -> None:
    chance = random.Random(2)
    store = open_store()
    for boat_id in BOATS:
        store.create(
            body=body_of(boat_id, 1), name="", role="working", author="", request_id=boat_id, boat_id=boat_id
        )
    store.close()
    acknowledged = dict.fromkeys(BOATS, 1)
    waiting = [start_writer(tmp_path / "data")]
    for kill in range(1, KILLS + 1):
        if kill < KILLS:
            waiting.append(start_writer(tmp_path / "data"))
        kill_amid_edits(waiting.pop(0), acknowledged, after_lines=chance.randint(1, 60))
        store = open_store()
        for boat_id, promised in acknowledged.items():
            head = store.boat(boat_id).head
            # The edit under way when the process died may have been done or not; asking again settles it.
            assert head in (promised, promised + 1)
            assert append(store, boat_id, promised + 1) == promised + 1
            acknowledged[boat_id] = promised + 1
        store.close()

    store = open_store()
    assert store.check().problems == ()
    assert sum(acknowledged.values()) > KILLS * len(BOATS)
    for boat_id, promised in acknowledged.items():
        assert store.boat(boat_id).head == promised
        assert all(
            store.revision(boat_id, rev).body == body_of(boat_id, rev) for rev in range(1, promised + 1)
        )


def start_writer(folder: Path) -> subprocess.Popen[str]:
    """A writer that has loaded its program, or soon will have, and waits for the word."""
    program = Path(__file__).with_name("writer.py")
    return subprocess.Popen(
        [sys.executable, str(program), str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )


def kill_amid_edits(writer: subprocess.Popen[str], acknowledged: dict[str, int], after_lines: int) -> None:
    """Let a writer acknowledge some edits, kill it in the midst of more, and note all it had said."""
    with writer:
        assert writer.stdin is not None
        assert writer.stdout is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
        said = [writer.stdout.readline() for _ in range(after_lines)]
        writer.kill()
        said += writer.stdout.readlines()
    for line in said:
        boat_id, rev = line.split()
        assert int(rev) == acknowledged[boat_id] + 1
        acknowledged[boat_id] = int(rev)
