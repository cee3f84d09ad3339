"""The tape: exact formulas, published curves of constant width, hulls of other libraries, sections of the files."""

import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull
from scipy.special import ellipe
from shapely import MultiPoint, Point, box

from silhouette.shape.cuts import at_levels
from silhouette.shape.solids import body_solid, pad_solid
from silhouette.shape.support import DIRECTIONS, girth_of, support, support_of_pair
from silhouette.shape.tape import leg_girth, tape_over, tape_round
from silhouette.shown.models import from_gltf, glb
from tests.clients import CLIENTS, PADDED, body, figure, ring
from tests.loaded_meshes import scene_of

FINE = 1440  #: directions for the exact formulas


def circle(radius, x=0.0, y=0.0, count=1920):
    turn = np.arange(count) * 2 * np.pi / count
    return np.stack([x + radius * np.cos(turn), y + radius * np.sin(turn)], axis=-1)


def tape(points, count=FINE):
    return float(girth_of(support(points, count)))


def wrapped(curve, t):
    """A convex closed curve (N, 2) wrapped all round by t: the curve and its outward offset, corners rounded."""
    run = np.roll(curve, -1, axis=0) - curve
    out = np.stack([run[:, 1], -run[:, 0]], axis=-1)
    if (curve[:, 0] * np.roll(curve[:, 1], -1) - np.roll(curve[:, 0], -1) * curve[:, 1]).sum() < 0:
        out = -out
    out = t * out / np.linalg.norm(out, axis=-1, keepdims=True)
    round_corner = curve + t * (out + np.roll(out, 1, axis=0)) / np.linalg.norm(
        out + np.roll(out, 1, axis=0), axis=-1, keepdims=True
    )
    return np.concatenate([curve + out, np.roll(curve, -1, axis=0) + out, round_corner])


def ellipse(a, b, count=1920):
    turn = np.arange(count) * 2 * np.pi / count
    return np.stack([a * np.cos(turn), b * np.sin(turn)], axis=-1)


CURVES = {
    "circle": circle(160.0),
    "ellipse": ellipse(180.0, 120.0),
    "the body's own hip": ring(body(CLIENTS["average"]), int(np.argmin(np.abs(body(CLIENTS["average"]).drops - 203)))),
}


@pytest.mark.parametrize("t", [6, 10, 12, 15, 20, 25, 30])
@pytest.mark.parametrize("name", CURVES)
def test_steiner_a_full_wrap_gains_two_pi_t(name, t):
    """Steiner's formula (Federer, Geometric Measure Theory, 1969); 0.01 % of the girth."""
    before = tape(CURVES[name])
    after = tape(wrapped(CURVES[name], t))
    assert after - before == pytest.approx(2 * np.pi * t, abs=1e-4 * before)


def test_ellipse_180_by_120():
    """Complete elliptic integral, scipy.special.ellipe; 951.926375 tabled, wrapped by 10, 20, 30 mm below it."""
    assert 4 * 180 * ellipe(1 - (120 / 180) ** 2) == pytest.approx(951.926375, abs=1e-6)
    assert tape(ellipse(180, 120)) == pytest.approx(951.926375, rel=1e-6)
    for t, girth in ((10, 1014.7582), (20, 1077.5901), (30, 1140.4219)):
        assert tape(wrapped(ellipse(180, 120), t)) == pytest.approx(girth, abs=0.002)


@pytest.mark.parametrize(("big", "small", "apart", "girth"), [(6, 1, 13, 49.93905977), (21, 6, 30, 152.4925)])
def test_belt_round_two_circles(big, small, apart, girth):
    """Handbook belt formula: π(R+r) + 2(R−r)·asin((R−r)/C) + 2√(C²−(R−r)²)."""
    formula = (
        np.pi * (big + small)
        + 2 * (big - small) * np.arcsin((big - small) / apart)
        + 2 * np.sqrt(apart**2 - (big - small) ** 2)
    )
    assert formula == pytest.approx(girth, abs=5e-5)
    assert tape(np.concatenate([circle(big), circle(small, apart)])) == pytest.approx(formula, rel=1e-6)


def test_two_touching_thighs():
    """Two circles of girth 616.1 mm that touch: 616.1 + 2 diameters = 1008.32 mm; computed."""
    radius = 616.1 / (2 * np.pi)
    both = np.concatenate([circle(radius, -radius), circle(radius, radius)])
    assert tape(both) == pytest.approx(1008.32, abs=0.01)
    assert girth_of(support_of_pair(circle(radius, radius), FINE)) == pytest.approx(1008.32, abs=0.01)


def test_stadium():
    """Straight 100, radius 50: 514.1593; computed."""
    assert tape(np.concatenate([circle(50, -50), circle(50, 50)])) == pytest.approx(514.1593, abs=0.001)


