"""Foam layout: checked with shapely on the true outlines, not on the packer's own grid."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from silhouette.cutting.layout import TooNarrow, nest


def half_lens(width, height, hand, n=60):
    t = np.linspace(0, np.pi, n)
    return np.stack([hand * width * np.sin(t), height * np.cos(t) / 2], 1)


def four(front, back, height):
    return [
        ("left front", half_lens(front, height, -1)),
        ("left back", half_lens(back, height, 1)),
        ("right front", half_lens(front, height, 1)),
        ("right back", half_lens(back, height, -1)),
    ]


@settings(max_examples=25, deadline=None)
@given(
    front=st.floats(40, 180),
    back=st.floats(40, 220),
    height=st.floats(100, 420),
    width=st.floats(460, 1600),
    gap=st.floats(0, 12),
)
def test_every_piece_lies_on_the_sheet_and_none_overlaps(front, back, height, width, gap):
    pieces = four(front, back, height)
    layout = nest(pieces, width, gap=gap)
    assert [p.name for p in layout.placed] == [name for name, _ in pieces]
    laid = [shapely.Polygon(p.outline) for p in layout.placed]
    for k, one in enumerate(laid):
        assert all(one.distance(other) >= gap - 1e-9 for other in laid[:k])
        x0, y0, x1, y1 = one.bounds
        assert x0 >= gap / 2 - 1e-9 and y0 >= gap / 2 - 1e-9
        assert x1 <= width - gap / 2 + 1e-9 and y1 <= layout.length - gap / 2 + 1e-6
    assert sum(p.area for p in laid) == pytest.approx(layout.area)
    assert layout.waste == pytest.approx(1 - layout.area / layout.width / layout.length)


def test_pieces_are_turned_never_turned_over():
    """A rigid turn keeps the sense of the outline and every distance; a mirror image would not."""
    pieces = [("hook", np.array([[0, 0], [90, 0], [90, 20], [20, 20], [20, 150], [0, 150]], dtype=float))] * 3
    for placed in nest(pieces, 260).placed:
        original = pieces[0][1]
        assert shapely.LinearRing(placed.outline).is_ccw == shapely.LinearRing(original).is_ccw
        apart = [np.linalg.norm(p[:, None] - p[None], axis=-1) for p in (placed.outline, original)]
        assert np.abs(apart[0] - apart[1]).max() < 1e-9
        turn = np.radians(placed.turn)
        side = placed.outline[1] - placed.outline[0]
        assert side == pytest.approx([90 * np.cos(turn), 90 * np.sin(turn)], abs=1e-9)


def test_rectangles_that_fill_a_sheet_are_packed_without_much_waste():
    box = np.array([[0, 0], [196, 0], [196, 96], [0, 96]], dtype=float)
    layout = nest([(f"box {k}", box) for k in range(6)], 410, gap=2)
    assert layout.length < 340  # 3 rows of 2: 294 mm and the gaps
    assert layout.waste < 0.2


def test_cloth_pieces_are_not_turned_across():
    """Cloth stretches across: only half turns are allowed."""
    layout = nest(four(120, 150, 300), 900, turns=(0, 180))
    assert {p.turn for p in layout.placed} <= {0, 180}
    assert all(np.ptp(p.outline[:, 1]) > np.ptp(p.outline[:, 0]) for p in layout.placed)


def test_a_sheet_narrower_than_a_piece_names_the_widest():
    with pytest.raises(TooNarrow, match="left back") as caught:
        nest(four(120, 150, 300), 140)
    assert caught.value.needed > 150
    assert nest(four(120, 150, 300), caught.value.needed).length > 0
