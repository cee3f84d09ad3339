"""Half panels laid flat, on surfaces whose flat shape is known, against a reference library, and closed again."""

from __future__ import annotations

import igl
import numpy as np
import pytest
import shapely

from silhouette.cutting import half_panel as module
from silhouette.cutting import woven
from silhouette.cutting.half_panel import HalfPanel, half_panel
from silhouette.cutting.unrolled import length_of, triangle_areas

HIP = 210.0


def half_round(girth, drops, ratio=1.0, points=121):
    """Front half on one side of elliptic levels of given girths: from the centre front to the side (L, P, 2)."""
    turn = np.linspace(np.pi / 2, 0.0, points)
    arc = np.stack([np.cos(turn), ratio * np.sin(turn)], -1)
    return arc * (np.broadcast_to(girth, np.shape(drops)) / 4 / length_of(arc))[:, None, None]


def hips(waist, hip, hem=600.0, ratio=0.7):
    """A skirt: elliptic, rounding out from the waist to the hip as a quarter of a sine, plumb from there on."""
    drops = np.unique(np.append(np.linspace(0.0, hem, 61), HIP))
    girth = waist + (hip - waist) * np.sin(np.pi / 2 * np.clip(drops / HIP, 0, 1)) ** 1.2
    return drops, half_round(girth, drops, ratio)


#: waist and hip of ten clients of the workshop, invented, mm
CLIENTS = [
    (620, 880),
    (660, 930),
    (700, 960),
    (740, 1000),
    (760, 1080),
    (800, 1100),
    (860, 1160),
    (920, 1200),
    (1000, 1260),
    (1120, 1420),
]


def test_a_cylinder_is_a_rectangle():
    """Exact: girth 1000 over 600 mm gives a quarter 250 mm wide and 600 mm long, without a dart."""
    drops = np.linspace(0.0, 600.0, 25)
    panel = half_panel(half_round(1000.0, drops), drops, HIP, "front", 40.0)
    assert panel.darts == ()
    box = shapely.Polygon(panel.outline)
    assert box.symmetric_difference(shapely.box(0, -600, 250, 0)).area < 40.0  # of 150,000 mm²
    assert np.abs(panel.side[:, 0] - 250.0).max() < 0.1
    assert abs(panel.stretch.total_area) < 1e-5


def test_a_cone_is_a_sector_of_its_exact_angle():
    """Exact: R 110 to 160, H 200 unrolls to a sector of 87.313°, radii 453.542 and 659.697; a quarter has 21.828°.

    Laid with nothing held but the centre line, and threads askew as stiff as the others.
    """
    drops = np.linspace(0.0, 200.0, 21)
    points = half_round(2 * np.pi * np.linspace(110.0, 160.0, 21), drops, points=401)
    grid = module.on_rows(points, drops, drops, np.linspace(0.0, 1.0, 61))
    mesh = woven.slit(grid)
    start, even = woven.rough_shape(mesh), np.ones(len(mesh.threads))
    flat = woven.spread(start, mesh.vertices, mesh.threads, even, mesh.index[:, 0])[mesh.index]
    slant = np.hypot(200.0, 50.0)
    assert length_of(flat[:, 0]) == pytest.approx(slant) and length_of(flat[:, -1]) == pytest.approx(206.155, abs=0.01)
    one, two = flat[-1, 0] - flat[0, 0], flat[-1, -1] - flat[0, -1]
    angle = np.degrees(np.arccos(one @ two / np.linalg.norm(one) / np.linalg.norm(two)))
    assert angle == pytest.approx(87.313 / 4, abs=0.02)
    middle = flat[0, 0] + [0.0, 453.542]
    assert np.linalg.norm(flat[0] - middle, axis=-1) == pytest.approx(453.542, abs=0.1)
    assert np.linalg.norm(flat[-1] - middle, axis=-1) == pytest.approx(659.697, abs=0.1)


@pytest.mark.parametrize(("waist", "hip"), CLIENTS)
@pytest.mark.parametrize("part", ["front", "back"])
def test_what_must_be_kept_is_kept(waist, hip, part):
    """Hip and waist within 2 mm (in all), seams within 0.5 mm, darts closed give the waist, area within 0.5 %."""
    drops, points = hips(waist, hip)
    panel = half_panel(points, drops, HIP, part, 40.0)
    side = np.concatenate([points[:, -1], -drops[:, None]], axis=1)
    assert 4 * length_of(panel.hip) == pytest.approx(hip, abs=0.5)
    assert 4 * panel.waist_length == pytest.approx(waist, abs=2.0)
    assert length_of(panel.side) == pytest.approx(length_of(side), abs=0.25)
    assert abs(panel.stretch.total_area) < 0.005
    assert np.abs(panel.centre[:, 0]).max() == 0.0
    assert np.ptp(panel.hip[:, 1]) == 0.0  # level, square to the centre line
    assert np.ptp(panel.hem[:, 1]) < 0.5 and np.ptp(panel.side[-6:, 0]) < 0.5  # plumb below
    assert shapely.Polygon(panel.outline).is_valid
    widths = np.array([dart.width for dart in panel.darts])
    assert widths.max(initial=0.0) <= 40.0 and widths.min(initial=40.0) >= 0.9 * module.NARROW
    opened = length_of(np.concatenate(panel.waist))  # along the waist and across the mouths of the darts
    assert opened - widths.sum() == pytest.approx(panel.waist_length, abs=1e-6)
    for dart in panel.darts:
        legs = np.linalg.norm(dart.feet - dart.tip, axis=1)
        assert legs[0] == pytest.approx(legs[1], abs=1e-6)
        assert 70.0 < dart.length < 150.0


