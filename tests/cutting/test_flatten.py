"""Flattening against exact developments, closed-form bounds of the sphere and a reference library."""

from __future__ import annotations

import igl
import numpy as np
import pytest
from scipy.spatial import Delaunay

from silhouette.cutting.flatten import FoldOver, flatten, rim_of, turned_to


def sheet(points):
    """Triangles of an open grid (R, C, 3)."""
    rows, columns = points.shape[:2]
    n = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = n[:-1, :-1], n[1:, :-1], n[1:, 1:], n[:-1, 1:]
    triangles = np.concatenate([np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)])
    return points.reshape(-1, 3), triangles


def grid_triangles(rows, columns):
    """Triangles of a grid whose first and last row are one point each: vertex numbers (R, C) and (M, 3)."""
    index = np.empty((rows, columns), dtype=np.int64)
    index[0] = 0
    index[1:-1] = 1 + np.arange((rows - 2) * columns).reshape(rows - 2, columns)
    index[-1] = 1 + (rows - 2) * columns
    a, b = index[:-1, :-1], index[1:, :-1]
    c, d = index[1:, 1:], index[:-1, 1:]
    # The diagonal alternates: a patch that is a mirror image of itself should flatten to one too.
    even = (np.indices(a.shape).sum(axis=0) % 2).astype(bool)
    first = np.where(even[..., None], np.stack([a, b, c], -1), np.stack([a, b, d], -1))
    second = np.where(even[..., None], np.stack([a, c, d], -1), np.stack([b, c, d], -1))
    triangles = np.concatenate([first.reshape(-1, 3), second.reshape(-1, 3)])
    kept = (
        (triangles[:, 0] != triangles[:, 1])
        & (triangles[:, 1] != triangles[:, 2])
        & (triangles[:, 2] != triangles[:, 0])
    )
    return index, triangles[kept]


def lens(shape, rows=41, columns=17):
    """A pad-like patch (first and last row one point) put on a surface given by shape(across, down)."""
    t = np.linspace(0, np.pi, rows)[:, None]
    down = 140 * (1 - np.cos(t)) + np.zeros(columns)
    across = 130 * np.sin(t) * np.linspace(0, 1, columns)
    across[[0, -1]] = 0
    index, triangles = grid_triangles(rows, columns)
    surface = shape(across, down)
    vertices = np.empty((index.max() + 1, 3))
    vertices[index.ravel()] = surface.reshape(-1, 3)
    # columns run to the right and rows downward in (across, -down), so triangles are counter-clockwise there
    reference = np.empty((index.max() + 1, 2))
    reference[index.ravel()] = np.stack([across, -down], -1).reshape(-1, 2)
    return vertices, triangles, reference


def bulge(across, down):
    """Hip-like: round across (radius 150 to 190), round down (radius 400)."""
    r = 150 + 40 * np.sin(np.pi * down / 320)
    return np.stack([r * np.cos(across / 170), r * np.sin(across / 170), -down], -1)


def saddle(across, down):
    """Like the hollow at the side of the waist."""
    r = 160 - 12 * np.sin(np.pi * down / 280)
    return np.stack([r * np.cos(across / 160), r * np.sin(across / 160), -down], -1)


def seat(across, down):
    """A sphere-like seat, radius 230."""
    a, b = across / 230, (down - 140) / 230
    return 230 * np.stack([np.cos(a) * np.cos(b), np.sin(a) * np.cos(b), -np.sin(b)], -1)


PADS = [bulge, saddle, seat]


