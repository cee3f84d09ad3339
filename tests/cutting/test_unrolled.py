"""Templates of real pads: what was previewed is what is cut."""

from __future__ import annotations

from typing import cast

import igl
import numpy as np
import pytest
import shapely
import shapely.ops
from contourpy import contour_generator
from scipy.spatial import Delaunay

import silhouette
from silhouette.asked.sheet import SIDES
from silhouette.cutting.flatten import flatten, rim_of, turned_to
from silhouette.cutting.job import ROWS
from silhouette.cutting.patch import _laid, bevelled_rim, patch_of
from silhouette.cutting.unrolled import (
    QUARTERS,
    LaidFlat,
    depth_line,
    length_of,
    templates_of,
    triangle_areas,
    unrolled,
)
from silhouette.shape.draft import profile_height
from silhouette.shape.pads import lay_pads
from silhouette.shape.solids import pad_solid
from tests.cutting.workshop import CLIENTS, seen

NAMES = list(CLIENTS)


@pytest.mark.parametrize("name", NAMES)
def test_front_and_back_side_seams_agree_in_length(jobs, name):
    """They are sewn together: within 0.5 mm of each other, and of the seam on the body."""
    for side in SIDES:
        front, back = (
            next(t for t in jobs[name].templates if (t.side, t.part) == (side, p)) for p in ("front", "back")
        )
        assert abs(front.seam_length - back.seam_length) < 0.5
        for template in (front, back):
            assert abs(template.seam_length - template.seam_on_body) < 0.5


@pytest.mark.parametrize("name", ["demo", "slender", "large", "lean"])
def test_mirrored_pairs_are_mirror_images(jobs, name):
    found = {t.name: t for t in jobs[name].templates}
    for part in ("front", "back"):
        left, right = found[f"left {part}"], found[f"right {part}"]
        assert np.abs(left.outline * [-1, 1] - right.outline).max() < 1e-6
        for a, b in zip(left.carve, right.carve, strict=True):
            assert np.abs(a[0] * [-1, 1] - b[0]).max() < 1e-6


def test_a_mirrored_pad_flattened_by_itself_gives_the_mirrored_template():
    """The short cut of mirroring a template is checked against laying the right pad flat on its own."""
    shown = seen("demo")
    left, right = shown.pads[0], next(p for p in shown.pads if p.name == "right front")
    mates = [next(p for p in shown.pads if p.name == f"{side} back") for side in ("left", "right")]
    one, two = unrolled(left, shown.body, mates[0]), unrolled(right, shown.body, mates[1])
    assert np.abs(one.outline * [-1, 1] - two.outline).max() < 1e-6


def test_uneven_sides_are_not_mirrored(jobs):
    found = {t.name: t for t in jobs["uneven"].templates}
    apart = found["left front"].seam_length - found["right front"].seam_length
    assert abs(apart) > 5  # the left pad starts lower
    assert all("differ" in p.remark for p in jobs["uneven"].foam)


def test_pieces_lie_as_seen_from_outside(jobs):
    """Facing her left hip her front is on the viewer's left; facing the right hip it is on the right."""
    where = {t.name: float(t.free_edge[:, 0].mean()) for t in jobs["demo"].templates}
    assert where["left front"] < 0 < where["left back"]
    assert where["right back"] < 0 < where["right front"]
    for template in jobs["demo"].templates:
        assert template.seam[0, 1] > template.seam[-1, 1] + 200  # upper tip up


