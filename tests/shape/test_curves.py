"""The one-dimensional pieces against scipy: monotone cubic, elliptic integral, look-up in rows."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from scipy.special import ellipe

from silhouette.shape.curves import along, columns_at, monotone, perimeter
from silhouette.shape.sections import arc_angles, section, unit_girth


@st.composite
def courses(draw):
    """Ascending x (N,) and y (N, 2) with rises, falls and level stretches."""
    rng = np.random.default_rng(draw(st.integers(0, 2**31)))
    count = draw(st.integers(2, 9))
    steps = rng.choice([-80.0, -3.0, 0.0, 0.0, 0.5, 40.0], (count, 2)) * rng.uniform(0.1, 3, (count, 2))
    return np.cumsum(rng.uniform(0.5, 200, count)), np.cumsum(steps, axis=0)


@settings(max_examples=100, deadline=None)
@given(courses())
def test_monotone_is_scipys_pchip_to_rounding(course):
    """Reference library: scipy.interpolate.PchipInterpolator (Fritsch and Butland 1984)."""
    x, y = course
    at = np.linspace(x[0], x[-1], 57)
    wanted = PchipInterpolator(x, y)(at)
    assert monotone(x, y, at) == pytest.approx(wanted, abs=1e-12 * (1 + np.abs(y).max()), rel=1e-12)
    assert monotone(x, y[:, 0], at).shape == at.shape


@settings(max_examples=100, deadline=None)
@given(courses())
def test_monotone_never_overshoots_and_is_flat_beyond_the_ends(course):
    x, y = course[0], course[1][:, 0]
    at = np.linspace(x[0], x[-1], 101)
    seen = monotone(x, y, at)
    piece = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    dust = 1e-9 * (1 + np.abs(y).max())
    assert np.all(seen >= np.minimum(y[piece], y[piece + 1]) - dust)
    assert np.all(seen <= np.maximum(y[piece], y[piece + 1]) + dust)
    assert monotone(x, y, [x[0] - 10, x[-1] + 10]).tolist() == pytest.approx([y[0], y[-1]])


def whole_turn(points: int) -> np.ndarray:
    return np.linspace(0.0, 2 * np.pi, points, endpoint=False)


@pytest.mark.parametrize(("a", "b"), [(180, 120), (120, 180), (100, 100), (300, 60)])
def test_section_of_exponent_two_is_an_ellipse(a, b):
    """Perimeter by the complete elliptic integral: scipy.special.ellipe; equation x²/a² + y²/b² = 1."""
    half = section(arc_angles(4001), 2 * a, 2 * b, 0.5, 2.0)[0]
    assert (half[:, 0] / a) ** 2 + (half[:, 1] / b) ** 2 == pytest.approx(np.ones(4001), abs=1e-12)
    long, short = max(a, b), min(a, b)
    assert 2 * along(half)[-1] == pytest.approx(4 * long * ellipe(1 - (short / long) ** 2), rel=1e-6)


def test_ellipse_180_by_120_has_the_tabled_perimeter():
    """951.926375 mm: complete elliptic integral, computed."""
    curve = section(whole_turn(20000), 360, 240, 0.5, 2.0)[0]
    assert perimeter(curve) == pytest.approx(951.926375, abs=1e-4)


def test_section_keeps_its_breadth_depth_and_front_share():
    half = section(arc_angles(97), 350, 230, 0.47, 2.3)[0]
    assert half[:, 0].max() == pytest.approx(175)
    assert half[0] == pytest.approx([0, 230 * 0.47], abs=1e-9)
    assert half[-1] == pytest.approx([0, -230 * 0.53], abs=1e-9)
    inside = np.abs(half[:, 0] / 175) ** 2.3 + np.abs(half[:, 1] / np.where(half[:, 1] > 0, 108.1, 121.9)) ** 2.3
    assert inside == pytest.approx(np.ones(97), abs=1e-9)


def test_a_squarer_section_has_a_longer_tape_and_all_are_convex():
    lengths = []
    for exponent in (2.0, 2.2, 2.4, 2.6):
        curve = section(whole_turn(720), 350, 230, 0.47, exponent)[0]
        run = np.roll(curve, -1, axis=0) - curve
        turn = run[:, 0] * np.roll(run, -1, axis=0)[:, 1] - run[:, 1] * np.roll(run, -1, axis=0)[:, 0]
        assert np.all(turn < 1e-6)
        lengths.append(perimeter(curve))
    assert np.all(np.diff(lengths) > 1)


def test_unit_girth_scales_with_the_breadth():
    half = section(arc_angles(97), 350, 350 * 0.66, 0.47, 2.3)[0]
    assert 2 * along(half)[-1] == pytest.approx(350 * unit_girth(0.66, "hip"), rel=1e-12)


def test_along_and_perimeter_of_a_square():
    square = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=float)
    assert along(square).tolist() == [0, 10, 20, 30]
    assert perimeter(square) == 40
    assert perimeter(np.stack([square, 2 * square])).tolist() == [40, 80]


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 6), st.integers(2, 12), st.integers(0, 2**31))
def test_columns_at_finds_what_a_search_row_by_row_finds(rows, columns, seed):
    """Against numpy.interp on each row alone."""
    rng = np.random.default_rng(seed)
    table = np.cumsum(rng.uniform(0.1, 50, (rows, columns)), axis=1) - rng.uniform(0, 300, (rows, 1))
    row = rng.integers(0, rows, 40)
    wanted = rng.uniform(table.min() - 5, table.max() + 5, 40)
    index, share = columns_at(table, row, wanted)
    places = np.array([np.interp(w, table[r], np.arange(columns)) for r, w in zip(row, wanted, strict=True)])
    assert index + share == pytest.approx(places, abs=1e-9)
