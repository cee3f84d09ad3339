"""40 sampled women of another seed than the table was learnt from (``tests/learn_shape``, seed 2026)."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from silhouette.shape.body import Body
from silhouette.shape.dimensions import Measures
from silhouette.shape.learnt import COLUMNS, INNER_COLUMNS, Sections, _columns, arcs_at, normalised, split
from tests.learn_shape.fit import measures_of_outlines


@cache
def unseen_women() -> list[tuple[Measures, np.ndarray]]:
    """Measures and taut outlines, mm."""
    with np.load(Path(__file__).with_name("unseen_women.npz")) as held:
        names = [str(n) for n in held["names"]]
        women = [dict(zip(names, map(float, row), strict=True)) for row in held["measured"]]
        outlines = held["outlines"] / 20
    return [(measures_of_outlines(one), flat) for one, flat in zip(women, outlines, strict=True)]


def arcs_of(m: Measures, flat: np.ndarray, body: Body) -> tuple[np.ndarray, np.ndarray]:
    """Her outer (L, K, 2) and inner (M, J, 2) arcs at the levels of a body of her measures."""
    trunk, outer, inner = split(flat)
    across, inside = _columns(COLUMNS, 97), _columns(INNER_COLUMNS, 49)
    level = normalised(body.drops, m.hip_drop, m.crotch_drop, m.knee_drop)
    return arcs_at(Sections(across @ trunk, across @ outer, inside @ inner), level, body.crotch)
