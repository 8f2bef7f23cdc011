"""The demo boats and their key, read once."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from server.boat.boat import Boat
from server.boat.document import read_boat

FOLDER = Path(__file__).parents[2] / "seed_boats"
NAMES = ("1-sloop", "2-trawler", "3-workboat", "4-outboard", "5-large-yacht")
WITHOUT_FAULTS = ("4-outboard", "5-large-yacht")


@cache
def body(name: str) -> bytes:
    """The bytes of a demo boat's file."""
    return (FOLDER / f"{name}.json").read_bytes()


@cache
def demo(name: str) -> Boat:
    """A demo boat."""
    return read_boat(body(name))


@cache
def key() -> dict[str, Any]:
    """What is planted where, apart from what a student opens."""
    read: dict[str, Any] = json.loads(Path(__file__).with_name("key.json").read_text(encoding="utf-8"))
    return read


def planted(name: str) -> set[str]:
    """The ids that a boat's planted faults touch."""
    return {subject for fault in key()[name]["faults"] for subject in fault["subjects"]}
