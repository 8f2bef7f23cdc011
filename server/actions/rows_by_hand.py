"""The rows of the picture in an order chosen by hand: one up, one down, or as the picture orders them."""

from typing import Literal

from server.boat.boat import Boat
from server.boat.edits import EditError, SetRowOrder

Way = Literal["up", "down", "own"]
WAYS: tuple[Way, ...] = ("up", "down", "own")


def row_edit(boat: Boat, mode: str | None, part: str, way: Way) -> SetRowOrder:
    """One step for one row within its block of rows; ``own`` gives all rows back to the picture.

    Raises:
        EditError: the part has no row, or none to change places with.
    """
    from server.drawing.reading import read_circuit
    from server.drawing.row_order import row_blocks

    if way == "own":
        return SetRowOrder()
    blocks = [block for block in row_blocks(read_circuit(boat, mode).rungs) if part in block]
    if not blocks:
        raise EditError("part", "it has no row of its own in the picture.", "Choose a load or a source.")
    block = list(blocks[0])
    here = block.index(part)
    there = here + (1 if way == "down" else -1)
    if not 0 <= there < len(block):
        raise EditError("part", "it is the last of its rows on that side.", "Rows stay with their voltage.")
    block[here], block[there] = block[there], block[here]
    others = tuple(one for one in boat.row_order if one not in block)
    return SetRowOrder(parts=(*others, *block))