def closed(panel: HalfPanel):
    """The waist as it is sewn: each stretch turned about the dart points until the legs meet (N, 2)."""
    parts, turn = [panel.waist[0]], []
    for line, dart in zip(panel.waist[1:], panel.darts, strict=True):
        one, two = (foot - dart.tip for foot in dart.feet)
        turn.append((dart.tip, np.angle(complex(*one) / complex(*two))))
        z = line[:, 0] + 1j * line[:, 1]
        for tip, angle in turn[::-1]:
            z = (z - complex(*tip)) * np.exp(1j * angle) + complex(*tip)
        parts.append(np.stack([z.real, z.imag], -1))
    return parts


@pytest.mark.parametrize("part", ["front", "back"])
def test_the_waist_is_one_smooth_line_with_the_darts_closed(part):
    drops, points = hips(760, 1080)
    panel = half_panel(points, drops, HIP, part, 40.0)
    parts = closed(panel)
    assert len(parts) == len(panel.darts) + 1 > 1
    for one, two in zip(parts[:-1], parts[1:], strict=True):
        assert np.linalg.norm(one[-1] - two[0]) < 1e-6
        before, after = one[-1] - one[-2], two[1] - two[0]
        assert np.degrees(np.arccos(before @ after / np.linalg.norm(before) / np.linalg.norm(after))) < 2.0
    first = parts[0][1] - parts[0][0]
    assert abs(first[1]) < 0.02 * first[0]  # square to the centre line
    assert panel.waist[-1][-1] == pytest.approx(panel.side[0])


def test_a_waist_larger_than_the_hip_has_no_dart():
    drops, points = hips(1300, 1200)
    panel = half_panel(points, drops, HIP, "front", 40.0)
    assert panel.darts == () and shapely.Polygon(panel.outline).is_valid
    assert 4 * panel.waist_length == pytest.approx(1300, abs=2.0)


def test_a_third_back_dart_where_two_would_pass_the_limit():
    drops, points = hips(620, 960)
    assert len(half_panel(points, drops, HIP, "back", 60.0).darts) < len(
        tight := half_panel(points, drops, HIP, "back", 24.0).darts
    )
    assert len(tight) == 3 and max(d.width for d in tight) <= 24.0


def test_agrees_with_the_reference_library():
    """libigl (Jacobson, Panozzo et al.): its planar as-rigid-as-possible map of the same slit surface, from our shape.

    Centre line and hip line are held where we have them; it keeps no other length exactly.
    """
    drops, points = hips(800, 1100)
    rows = module.row_drops(600.0, HIP)
    places = module.USUAL["back"][2]
    shares, columns = module.columns_for(places)
    depths = [int(np.searchsorted(rows, length * HIP)) for _, length in places]
    mesh = woven.slit(module.on_rows(points, drops, rows, shares), tuple(zip(columns, depths, strict=True)))
    index, hip_row = mesh.index, int(np.abs(rows - HIP).argmin())
    start = woven.rough_shape(mesh)
    held = np.concatenate([index[:, 0], index[hip_row, 1:]])
    ours = woven.spread(start, mesh.vertices, mesh.threads, mesh.stiff, held)
    data = igl.ARAPData()
    data.energy = igl.ARAPEnergyType.ARAP_ENERGY_TYPE_ELEMENTS
    data.max_iter = 200
    igl.arap_precomputation(mesh.vertices, mesh.corners, 2, held.astype(np.int32), data)
    theirs = np.asarray(igl.arap_solve(ours[held], data, ours))
    one, two = (np.linalg.norm(p[mesh.threads[:, 0]] - p[mesh.threads[:, 1]], axis=1) for p in (ours, theirs))
    assert np.abs(one / two - 1).mean() < 0.01
    assert np.abs(triangle_areas(ours, mesh.corners)).sum() == pytest.approx(
        np.abs(triangle_areas(theirs, mesh.corners)).sum(), rel=0.005
    )
    gapes = [sum(np.linalg.norm(p[index[0, c]] - p[mesh.right[0, c]]) for c, _ in mesh.slits) for p in (ours, theirs)]
    assert gapes[0] == pytest.approx(gapes[1], rel=0.12)
