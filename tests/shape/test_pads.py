"""Pads worn round: edges on the outline, one thickness at the seam, closed solids, volumes in closed form."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.integrate import quad

from silhouette import SheetError
from silhouette.asked.pads import Pads
from silhouette.asked.readings import Girths
from silhouette.asked.sheet import SIDES, Sheet
from silhouette.shape.body import Body
from silhouette.shape.cuts import at_levels, cuts
from silhouette.shape.draft import profile_height
from silhouette.shape.laying import EVENED, directions
from silhouette.shape.measures import measures_of
from silhouette.shape.pads import foam_thickness, lay_pads
from silhouette.shape.solids import pad_solid
from tests.clients import CLIENTS, PADDED, body, figure, sheet

HIP_DROP = 203.0


def cylinder(radius: float, columns: int = 2001) -> Body:
    """A cylinder of this radius for a body, waist to knee; with a radius of a kilometre, a flat table."""
    m = measures_of(sheet({"drops.hip": HIP_DROP}, waist=700, hip=1000))
    drops = np.linspace(0.0, m.knee_drop, 61)
    turn = np.linspace(0.0, np.pi, columns)
    ring = np.stack([np.sin(turn), np.cos(turn), np.zeros(columns)], axis=-1)
    left = radius * ring + np.stack([0 * drops, 0 * drops, -drops], axis=-1)[:, None]
    flip = np.array([-1.0, 1.0, 1.0])
    outer = np.stack([left, left * flip])
    normals = np.stack([np.broadcast_to(n, left.shape) for n in (ring, ring * flip)])
    arc = np.broadcast_to(radius * (np.pi / 2 - turn), (2, 61, columns))
    return Body(m, drops, outer, np.zeros((2, 3, 5, 3)), normals, arc)


def round_pair(radius: float, disc: float, t: float, bevel: float, profile: str = "straight", rows: int = 161):
    """A front and a back pad whose outlines together are a circle of radius ``disc`` about the hip line, laid on a
    cylinder; the volumes of the pair's two solids together."""
    pads = Pads(
        thickness=t,
        bevel=bevel,
        profile=profile,
        start=HIP_DROP - disc,
        end=HIP_DROP + disc,
        fullness=0.5,
        front_reach=disc,
        back_gap=radius * np.pi / 2 - disc,
    )
    laid = lay_pads(Sheet(Girths(waist=700.0, hip=1000.0), pads=pads), cylinder(radius), rows)
    return laid[0], laid[1], sum(pad_solid(pad).volume for pad in laid[:2])


FLAT = 1e6


@pytest.mark.parametrize(("t", "bevel"), [(20, 40), (25.4, 38.1), (10, 60), (15, 120)])
def test_a_flat_bevelled_disc_has_the_volume_of_a_frustum_of_a_cone(t, bevel):
    """Frustum: π t (R² + R r + r²) / 3; elementary geometry."""
    _, _, volume = round_pair(FLAT, 120.0, t, bevel)
    r = 120.0 - bevel
    assert volume == pytest.approx(np.pi * t / 3 * (120**2 + 120 * r + r**2), rel=2e-3)


def test_a_flat_square_edged_disc_is_a_drum():
    _, _, volume = round_pair(FLAT, 120.0, 20.0, 0.0)
    assert volume == pytest.approx(np.pi * 120**2 * 20, rel=2e-3)


@pytest.mark.parametrize("profile", ["straight", "rounded", "feathered"])
def test_profiles_give_the_volume_of_their_solid_of_revolution(profile):
    """∫ 2π r t height((R − r) / bevel) dr, by scipy.integrate.quad."""
    _, _, volume = round_pair(FLAT, 120.0, 20.0, 50.0, profile)
    true, _ = quad(
        lambda r: 2 * np.pi * r * 20 * float(profile_height(profile, np.array((120 - r) / 50))), 0, 120, points=[70]
    )
    assert volume == pytest.approx(true, rel=5e-3)


def test_finer_grids_come_closer_to_the_closed_form():
    true = np.pi * 20 / 3 * (120**2 + 120 * 80 + 80**2)
    off = [abs(round_pair(FLAT, 120.0, 20.0, 40.0, rows=rows)[2] - true) for rows in (41, 81, 161)]
    assert off[0] > off[1] > off[2] and off[0] < 0.01 * true


@pytest.mark.parametrize("radius", [120.0, 165.0])
def test_a_square_edged_slab_bent_round_a_cylinder(radius):
    """Area × t (1 + t / 2R): the outer face of a bent slab is longer by the ratio of the radii."""
    _, _, volume = round_pair(radius, 110.0, 25.0, 0.0)
    assert volume == pytest.approx(np.pi * 110**2 * 25 * (1 + 25 / (2 * radius)), rel=2e-3)


@pytest.mark.parametrize("radius", [120.0, 165.0])
def test_a_bevelled_slab_bent_round_a_cylinder(radius):
    """∫ (τ + τ² / 2R) dA with τ = t · distance / bevel: integrated by hand over the disc."""
    t, bevel, disc = 25.0, 40.0, 110.0
    _, _, volume = round_pair(radius, disc, t, bevel)
    r = disc - bevel
    flat = np.pi * t / 3 * (disc**2 + disc * r + r**2)
    squares = t**2 * (np.pi * r**2 + 2 * np.pi * (disc * bevel / 3 - bevel**2 / 4))
    assert volume == pytest.approx(flat + squares / (2 * radius), rel=2e-3)


