"""The one-dimensional pieces against scipy: monotone cubic, cubic spline, look-up in rows."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline, PchipInterpolator

from silhouette.shape.curves import CubicThrough, along, columns_at, monotone


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


@settings(max_examples=60, deadline=None)
@given(st.integers(4, 12), st.integers(0, 2**31))
def test_cubic_through_is_scipys_spline_to_rounding(count, seed):
    """Reference library: scipy.interpolate.CubicSpline, not-a-knot."""
    rng = np.random.default_rng(seed)
    x, y = np.cumsum(rng.uniform(0.5, 3, count)), rng.normal(0, 10, (count, 3))
    at = np.linspace(x[0], x[-1], 61)
    operator = CubicThrough(x)
    assert operator(at) @ y == pytest.approx(CubicSpline(x, y)(at), abs=1e-7)
    assert operator([x[0] - 5, x[-1] + 5]) @ y == pytest.approx(y[[0, -1]], abs=1e-9)


def test_along_a_square():
    square = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=float)
    assert along(square).tolist() == [0, 10, 20, 30]


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
