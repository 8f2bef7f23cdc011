"""The demo boats."""

from functools import cache
from pathlib import Path

from server.boat.boat import Boat
from server.boat.document import read_boat

FOLDER = Path(__file__).parents[2] / "seed_boats"
DEMO_BOATS = ("1-sloop", "2-trawler", "3-workboat", "4-outboard", "5-large-yacht")


@cache
def demo_boat(name: str) -> Boat:
    """A demo boat by the name of its file."""
    return read_boat((FOLDER / f"{name}.json").read_bytes())