def test_a_flat_pad_keeps_its_flat_lengths():
    front, back, _ = round_pair(FLAT, 120.0, 20.0, 40.0)
    for pad in (front, back):
        laid = np.linalg.norm(np.diff(pad.inner, axis=0), axis=-1)
        drafted = np.linalg.norm(np.diff(pad.flat, axis=0), axis=-1)
        assert np.abs(laid - drafted).max() < 1e-3
        assert np.abs(np.linalg.norm(pad.outer - pad.inner, axis=-1) - pad.thickness).max() < 1e-6


@pytest.mark.parametrize("name", PADDED)
def test_edges_lie_on_the_outline_and_the_outline_on_the_body(name):
    seen = figure(PADDED[name])
    for pad in seen.pads:
        sign = 1 if pad.part == "front" else -1
        assert np.abs(pad.flat[:, -1] - pad.outline).max() < 1e-9
        assert np.all(sign * pad.flat[..., 0] >= -1e-9)
        assert np.abs(-pad.inner[..., 2] - pad.flat[..., 1]).max() < 1e-6
        if pad.bevel > 0:
            assert np.abs(pad.outer[:, -1] - pad.inner[:, -1]).max() < 1e-9, "carved down to nothing"
        row = int(np.argmax(np.abs(pad.outline[:, 0])))
        distance, drop = pad.outline[row]
        level = int(np.argmin(np.abs(seen.body.drops - drop)))
        if (
            abs(seen.body.drops[level] - drop) < 1e-6
            and abs(distance) <= np.abs(seen.body.arc[0, level, [0, -1]]).max()
        ):
            half = seen.body.outer[pad.half, level]
            where = [np.interp(distance, seen.body.arc[0, level, ::-1], half[::-1, i]) for i in (0, 1)]
            if pad.clearance >= 0:
                assert pad.inner[row, -1, :2] == pytest.approx(where, abs=1e-6)


@pytest.mark.parametrize("name", PADDED)
def test_thickness_at_the_seam_is_one_and_full_between_the_bevels(name):
    seen = figure(PADDED[name])
    pads = {(p.side, p.part): p for p in seen.pads}
    for side in SIDES:
        front, back = pads.get((side, "front")), pads.get((side, "back"))
        if front is None or back is None:
            continue
        top, bottom = front.outline[0, 1], front.outline[-1, 1]
        levels = np.linspace(top, bottom, 60)
        one, other = (np.interp(levels, p.along_seam(p.flat[..., 1]), p.along_seam(p.thickness)) for p in (front, back))
        # the two grids put their points at other places along the seam: between points, straight lines
        assert np.abs(one - other).max() < 0.03 * front.foam
        full = (levels > top + 1.2 * front.bevel) & (levels < bottom - 1.2 * front.bevel)
        assert one[full] == pytest.approx(np.full(full.sum(), front.foam))
        assert np.abs(front.along_seam(front.flat[..., 0])).max() < 1e-9


@pytest.mark.parametrize("name", PADDED)
def test_solids_are_closed_turned_outward_and_as_large_as_trimesh_says(name):
    """Reference library: trimesh watertight, winding, volume."""
    for pad in figure(PADDED[name]).pads:
        solid = pad_solid(pad)
        assert solid.watertight and solid.name == pad.name
        mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
        assert mesh.is_watertight and mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(solid.volume, rel=1e-9)
        assert 0.2 * pad.foam < solid.volume / abs(shoelace(pad.outline)) < 1.25 * pad.foam