@pytest.mark.parametrize(("t", "gain"), [(20, 60.07), (10, 26.86)])
def test_circle_with_two_side_pads(t, gain):
    """Circle R 162.5, each pad ±40° of which 15° bevel: surface 1083.33, tape 1081.09 at t 20; computed."""
    turn = np.linspace(-np.pi, np.pi, 14401)
    off = np.minimum(np.abs(turn), np.pi - np.abs(turn))
    height = t * np.clip((np.radians(40) - off) / np.radians(15), 0, 1)
    radius = 162.5 + height
    curve = np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=-1)
    if t == 20:
        surface = np.linalg.norm(np.diff(curve, axis=0), axis=-1).sum()
        assert surface == pytest.approx(1083.33, abs=0.01)
        assert tape(curve) == pytest.approx(1081.09, abs=0.01)
    assert tape(curve) - 2 * np.pi * 162.5 == pytest.approx(gain, abs=0.01)


def test_barbier_constant_width_means_girth_pi_times_width():
    """Barbier's theorem (Encyclopedia of Mathematics) on the Reuleaux triangle of width 100."""
    corners = 100 / np.sqrt(3) * np.array([[np.cos(a), np.sin(a)] for a in np.radians([90, 210, 330])])
    reach = np.concatenate(
        [
            c + 100 * np.array([[np.cos(a), np.sin(a)] for a in np.linspace(s, s + np.pi / 3, 2000)])
            for c, s in zip(corners, np.radians([240, 0, 120]), strict=True)
        ]
    )
    h = support(reach, FINE)
    assert h + np.roll(h, FINE // 2) == pytest.approx(np.full(FINE, 100.0), abs=1e-4)
    assert girth_of(h) == pytest.approx(np.pi * 100, abs=1e-3)


def test_support_of_points_boxes_and_hollows_against_shapely():
    """Reference library: shapely hulls. The tape bridges hollows and does not see what lies inside."""
    rng = np.random.default_rng(5)
    for _ in range(10):
        points = rng.normal(size=(200, 2)) * [180, 120]
        hull = MultiPoint(points).convex_hull.exterior.length
        assert tape(points) == pytest.approx(hull, rel=2e-6)
    dented = Point(0, 0).buffer(100, quad_segs=256).difference(box(-20, 0, 20, 200))
    assert tape(np.array(dented.exterior.coords)) == pytest.approx(dented.convex_hull.exterior.length, rel=1e-5)


def test_the_usual_directions_are_enough_for_a_body():
    """Cauchy's integral over the usual directions against the hull itself: below 0.3 mm at every level."""
    for asked in CLIENTS.values():
        made = body(asked)
        few = tape_round(made)
        for row in range(0, len(made.drops), 8):
            hull = ConvexHull(made.outer[:, row, :, :2].reshape(-1, 2)).area
            assert few.girth[row] == pytest.approx(hull, abs=0.3)


def exported(solids):
    """What a stranger reads from our GLB: trimesh meshes in mm, inside axes."""
    scene = scene_of(glb(solids))
    found = {}
    for name in scene.graph.nodes_geometry:
        matrix, geometry = scene.graph[name]
        mesh = scene.geometry[geometry].copy()
        mesh.apply_transform(matrix)
        found[name] = trimesh.Trimesh(from_gltf(mesh.vertices), mesh.faces, process=False)
    return [found[solid.name] for solid in solids]


def section_points(meshes, drop):
    """Points (N, 2) of a horizontal section by trimesh."""
    there = [mesh for mesh in meshes if mesh.bounds[0, 2] <= -drop <= mesh.bounds[1, 2]]
    lines = [trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, -drop]) for mesh in there]
    return np.concatenate([np.empty((0, 2, 3)), *lines]).reshape(-1, 3)[:, :2]


def fifty_levels(drops):
    """50 of the levels of a body, spread evenly; the plane is held off the vertices by a hair."""
    return drops[np.unique(np.linspace(1, len(drops) - 2, 50).astype(int))]


@pytest.mark.parametrize("name", PADDED)
def test_girths_are_those_of_the_exported_file(name):
    """trimesh sections of the exported GLB, hulls by scipy and shapely, 50 levels, body and padded: 0.3 mm."""
    seen = figure(PADDED[name])
    solids = [body_solid(seen.body), *(pad_solid(pad) for pad in seen.pads)]
    meshes = exported(solids)
    levels = fifty_levels(seen.body.drops)
    assert len(levels) == 50
    for number, drop in enumerate(levels + 1e-4):
        bare = section_points(meshes[:1], drop)
        padded = np.concatenate([bare, section_points(meshes[1:], drop)])
        assert seen.before.girth_at(drop) == pytest.approx(ConvexHull(bare).area, abs=0.3)
        assert seen.after.girth_at(drop) == pytest.approx(ConvexHull(padded).area, abs=0.3)
        if number % 10 == 0:
            hull = MultiPoint(padded).convex_hull.exterior.length
            assert seen.after.girth_at(drop) == pytest.approx(hull, abs=0.3)


