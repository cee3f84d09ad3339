"""Templates of real pads: what was previewed is what is cut."""

from __future__ import annotations

import igl
import numpy as np
import pytest
import shapely
import shapely.ops
from conftest import CLIENTS, seen

from silhouette.shape.flatten import flatten, rim_of, turned_to
from silhouette.shape.outline import profile_height
from silhouette.shape.pads import lay_pads
from silhouette.shape.patch import patch_of
from silhouette.shape.solids import pad_solid
from silhouette.shape.unrolled import LaidFlat, length_of, templates_of, triangle_areas

NAMES = list(CLIENTS)


@pytest.mark.parametrize("name", NAMES)
def test_front_and_back_side_seams_agree_in_length(jobs, name):
    """They are sewn together: within 0.5 mm of each other, and of the seam on the body."""
    for side in (1, -1):
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
    drop = shown.body.measures.hip_drop
    one, two = templates_of([left], drop)[0], templates_of([right], drop)[0]
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
    pad = next(p for p in seen(name).pads if p.name == "left back")
    patch = patch_of([pad])
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
def test_the_mesh_covers_the_pad_and_carries_its_thickness(name):
    shown = seen(name)
    pad = lay_pads(shown.sheet, shown.body, 121, 31)[1]
    patch = patch_of([pad])
    flat = triangle_areas(patch.flat * [1, -1], patch.triangles)
    assert flat.min() > 0
    outline = np.concatenate([pad.flat[:, 0], pad.flat[-2:0:-1, -1]])
    assert flat.sum() == pytest.approx(shapely.Polygon(outline).area, rel=2e-3)
    foam = pad.foam * profile_height(pad.profile, patch.edge / pad.bevel)
    # where two edges are equally near the distance has a crease, which a grid rounds off at single points
    assert np.quantile(np.abs(foam - patch.thickness), 0.99) < 0.02 * pad.foam
    assert np.abs(foam - patch.thickness).mean() < 0.005 * pad.foam


@pytest.mark.parametrize("name", NAMES)
def test_carving_lines_lie_where_the_foam_has_that_thickness(name):
    """Carried back to the pad, each line keeps its distance from the bevelled edge (closed-form profile)."""
    shown = seen(name)
    pad = lay_pads(shown.sheet, shown.body, 121, 31)[0]
    patch = patch_of([pad])
    laid = LaidFlat(patch, pad.side)
    edge = shapely.LineString(pad.flat[:, -1])
    share = np.linspace(0, 1, 2001)
    inverse = np.interp([0.25, 0.5, 0.75], profile_height(pad.profile, share), share) * pad.bevel
    template = templates_of([pad], shown.body.measures.hip_drop)[0]
    for lines, distance in zip(template.carve, inverse, strict=True):
        wanted = shapely.LineString(laid.carried(shapely.get_coordinates(_offset(edge, pad, distance))))
        for line in lines:
            assert shapely.hausdorff_distance(shapely.LineString(line), wanted) < 1.0


def _offset(edge, pad, distance):
    """The line at a given distance inside the free edge, by shapely's own offsetting."""
    outline = shapely.Polygon(np.concatenate([pad.flat[:, 0], pad.flat[-2:0:-1, -1]]))
    inside = outline.difference(edge.buffer(distance, quad_segs=64))
    seam = shapely.LineString(pad.flat[:, 0])
    return shapely.line_merge(inside.exterior.difference(seam.buffer(1e-6)))


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
    pads = lay_pads(job.seen.sheet, job.seen.body, 121, 31)
    for template, pad in zip(job.templates[:2], pads[:2], strict=True):
        laid = LaidFlat(patch_of([pad]), pad.side)
        depths = pad.foam * (np.arange(40) + 0.5) / 40
        layers = [sum(_inside(line, template) for line in laid.lines(pad, pad.thickness, d)) for d in depths]
        assert template.volume == pytest.approx(pad.foam * np.mean(layers), rel=0.005)
        assert template.area == pytest.approx(shapely.Polygon(template.outline).area, rel=1e-6)
        assert 0.3 < template.volume / (template.area * pad.foam) < 0.95


@pytest.mark.parametrize("name", NAMES)
def test_the_worn_solid_is_the_flat_foam_bent(jobs, name):
    """A slab bent outward about its inner face swells: Simpson's rule over inner, middle and outer face.

    So the preview's solids hold more than the foam that is cut, and by just this much. Laying flat shrinks
    the middle of a dome a little: within 2 % of the foam as it would be on the curved face.
    """
    job = jobs[name]
    pads = lay_pads(job.seen.sheet, job.seen.body, 121, 31)
    for template, pad in zip(job.templates, pads, strict=True):
        patch = patch_of([pad], 4.0)
        away = patch.outer - patch.inner

        def swept(share, patch=patch, away=away):
            a, b, c = ((patch.inner + share * away)[patch.triangles[:, k]] for k in range(3))
            return abs((np.cross(b - a, c - a) / 2 * away[patch.triangles].mean(axis=1)).sum())

        bent = (swept(0.0) + 4 * swept(0.5) + swept(1.0)) / 6
        assert pad_solid(pad).volume == pytest.approx(bent, rel=0.005)
        assert template.volume == pytest.approx(swept(0.0), rel=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_hip_line_meets_the_seam_at_the_same_place_on_both_pieces(jobs, name):
    for side in (1, -1):
        front, back = (
            next(t for t in jobs[name].templates if (t.side, t.part) == (side, p)) for p in ("front", "back")
        )
        along = [
            shapely.line_locate_point(shapely.LineString(t.seam), shapely.Point(t.hip_on_seam))
            for t in (front, back)
        ]
        assert abs(along[0] - along[1]) < 0.5
