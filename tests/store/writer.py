"""A program to be killed: three threads that edit a boat each and say aloud what was acknowledged.

Run with the data folder; waits for a line, then prints `boat revision` after each acknowledged edit,
one write call a line.
"""

import os
import random
import sys
import threading
from itertools import count
from pathlib import Path

from server.store import Repository

BOATS = ("b0", "b1", "b2")


def body_of(boat_id: str, rev: int) -> bytes:
    """What a boat's revision holds; different for each, and not to be compressed into one database page."""
    return random.Random(f"{boat_id} {rev}").randbytes(6_000)


def append(store: Repository, boat_id: str, rev: int) -> int:
    """Ask for the edit that makes this revision, always under the same request id."""
    made = store.append(
        boat_id,
        rev - 1,
        body=body_of(boat_id, rev),
        edit="{}",
        label="",
        author="",
        request_id=f"{boat_id} {rev}",
        request_sha=f"{rev}",
    )
    return made.rev


def write_for_ever(store: Repository, boat_id: str) -> None:
    """Edit one boat until killed."""
    for rev in count(store.boat(boat_id).head + 1):
        os.write(sys.stdout.fileno(), f"{boat_id} {append(store, boat_id, rev)}\n".encode())


if __name__ == "__main__":
    sys.stdin.readline()
    opened = Repository.open(Path(sys.argv[1]), reserve_bytes=0)
    for boat in BOATS:
        threading.Thread(target=write_for_ever, args=[opened, boat]).start()
