"""Pads drafted flat: the outline where it was asked to be, distances from the bevelled edge against shapely."""

import math

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from silhouette.asked.pads import Pads
from silhouette.shape.draft import INSIDE, ROWS, flat_pads, free_edge, profile_height

HIP, END = 203.0, 286.0


def edge_of(reach=127.0, end=END, points=None, **pads):
    return free_edge(reach, HIP, Pads(**pads), end, points)


@pytest.mark.parametrize("fullness", [0.0, 0.3, 0.5, 0.8, 1.0])
@pytest.mark.parametrize(("reach", "start", "end"), [(101.6, 38.1, 286.0), (240.0, 0.0, 400.0), (25.0, 150.0, 240.0)])
def test_outline_runs_through_start_reach_and_end(fullness, reach, start, end):
    edge = edge_of(reach, end, start=start, fullness=fullness)
    assert edge.shape == (ROWS, 2)
    assert edge[0] == pytest.approx([0, start], abs=1e-9)
    assert edge[-1] == pytest.approx([0, end], abs=1e-9)
    at_hip = int(np.argmin(np.abs(edge[:, 1] - HIP)))
    assert edge[at_hip] == pytest.approx([reach, HIP], abs=1e-9)
    assert edge[:, 0].max() == pytest.approx(reach) and np.all(np.diff(edge[:, 1]) > 0)


def test_at_half_fullness_each_half_is_a_half_ellipse():
    """Equation of the ellipse: (distance / reach)² + ((drop − hip) / height)² = 1."""
    edge = edge_of(start=38.1, fullness=0.5)
    height = np.where(edge[:, 1] < HIP, HIP - 38.1, END - HIP)
    assert (edge[:, 0] / 127) ** 2 + ((edge[:, 1] - HIP) / height) ** 2 == pytest.approx(np.ones(ROWS))


def test_fuller_is_larger_and_the_half_below_has_a_fullness_of_its_own():
    def area(**pads):
        return Polygon(edge_of(**pads)).area

    areas = [area(fullness=f) for f in (0, 0.25, 0.5, 0.75, 1)]
    assert np.all(np.diff(areas) > 500)
    assert area(fullness=0.5) == pytest.approx(math.pi / 4 * 127 * (END - 38.1), rel=2e-3)  # half an ellipse
    mixed = edge_of(fullness=0.2, fullness_below=0.9)
    upper, lower = edge_of(fullness=0.2), edge_of(fullness=0.9)
    above = mixed[:, 1] <= HIP
    assert mixed[above] == pytest.approx(upper[above]) and mixed[~above] == pytest.approx(lower[~above])


@pytest.mark.parametrize("fullness", [0.0, 0.5, 1.0])
def test_no_sharp_point_away_from_the_seam(fullness):
    """No sharp point (common practice, no source): drawn ever finer, the turn at any one place dies away."""
    worst = []
    for rows in (801, 3201):
        run = np.diff(free_edge(127.0, HIP, Pads(fullness=fullness), END, None, rows=rows), axis=0)
        worst.append(np.degrees(np.abs(np.diff(np.arctan2(run[:, 0], run[:, 1])))[1:-1].max()))
    assert worst[0] < 15 and worst[1] < 0.7 * worst[0]


def test_points_are_honoured_and_round_off_between():
    points = ((0.0, 40.0), (90.0, 120.0), (120.0, 210.0), (60.0, 280.0), (0.0, 310.0))
    edge = free_edge(127.0, HIP, Pads(), END, points, rows=2001)
    line = LineString(edge)
    assert max(line.distance(Point(p)) for p in points) < 0.05
    assert edge[:, 0].max() == pytest.approx(120, abs=1e-3), "the monotone cubic does not overshoot the widest point"
    assert np.all(np.diff(edge[:, 1]) > 0) and edge[[0, -1], 0].tolist() == [0, 0]


