"""Parts by the trade's words: what is asked about each when it is put in, and the part that comes of it."""

from server.boat.catalogue.entry import Answers, Entry, Made, Question
from server.boat.catalogue.loads import LOADS
from server.boat.catalogue.sources import SOURCES
from server.boat.catalogue.ways import WAYS

__all__ = ["CATALOGUE", "Answers", "Entry", "Made", "Question"]

CATALOGUE: dict[str, Entry] = {one.word: one for one in (*SOURCES, *WAYS, *LOADS)}
"""Every entry by its word, in the order they are offered."""