def shoelace(points):
    x, y = points.T
    return ((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) / 2


def test_foam_is_never_thicker_than_the_sheet_nor_negative():
    for asked in PADDED.values():
        for pad in figure(asked).pads:
            assert pad.thickness.min() >= 0 and pad.thickness.max() <= pad.foam + 1e-9
            if pad.edge.max() >= pad.bevel:  # else nowhere far enough from its edges
                assert pad.thickness.max() == pytest.approx(pad.foam)


@pytest.mark.parametrize(
    ("keys", "names"),
    [
        ({}, ["left front", "left back", "right front", "right back"]),
        ({"pads.front": False}, ["left back", "right back"]),
        ({"pads.back": False}, ["left front", "right front"]),
        ({"pads.left.front": False}, ["left back", "right front", "right back"]),
        ({"pads.right.front": False, "pads.right.back": False}, ["left front", "left back"]),
        ({"pads.front": False, "pads.back": False}, []),
    ],
)
def test_any_of_the_four_may_be_left_out(keys, names):
    seen = figure(sheet(keys, waist=740, hip=1010))
    assert [pad.name for pad in seen.pads] == names
    assert np.all(seen.after.h >= seen.before.h)
    assert bool(names) == (seen.added > 1)


def test_a_pad_without_its_mate_is_bevelled_at_the_seam_too():
    # a start with which a row of the pad runs through its thickest point
    (back, _) = figure(sheet({"pads.front": False, "pads.start": 38.1}, waist=740, hip=1010)).pads
    assert np.abs(back.along_seam(back.thickness)).max() < 1e-9
    assert back.thickness.max() == pytest.approx(back.foam)


def test_a_pair_of_equal_sides_is_mirrored():
    pads = figure(PADDED["usual"]).pads
    for left, right in zip(pads[:2], pads[2:], strict=True):
        assert np.array_equal(right.inner, left.inner * [-1, 1, 1]) and (right.side, left.side) == ("right", "left")
        assert pad_solid(right).volume == pytest.approx(pad_solid(left).volume)


def test_what_the_caliper_reads_counts():
    nominal = sheet({"pads.thickness": 25.4}, waist=740, hip=1010)
    read = sheet({"pads.thickness": 25.4, "foam.measured": 21}, waist=740, hip=1010)
    thin = sheet({"pads.thickness": 21}, waist=740, hip=1010)
    assert {pad.foam for pad in figure(read).pads} == {21}
    assert figure(read).new_hip_girth == pytest.approx(figure(thin).new_hip_girth)
    assert figure(read).new_hip_girth < figure(nominal).new_hip_girth - 10
    one = sheet({"pads.thickness": 25.4, "foam.measured": 21, "pads.left.thickness": 12}, waist=740, hip=1010)
    assert foam_thickness(one, one.pads_on("left")) == 12 and foam_thickness(one, one.pads_on("right")) == 21


def test_cuts_are_where_the_levels_meet_the_outer_face():
    """Against trimesh sections of the pad's own outer face."""
    pad = figure(PADDED["thick"]).pads[1]
    drops = figure(PADDED["thick"]).body.drops
    size = pad.thickness.size
    cells = np.arange(size).reshape(pad.thickness.shape)
    a, b, c, d = cells[:-1, :-1].ravel(), cells[1:, :-1].ravel(), cells[1:, 1:].ravel(), cells[:-1, 1:].ravel()
    mesh = trimesh.Trimesh(
        pad.outer.reshape(-1, 3), np.concatenate([np.stack([a, b, c], -1), np.stack([a, c, d], -1)]), process=False
    )
    level, points = cuts(pad, drops)
    for row in np.unique(level)[2:-2:6]:
        lines = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, -drops[row] - 1e-7])
        for angle in np.linspace(0, 2 * np.pi, 24):
            eye = np.array([np.cos(angle), np.sin(angle)])
            assert (points[level == row][:, :2] @ eye).max() == pytest.approx(
                (lines.reshape(-1, 3)[:, :2] @ eye).max(), abs=1e-3
            )
    rows, table, thickness = at_levels(pad, drops)
    assert table.shape[:2] == thickness.shape and table.shape[0] == len(drops[rows])
    assert thickness.max() <= pad.foam + 1e-9


def test_a_pad_wider_than_its_half_runs_on_over_the_other():
    seen = figure(PADDED["past the front"])
    front = seen.pads[0]
    assert front.clearance < 0
    assert front.inner[..., 0].min() < -5, "over the centre front"
    assert all(pad_solid(pad).watertight for pad in seen.pads)


@pytest.mark.parametrize(
    ("keys", "place"),
    [
        ({"pads.end": 650}, "pads.end"),
        ({"pads.back_gap": 240}, "pads.back_gap"),
        ({"pads.front_reach": 100, "pads.left.bevel": 150}, "pads.left.bevel"),
        ({"pads.front_outline": [[0, 40], [90, 200], [0, 330]]}, "pads.front_outline"),
        ({"pads.right.start": 500, "drops.knee": 500}, "pads.right.start"),
    ],
)
def test_pads_that_cannot_lie_on_this_body_are_refused_with_their_place(keys, place):
    with pytest.raises(SheetError) as caught:
        asked = sheet(keys, waist=740, hip=1010)
        lay_pads(asked, body(asked))
    assert any(f.place.split(" ")[0] == place for f in caught.value.faults), caught.value


def test_laying_is_the_same_on_a_finer_body_grid():
    asked = CLIENTS["average"]
    coarse, fine = (lay_pads(asked, body(asked), rows) for rows in (41, 121))
    for a, b in zip(coarse, fine, strict=True):
        assert pad_solid(a).volume == pytest.approx(pad_solid(b).volume, rel=0.01)


def test_thicker_foam_keeps_the_inner_face():
    asked = CLIENTS["average"]
    thick = replace(asked, pads=replace(asked.pads, thickness=30.0))
    for a, b in zip(figure(asked).pads, figure(thick).pads, strict=True):
        assert np.array_equal(a.inner, b.inner)
        assert pad_solid(b).volume > pad_solid(a).volume


def test_ways_outward_of_an_even_body_are_mirror_images():
    """However far they are evened out, also on the centre lines below the crotch, where the legs are apart."""
    shown = figure(PADDED[next(iter(PADDED))])
    assert shown.body.even
    for evened in EVENED:
        left, right = directions(shown.body, evened)
        assert np.abs(left * [-1, 1, 1] - right).max() < 1e-12