@pytest.mark.parametrize(
    ("profile", "heights"),
    [
        ("straight", [0, 0.25, 0.5, 0.75, 1]),
        ("rounded", [0, math.sin(math.pi / 8), math.sqrt(0.5), math.sin(3 * math.pi / 8), 1]),
        ("feathered", [0, 0.15625, 0.5, 0.84375, 1]),
    ],
)
def test_bevel_profiles(profile, heights):
    """A straight line, a quarter of a sine and a smoothstep: exact values; flat beyond the bevel."""
    assert profile_height(profile, np.linspace(0, 1, 5)) == pytest.approx(heights)
    assert profile_height(profile, np.array([-1.0, 1.5, 9.0])).tolist() == [0, 1, 1]
    fine = profile_height(profile, np.linspace(0, 1, 500))
    assert np.all(np.diff(fine) > 0)


@pytest.mark.parametrize(("width", "angle"), [(40, 26.57), (60, 18.43)])
def test_bevel_slope_of_20_mm_foam(width, angle):
    """Slope of a straight bevel, computed: t 20 over 40 and 60 mm."""
    rise = 20 * profile_height("straight", np.array([1 / width]))[0]
    assert math.degrees(math.atan(rise)) == pytest.approx(angle, abs=0.005)


FRONT = edge_of(127.0)
BACK = edge_of(220.0, fullness=0.8)


def region(front, back):
    """The pair as shapely sees it, the same corner points; a pad alone is rounded off as if it had a mate."""
    halves = [front if front is not None else back, back if back is not None else front]
    front, back = (e * [s, 1] for e, s in zip(halves, (1, -1), strict=True))
    return Polygon(np.concatenate([front[:-1], back[:0:-1]]))


@pytest.mark.parametrize("bevel", [0.0, 12.0, 38.1, 90.0])
@pytest.mark.parametrize(("front", "back"), [(FRONT, BACK), (FRONT, None), (None, BACK)])
def test_distances_from_the_bevelled_edge_are_shapelys(front, back, bevel):
    """Reference library: shapely distances to the boundary of the drafted pair, counted up to the bevel."""
    edge = region(front, back).exterior
    alone = front is None or back is None
    for flat, sign in zip(flat_pads((front, back), bevel), (1, -1), strict=True):
        if flat is None:
            continue
        places = np.stack([sign * flat.distance, flat.drop], axis=-1)[1:-1, 1:-1].reshape(-1, 2)
        true = np.minimum([edge.distance(Point(p)) for p in places], bevel)
        if alone and bevel > 0:  # nothing is sewn to its seam edge: the height of that bevel multiplies in
            true = true * np.minimum(np.abs(places[:, 0]) / bevel, 1.0)
        assert np.abs(flat.edge[1:-1, 1:-1].ravel() - true).max() < 1e-6 + 1e-6 * bevel


@pytest.mark.parametrize("bevel", [0.0, 12.0, 38.1, 90.0, 200.0])
def test_grid_follows_seam_and_free_edge_and_fills_the_pad(bevel):
    for flat, drafted in zip(flat_pads((FRONT, BACK), bevel), (FRONT, BACK), strict=True):
        assert flat is not None
        assert flat.outline is drafted
        assert np.abs(flat.distance[:, -1] - drafted[:, 0]).max() < 1e-9
        assert np.abs(flat.drop[:, -1] - drafted[:, 1]).max() < 1e-9
        assert np.abs(flat.distance[:, 0]).max() == 0
        assert np.abs(flat.distance[[0, -1]]).max() < 1e-9, "first and last row run along the seam"
        a = np.stack([flat.distance, flat.drop], axis=-1)
        p, q, r, s = a[:-1, :-1], a[1:, :-1], a[1:, 1:], a[:-1, 1:]
        diagonals = (r - p)[..., 0] * (s - q)[..., 1] - (r - p)[..., 1] * (s - q)[..., 0]
        assert abs(diagonals.sum()) / 2 == pytest.approx(Polygon(drafted).area, rel=1e-9)
        over = diagonals * np.sign(diagonals.sum())
        folded = 0.0 if bevel <= 45 else 0.005  # a bevel wider than the pad has room for presses the grid together
        assert -over[over < -1e-6].sum() <= folded * over.sum()


def test_bevel_line_is_a_line_of_the_grid():
    front, _ = flat_pads((FRONT, BACK), 30.0)
    assert front is not None
    middle = front.edge[8:-8, INSIDE]
    assert np.abs(middle - 30).max() < 0.5
    seam = front.edge[:, 0]
    assert seam[ROWS // 2] == pytest.approx(30.0) and seam[0] == pytest.approx(30, abs=1)