@pytest.mark.parametrize("name", ["demo", "slender", "large"])
def test_agrees_with_the_reference_library_on_real_pads(name):
    """libigl's planar as-rigid-as-possible map of the same back pad, within 1 % of its size."""
    shown = seen(name)
    pad = next(p for p in shown.pads if p.name == "left back")
    patch = patch_of([pad], shown.body)
    vertices, triangles = np.ascontiguousarray(patch.inner), np.ascontiguousarray(patch.triangles)
    ours = flatten(vertices, triangles)
    rim = rim_of(triangles)
    held = np.array([rim[0], rim[len(rim) // 2]])
    start, _ = igl.lscm(vertices, triangles, held, ours.points[held])
    data = igl.ARAPData()
    data.energy = igl.ARAPEnergyType.ARAP_ENERGY_TYPE_ELEMENTS
    data.max_iter = 200
    igl.arap_precomputation(vertices, triangles, 2, np.zeros(1, dtype=np.int32), data)
    theirs = np.asarray(igl.arap_solve(start[:1], data, np.array(start)))
    size = np.ptp(ours.points, axis=0).max()
    assert np.linalg.norm(turned_to(theirs, ours.points) - ours.points, axis=1).max() < 0.01 * size
    assert triangle_areas(theirs, triangles).sum() == pytest.approx(
        triangle_areas(ours.points, triangles).sum(), rel=0.01
    )
    around = np.append(rim, rim[0])
    assert length_of(theirs[around]) == pytest.approx(length_of(ours.points[around]), rel=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_points_are_laid_as_the_previews_own_grid(name):
    """At the grid points of the preview's pads: same places on body and outer face, same thickness."""
    shown = seen(name)
    front, back = shown.pads[:2]
    rim = bevelled_rim([front, back])
    for pad in (front, back):
        points = pad.flat.reshape(-1, 2)
        inner, outer, thickness, _ = _laid([pad], shown.body, points, rim)
        assert np.abs(inner - pad.inner.reshape(-1, 3)).max() < 1e-6
        assert np.abs(thickness - pad.thickness.ravel()).max() < 0.02
        assert np.abs(outer - pad.outer.reshape(-1, 3)).max() < 0.02


@pytest.mark.parametrize("name", NAMES)
def test_the_mesh_covers_the_pad(name):
    shown = seen(name)
    for pads in (shown.pads[:1], shown.pads[1:2], shown.pads[:2]):
        patch = patch_of(pads, shown.body)
        flat = triangle_areas(patch.flat * [1, -1], patch.triangles)
        assert flat.min() > 0
        assert flat.sum() == pytest.approx(sum(shapely.Polygon(p.outline).area for p in pads), rel=2e-3)
        assert np.abs(patch.flat[patch.seam, 0]).max() < 1e-9
        assert np.all(np.diff(patch.flat[patch.seam, 1]) > 0)


@pytest.mark.parametrize("name", NAMES)
def test_carving_lines_are_lines_of_equal_thickness(name):
    """Contours of the preview's own thickness grid (contourpy), carried over, against the lines as drawn."""
    shown = seen(name)
    pads = lay_pads(shown.sheet, shown.body, 161)
    for pad, mate in (pads[:2], pads[1::-1]):
        laid = LaidFlat(patch_of([pad], shown.body, mate=mate), pad.side)
        template = unrolled(pad, shown.body, mate)
        for share, lines in zip(QUARTERS, template.carve, strict=True):
            grid = contour_generator(pad.flat[..., 0], pad.flat[..., 1], pad.thickness)
            at_share = cast("list[np.ndarray]", grid.lines(share * pad.foam))  # so the default type of line is given
            found = [laid.carried(line) for line in at_share if len(line) > 8]
            drawn = shapely.union_all([shapely.LineString(line) for line in lines])
            contour = shapely.union_all([shapely.LineString(line) for line in found])
            for one, two in ((drawn, contour), (contour, drawn)):
                points = shapely.points(shapely.get_coordinates(shapely.segmentize(one, 2.0)))
                apart = shapely.distance(points, two)
                assert np.quantile(apart, 0.95) < 0.6
                assert apart.max() < 3.0  # in the corner of a lean tip the grid is coarser than the line


def test_a_pad_sewn_to_none_is_carved_all_round():
    plain = {"unit": "in", "girths": {"waist": 30, "hip": 40}, "pads": {"back": False}}
    shown = silhouette.preview(silhouette.from_plain(plain))
    pad = shown.pads[0]
    mate = silhouette.preview(silhouette.from_plain({**plain, "pads": {}})).pads[1]
    alone, sewn = unrolled(pad, shown.body, None), unrolled(pad, shown.body, mate)
    for line in alone.carve[0]:
        assert np.linalg.norm(line[0] - line[-1]) < 1e-6  # closed
    assert alone.volume < 0.95 * sewn.volume
    assert templates_of(shown.pads, shown.body)[0].volume == alone.volume


def _inside(line, template):
    """Area (mm²) between a carving line and the side seam, by shapely."""
    seam = shapely.LineString(template.seam)
    ends = [shapely.line_locate_point(seam, shapely.Point(line[k])) for k in (0, -1)]
    part = shapely.get_coordinates(shapely.ops.substring(seam, min(ends), max(ends)))
    back = part if ends[0] > ends[1] else part[::-1]
    return shapely.Polygon(np.concatenate([line, back])).area


@pytest.mark.parametrize("name", NAMES)
def test_foam_is_conserved(jobs, name):
    """Template area × thickness less the bevel is the reported volume, within 0.5 %.

    The bevel is taken off in 40 layers, each bounded by the carving line of its depth as it would be printed
    and by the side seam: independent of the mesh that the reported volume is summed over.
    """
    job = jobs[name]
    share = np.linspace(0, 1, 4001)
    pads = lay_pads(job.result.sheet, job.result.body, ROWS)
    for template, pad, mate in zip(job.templates[:2], pads[:2], pads[1::-1], strict=True):
        laid = LaidFlat(patch_of([pad], job.result.body, mate=mate), pad.side)
        inward = np.interp((np.arange(40) + 0.5) / 40, profile_height(pad.profile, share), share) * pad.bevel
        lines = [laid.lines(depth_line(pad, d, mate)) for d in inward]
        layers = [sum(_inside(line, template) for line in found) for found in lines]
        assert template.volume == pytest.approx(pad.foam * np.mean(layers), rel=0.005)
        assert template.area == pytest.approx(shapely.Polygon(template.outline).area, rel=1e-6)
        assert 0.3 < template.volume / (template.area * pad.foam) < 0.95


@pytest.mark.parametrize("name", NAMES)
def test_the_worn_solid_is_the_flat_foam_bent(jobs, name):
    """A slab bent outward about its inner face swells: Simpson's rule over inner, middle and outer face (exact for a
    volume of the third degree in the thickness, as Steiner's is).

    Laying flat shrinks the middle of a dome, where the foam is thickest. The flat shape of least strain obeys Δε = K
    for the area strain ε and Gauss's curvature K (Föppl's plate); on a round pad whose foam falls off as 1 − s² the
    foam lost is Ω / 24π of it when the total curvature Ω is spread evenly, Ω / 8π when it is all in the middle; where
    the rim bends the other way, Ω is at most what bends outward.
    """
    job = jobs[name]
    pads = lay_pads(job.result.sheet, job.result.body, ROWS)
    for k, (template, pad) in enumerate(zip(job.templates, pads, strict=True)):
        patch = patch_of([pad], job.result.body, 4.0, mate=pads[k + 1 - 2 * (k % 2)])
        away = patch.outer - patch.inner

        def swept(share, patch=patch, away=away):
            a, b, c = ((patch.inner + share * away)[patch.triangles[:, k]] for k in range(3))
            return abs((np.cross(b - a, c - a) / 2 * away[patch.triangles].mean(axis=1)).sum())

        bent = (swept(0.0) + 4 * swept(0.5) + swept(1.0)) / 6
        assert pad_solid(pad).volume == pytest.approx(bent, rel=0.005)
        curved = curvature(patch.inner, patch.triangles)[patch.rim :]
        lost = 1 - template.volume / swept(0.0)
        assert curved.sum() / (24 * np.pi) < lost < curved.clip(0.0).sum() / (8 * np.pi)


def curvature(points, triangles):
    """Gauss's curvature about each inner point of a mesh: what its angles lack of a full turn."""
    corners = points[triangles]
    one, two = np.roll(corners, -1, axis=1) - corners, np.roll(corners, -2, axis=1) - corners
    cosine = (one * two).sum(axis=-1) / np.linalg.norm(one, axis=-1) / np.linalg.norm(two, axis=-1)
    return 2 * np.pi - np.bincount(triangles.ravel(), np.arccos(cosine).ravel(), len(points))


@pytest.mark.parametrize("radius", [400.0, 300.0, 200.0])
def test_a_dome_laid_flat_holds_what_the_closed_form_says(radius):
    """A cap of a sphere, 100 mm from its middle to its edge, foam 1 − s²: laid flat it loses (100 / radius)² / 24."""
    rings = [np.zeros((1, 2))]
    for k in range(1, 26):
        turn = 2 * np.pi * np.arange(6 * k) / (6 * k)
        rings.append(4.0 * k * np.stack([np.cos(turn), np.sin(turn)], -1))
    plan = np.concatenate(rings)
    triangles = Delaunay(plan).simplices
    triangles = np.where((triangle_areas(plan, triangles) < 0)[:, None], triangles[:, ::-1], triangles)
    away = np.hypot(*plan.T)
    scale = np.sinc(away / radius / np.pi)
    cap = np.column_stack([plan * scale[:, None], radius * np.cos(away / radius)])
    flat = triangle_areas(flatten(cap, triangles).points, triangles)
    a, b, c = (cap[triangles[:, k]] for k in range(3))
    worn = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    foam = 1.0 - (away[triangles].mean(axis=1) / 100.0) ** 2
    assert 1 - (flat @ foam) / (worn @ foam) == pytest.approx((100.0 / radius) ** 2 / 24, rel=0.04)


@pytest.mark.parametrize("name", NAMES)
def test_hip_line_meets_the_seam_at_the_same_place_on_both_pieces(jobs, name):
    for side in SIDES:
        front, back = (
            next(t for t in jobs[name].templates if (t.side, t.part) == (side, p)) for p in ("front", "back")
        )
        along = [
            shapely.line_locate_point(shapely.LineString(t.seam), shapely.Point(t.hip_on_seam)) for t in (front, back)
        ]
        assert abs(along[0] - along[1]) < 0.5