def test_silhouettes_are_those_of_the_section_points():
    """seen() and width() against the farthest points of the sections themselves, in directions of any angle."""
    seen = figure(PADDED["uneven"])
    meshes = exported([body_solid(seen.body), *(pad_solid(pad) for pad in seen.pads)])
    for row in (10, 30, 45):
        points = section_points(meshes, seen.body.drops[row] + 1e-5)
        for angle in (0.0, np.pi / 4, np.pi / 2, np.radians(120), np.pi):
            reach = points @ [np.cos(angle), np.sin(angle)]
            low, high = seen.after.outline_from(angle)[row]
            assert (low, high) == pytest.approx((reach.min(), reach.max()), abs=0.3)
            assert seen.after.width(angle)[row] == pytest.approx(np.ptp(reach), abs=0.3)
        for angle in (0.03, 1.1, 4.0):  # between two directions
            reach = (points @ [np.cos(angle), np.sin(angle)]).max()
            assert seen.after.outline_from(angle)[row, 1] == pytest.approx(reach, abs=0.3)


def test_seen_from_the_front_is_right_then_left_and_from_the_side_back_then_front():
    seen = figure(PADDED["one side bare"])
    row = seen.new_hip_row
    right, left = seen.after.outline_from(0.0)[row]
    assert right < 0 < left and left > -right + 10, "the padded left hip stands out further"
    back, front = seen.before.outline_from(np.pi / 2)[row]
    assert back < 0 < front
    assert seen.before.width(0.0)[row] == pytest.approx(2 * seen.before.outline_from(0.0)[row, 1])


def test_at_and_girth_at_run_straight_between_levels():
    t = tape_round(body(CLIENTS["average"]))
    assert t.at(t.drops[7]) == pytest.approx(t.h[7])
    middle = (t.drops[7] + t.drops[8]) / 2
    assert t.at(middle) == pytest.approx((t.h[7] + t.h[8]) / 2)
    assert t.girth_at(middle) == pytest.approx((t.girth[7] + t.girth[8]) / 2)


def test_tape_does_not_depend_on_how_many_directions_are_asked():
    for name in ("usual", "square edge", "uneven"):
        seen = figure(PADDED[name])
        fine = tape_over(tape_round(seen.body, 1440), seen.pads)
        assert np.abs(fine.girth - seen.after.girth).max() < 0.3
        assert np.abs(fine.h[:, :: 1440 // DIRECTIONS] - seen.after.h).max() < 1e-9


def test_a_mirrored_pair_is_read_as_the_two_pads_it_stands_for():
    """The short cut for equal sides against every pad by itself."""
    seen = figure(PADDED["usual"])
    slow = seen.before.h.copy()
    turn = np.stack([np.cos(seen.before.directions), np.sin(seen.before.directions)])
    for pad in seen.pads:
        rows, points, thickness = at_levels(pad, seen.body.drops)
        reach = np.where((thickness > 0)[..., None] | (points != 0).any(-1, keepdims=True), points @ turn, -np.inf)
        slow[rows] = np.maximum(slow[rows], reach.max(axis=1))
    assert np.abs(slow - seen.after.h).max() < 1e-9


def test_leg_girth_on_a_padded_leg_and_a_bare_one():
    seen = figure(PADDED["one side bare"])
    under = seen.measures.under_seat_drop
    above = (seen.body.drops[seen.body.crotch] + under) / 2
    assert leg_girth(seen.body, above, seen.pads) > leg_girth(seen.body, above) + 0.5
    assert leg_girth(seen.body, above, seen.pads, side="right") == leg_girth(seen.body, above, side="right")
    made = seen.body
    row = len(made.drops) - 1
    leg = np.concatenate([made.outer[0, row, :, :2], made.inner[0, -1, :, :2]])
    assert leg_girth(made, made.drops[row]) == pytest.approx(ConvexHull(leg).area, abs=0.05)


def test_cauchy_needs_no_centre():
    """The girth of a curve does not change when the tape's origin moves (∫ of a cosine is nothing)."""
    curve = ring(body(CLIENTS["average"]), 20)
    for move in np.array([[73.0, -41.0], [-500.0, 3.0], [0.0, 1.0]]):
        assert tape(curve + move, 72) == pytest.approx(tape(curve, 72), abs=1e-9)