def areas(points, triangles):
    u, v = (
        points[triangles[:, 1]] - points[triangles[:, 0]],
        points[triangles[:, 2]] - points[triangles[:, 0]],
    )
    return (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2


def test_a_cylinder_unrolls_exactly():
    """Exact: a cylinder is developable; a quarter of radius 100 is 157.0796 mm wide (arc length)."""
    angle, height = np.meshgrid(np.linspace(0, np.pi / 2, 400), np.linspace(0, 80, 9))
    vertices, triangles = sheet(np.stack([100 * np.cos(angle), 100 * np.sin(angle), -height], -1))
    for rigid in (False, True):
        flat = flatten(vertices, triangles, rigid=rigid)
        assert flat.stretch.largest_length < 1e-6
        corners = flat.points.reshape(9, 400, 2)
        assert np.linalg.norm(corners[0, 0] - corners[0, -1]) == pytest.approx(50 * np.pi, rel=2e-6)
        assert np.linalg.norm(corners[0, 0] - corners[-1, -1]) == pytest.approx(np.hypot(50 * np.pi, 80), rel=2e-6)


def test_a_frustum_unrolls_to_its_sector():
    """Exact: R 110 to 160, H 200 unrolls to a sector of 87.313°, radii 453.542 / 659.697."""
    n = 721
    turn, along = np.meshgrid(np.linspace(0, 2 * np.pi, n), np.linspace(0, 1, 15))
    r = 110 + 50 * along
    vertices, triangles = sheet(np.stack([r * np.cos(turn), r * np.sin(turn), -200 * along], -1))
    flat = flatten(vertices, triangles)
    assert flat.stretch.largest_length < 1e-5
    grid = flat.points.reshape(15, n, 2)
    # Circle through the lower rim by linear least squares, then its radii and its angle.
    rim = grid[-1]
    a = np.column_stack([2 * rim, np.ones(n)])
    x, y, c = np.linalg.lstsq(a, (rim**2).sum(axis=1), rcond=None)[0]
    middle = np.array([x, y])
    assert np.sqrt(c + x * x + y * y) == pytest.approx(659.697, abs=0.02)
    assert np.linalg.norm(grid[0] - middle, axis=1).mean() == pytest.approx(453.542, abs=0.02)
    one, two = rim[0] - middle, rim[-1] - middle
    assert np.degrees(np.arccos(one @ two / np.linalg.norm(one) / np.linalg.norm(two))) == pytest.approx(
        87.313, abs=0.002
    )


def cap(degrees, radius=200.0, rings=24):
    half = np.radians(degrees)
    rounds = [np.zeros((1, 2))]
    for k in range(1, rings + 1):
        a = np.arange(6 * k) * 2 * np.pi / (6 * k)
        rounds.append(k / rings * np.stack([np.cos(a), np.sin(a)], -1))
    disc = np.concatenate(rounds)
    triangles = Delaunay(disc).simplices.astype(np.int64)
    size = areas(disc, triangles)
    triangles = np.where(size[:, None] < 0, triangles[:, ::-1], triangles)[np.abs(size) > 1e-9]
    r = np.hypot(*disc.T) * half
    a = np.arctan2(disc[:, 1], disc[:, 0])
    return radius * np.stack([np.sin(r) * np.cos(a), np.sin(r) * np.sin(a), np.cos(r)], -1), triangles


@pytest.mark.parametrize(
    ("degrees", "rim_strain", "scale_spread"),
    [(15, 0.0115, 1.0173), (20, 0.0206, 1.0311), (30, 0.0472, 1.0718), (45, 0.1107, 1.1716)],
)
def test_spherical_caps_keep_to_the_known_bounds(degrees, rim_strain, scale_spread):
    """Closed forms: equidistant rim strain θ/sin θ − 1; conformal scale spread 1/cos²(θ/2)."""
    vertices, triangles = cap(degrees)
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    solid = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    conformal = flatten(vertices, triangles, rigid=False)
    scale = np.sqrt(areas(conformal.points, triangles) / solid)
    assert scale.max() / scale.min() - 1 == pytest.approx(scale_spread - 1, rel=0.03)
    finished = flatten(vertices, triangles)
    scale = np.sqrt(areas(finished.points, triangles) / solid)
    assert scale.max() / scale.min() < scale_spread
    assert 0.3 * rim_strain < finished.stretch.largest_length < rim_strain
    assert finished.stretch.mean_length < conformal.stretch.mean_length


def _as_rigid_by_igl(vertices, triangles, start):
    data = igl.ARAPData()
    data.energy = igl.ARAPEnergyType.ARAP_ENERGY_TYPE_ELEMENTS
    data.max_iter = 200
    held = np.zeros(1, dtype=np.int32)
    igl.arap_precomputation(vertices, triangles, 2, held, data)
    return np.asarray(igl.arap_solve(np.array([start[0]]), data, np.array(start)))


@pytest.mark.parametrize("shape", PADS, ids=lambda f: f.__name__)
def test_agrees_with_the_reference_library(shape):
    """libigl (Jacobson, Panozzo et al.): its lscm and its planar as-rigid-as-possible solve, within 1 %."""
    vertices, triangles, _ = lens(shape)
    ours = flatten(vertices, triangles, rigid=False)
    rim = rim_of(triangles)
    held = np.array([rim[0], rim[len(rim) // 2]])
    theirs, _ = igl.lscm(vertices, triangles, held, ours.points[held])
    size = np.ptp(ours.points, axis=0).max()
    assert np.abs(theirs - ours.points).max() < 0.001 * size
    finished = flatten(vertices, triangles)
    reached = _as_rigid_by_igl(vertices, triangles, theirs)
    apart = turned_to(reached, finished.points) - finished.points
    assert np.linalg.norm(apart, axis=1).max() < 0.01 * size
    around = np.append(rim, rim[0])
    outline = [np.linalg.norm(np.diff(p[around], axis=0), axis=1).sum() for p in (finished.points, reached)]
    assert outline[0] == pytest.approx(outline[1], rel=0.01)
    assert areas(finished.points, triangles).sum() == pytest.approx(areas(reached, triangles).sum(), rel=0.01)


@pytest.mark.parametrize("shape", PADS, ids=lambda f: f.__name__)
def test_the_patch_is_laid_the_way_it_is_seen(shape):
    vertices, triangles, reference = lens(shape)
    flat = flatten(vertices, triangles)
    assert areas(flat.points, triangles).min() > 0
    laid = turned_to(flat.points, reference)
    assert np.linalg.norm(laid - reference, axis=1).max() < 25  # same place, same hand, not mirrored
    assert laid[:, 0].max() > 100


def test_a_seam_keeps_its_length():
    vertices, triangles, _ = lens(seat, rows=61)
    index, _ = grid_triangles(61, 17)
    seam = np.stack([index[:-1, 0], index[1:, 0]], -1)
    true = np.linalg.norm(vertices[seam[:, 0]] - vertices[seam[:, 1]], axis=1).sum()

    def laid(flat):
        return np.linalg.norm(flat.points[seam[:, 0]] - flat.points[seam[:, 1]], axis=1).sum()

    free, kept = flatten(vertices, triangles), flatten(vertices, triangles, seam)
    assert abs(laid(kept) - true) < 0.1 < abs(laid(free) - true)
    assert kept.stretch.largest_length < 2 * free.stretch.largest_length


def test_mirror_images_flatten_to_mirror_images():
    vertices, triangles, reference = lens(bulge)
    one = turned_to(flatten(vertices, triangles).points, reference)
    turned = flatten(vertices * [1, -1, 1], triangles)  # the same way round as seen from the other side
    two = turned_to(turned.points, reference)
    assert np.abs(one - two).max() < 1e-6


def test_a_patch_that_runs_over_itself_is_refused():
    """One and a half turns of a flat ring cannot lie in the plane without crossing."""
    turn, out = np.meshgrid(np.linspace(0, 3 * np.pi, 200), np.linspace(60, 100, 7))
    vertices, triangles = sheet(np.stack([out * np.cos(turn), out * np.sin(turn), turn * 2.0], -1))
    with pytest.raises(FoldOver, match="laid flat"):
        flatten(vertices, triangles)


def test_a_patch_with_a_hole_or_without_area_is_refused():
    turn, z = np.meshgrid(np.linspace(0, 2 * np.pi, 25)[:-1], [0.0, 50.0, 100.0])
    points = np.stack([100 * np.cos(turn), 100 * np.sin(turn), z], -1)
    vertices, triangles = sheet(np.concatenate([points, points[:, :1]], axis=1))
    number = np.arange(75).reshape(3, 25)
    number[:, -1] = number[:, 0]
    with pytest.raises(ValueError, match="hole"):
        flatten(vertices, number.ravel()[triangles])
    with pytest.raises(ValueError, match="area"):
        flatten(np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]]), np.array([[0, 1, 2]]))
