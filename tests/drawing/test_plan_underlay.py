"""A drawing under the plan: two points of it come to lie where they were said to be."""

import hypothesis.strategies as st
import pytest
from hypothesis import given

from server.boat.underlay import Fix, Underlay
from server.drawing.plan_underlay import Backdrop, similarity
from tests.boat.test_laws import LAW

PICTURE = Backdrop("/boats/b/photo-files/0", 800.0, 400.0)
shares = st.floats(0, 0.4)
metres = st.floats(1, 300)


def laid(matrix: tuple[float, ...], x: float, y: float) -> tuple[float, float]:
    """SVG 2, 8.5: matrix(a b c d e f) takes (x, y) to (ax + cy + e, bx + dy + f)."""
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


@LAW
@given(shares, shares, metres, metres, metres)
def test_both_points_lie_on_their_places_and_nothing_is_sheared(
    x: float, y: float, left: float, top: float, apart: float
) -> None:
    underlay = Underlay(
        photo="p",
        first=Fix(x=x, y=y, from_bow_m=1.0),
        second=Fix(x=1 - x, y=1 - y, from_bow_m=5.0),
    )
    places = ((left, top), (left + apart, top + apart / 3))
    matrix = similarity(PICTURE, underlay, places)

    for fix, place in ((underlay.first, places[0]), (underlay.second, places[1])):
        at = laid(matrix, fix.x * PICTURE.width, fix.y * PICTURE.height)
        assert at == pytest.approx(place, abs=1e-6 * (1 + apart))
    assert matrix[0] == matrix[3]
    assert matrix[1] == -matrix[2]
