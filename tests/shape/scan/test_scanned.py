"""Bodies from scans, against exact ellipses and against sections cut by trimesh."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from silhouette.asked.sheet import SIDES
from silhouette.shape.curves import along
from silhouette.shape.tape import leg_girth, tape_round
from tests.shape.scan.scans import (
    LEG,
    TRUNK,
    around,
    around_ellipse,
    body_on,
    both,
    ellipse_woman,
    hers,
    saved,
    sheet,
    taut,
    woman,
)

ELLIPSES = {"waist": around_ellipse(130, 90), "hip": around_ellipse(186, 126)}
LEVELS = {"scan_waist": 740.0, "scan_hip": 530.0}  # above the lowest point, which is at 300


def taut_girths(mesh: trimesh.Trimesh, heights: np.ndarray) -> np.ndarray:
    """Round the trunk, or both legs where there are two of like size."""
    read = []
    for z in heights:
        parts = taut(mesh, z)
        two = len(parts) > 1 and np.ptp(parts[1], axis=0).prod() > 0.5 * np.ptp(parts[0], axis=0).prod()
        read.append(around(both(parts) if two else parts[0]))
    return np.array(read)


def test_a_woman_of_ellipses_is_met_exactly(tmp_path):
    """Sections are ellipses: girth by the elliptic integral, breadth and depth by their half axes."""
    place = saved(ellipse_woman(), tmp_path / "ellipses.ply")
    body = body_on(sheet(place, ELLIPSES, **LEVELS))
    tape = tape_round(body)
    above = body.drops < 1040 - 725
    z = 1040 - body.drops[above]
    a, b, y = (np.interp(z, TRUNK[:, 0], TRUNK[:, i]) for i in (1, 2, 3))
    exact = np.array([around_ellipse(*pair) for pair in zip(a, b, strict=True)])
    inside = np.min(np.abs(z[:, None] - TRUNK[:, 0]), axis=1) > 12  # corners down the body are rounded off
    assert inside.sum() > 20
    assert np.abs(tape.girth[above] - exact).max() < 0.3
    assert np.abs(tape.width(0.0)[above] - 2 * a)[inside].max() < 0.3
    assert np.abs(tape.outline_from(np.pi / 2)[above][:, 1] - (y + b))[inside].max() < 0.3
    for drop in (body.measures.under_seat_drop, body.measures.knee_drop):
        wanted = around_ellipse(*(float(np.interp(1040 - drop, LEG[:, 0], LEG[:, i])) for i in (1, 2)))
        for side in SIDES:
            assert leg_girth(body, drop, side=side) == pytest.approx(wanted, abs=0.3)
    assert body.scan is not None and body.scan.doubts == ()
    assert body.measures.crotch_drop == pytest.approx(1040 - 720, abs=0.3)


@pytest.mark.parametrize("number", [0, 1, 2, 3, 4])
def test_the_tape_reads_what_trimesh_cuts(number, tmp_path):
    mesh, at = woman(number)
    body = body_on(hers(number, saved(mesh, tmp_path / "her.ply")))
    away = np.abs(body.drops - body.measures.crotch_drop) > 1.0
    wanted = taut_girths(mesh, at["waist"] - body.drops[away])
    assert np.abs(tape_round(body).girth[away] - wanted).max() < 0.3
    for drop in (body.measures.under_seat_drop, body.measures.knee_drop):
        parts = sorted(taut(mesh, at["waist"] - drop)[:2], key=lambda p: p[:, 0].mean())  # her left is -x in a file
        for side, leg in zip(SIDES, parts, strict=True):
            assert leg_girth(body, drop, side=side) == pytest.approx(around(leg), abs=0.3)
    assert body.scan is not None and body.scan.mean < 0.4
    assert at["crotch"] - (at["waist"] - body.measures.crotch_drop) == pytest.approx(0.0, abs=4.0)


@pytest.mark.parametrize("number", [0, 2, 4])
def test_landmarks_are_found_where_the_learning_found_them(number, tmp_path):
    """``tests/learn_shape`` finds them by code of its own, on the same woman smoothed in another way."""
    mesh, at = woman(number)
    girths = {"waist": around(taut(mesh, at["waist"])[0]), "hip": around(taut(mesh, at["hip"])[0])}
    body = body_on(sheet(saved(mesh, tmp_path / "her.ply"), girths))
    assert body.scan is not None and set(body.scan.found) == {"waist", "hip", "crotch", "knee"}
    found = body.scan.waist[1] - np.array([0.0, body.measures.hip_drop, body.measures.crotch_drop])
    assert found == pytest.approx([at["waist"], at["hip"], at["crotch"]], abs=8.0)


FILES = [
    ("her.obj", "mm", "z", {}),
    ("her.obj", "in", "y", {}),
    ("her.ply", "cm", "-y", {}),
    ("her.ply", "m", "x", {"encoding": "ascii"}),
    ("her.stl", "in", "-z", {}),
    ("her.stl", "cm", "-x", {"file_type": "stl_ascii"}),
    ("her.glb", "m", "y", {}),
    ("Her Scan.GLB", "mm", "-x", {"file_type": "glb"}),
]


@pytest.mark.parametrize(("name", "unit", "up", "how"), FILES)
def test_every_format_unit_and_axis_gives_the_same_body(name, unit, up, how, tmp_path):
    mesh, _ = woman(0)
    plain = body_on(hers(0, saved(mesh, tmp_path / "plain.ply")))
    place = saved(mesh, tmp_path / name, unit, up, **how)
    body = body_on(hers(0, place))
    assert body.scan is not None and body.scan.unit == unit
    assert np.abs(body.outer - plain.outer).max() < 0.6  # a coarse number in a text file moves a column by a little
    assert np.abs(tape_round(body).girth - tape_round(plain).girth).max() < 0.1
    given = body_on(hers(0, place, scan_unit=unit, scan_up=up))
    assert np.abs(given.outer - body.outer).max() < 1e-9


@pytest.mark.parametrize("angle", [20.0, 117.0, 200.0, 301.0])
def test_she_may_face_anywhere(angle, tmp_path):
    mesh, _ = woman(2)
    plain = body_on(hers(2, saved(mesh, tmp_path / "plain.ply")))
    turned = mesh.copy()
    turned.apply_transform(trimesh.transformations.rotation_matrix(np.radians(angle), [0, 0, 1], [300, -200, 0]))
    body = body_on(hers(2, saved(turned, tmp_path / "turned.ply")))
    assert np.abs(tape_round(body).h - tape_round(plain).h).max() < 0.5
    assert np.abs(body.outer[:, : body.crotch] - plain.outer[:, : body.crotch]).max() < 2.0


def test_the_front_may_be_given(tmp_path):
    mesh, _ = woman(1)
    place = saved(mesh, tmp_path / "her.ply", "cm", "y")  # z up and y front become y up and x front
    found, given = body_on(hers(1, place)), body_on(hers(1, place, scan_front="x", scan_up="y"))
    assert np.abs(found.outer - given.outer).max() < 1e-9
    behind = body_on(hers(1, place, scan_front="-x"))
    assert behind.outer[0, 30, 0, 1] == pytest.approx(-found.outer[0, 30, -1, 1], abs=3.0)


def test_left_and_right_of_an_uneven_mesh_are_kept(tmp_path):
    mesh, at = woman(0)
    uneven = mesh.copy()
    x = uneven.vertices[:, 0]
    uneven.vertices = np.column_stack([np.where(x < 0, 1.08 * x, x), uneven.vertices[:, 1:]])  # her left is -x
    asked = sheet(
        saved(uneven, tmp_path / "her.ply"),
        {"waist": around(taut(uneven, at["waist"])[0]), "hip": around(taut(uneven, at["hip"])[0])},
        scan_waist=at["waist"],
        scan_hip=at["hip"],
    )
    body = body_on(asked)
    assert not body.even
    for row in range(0, body.crotch, 6):
        outline = taut(uneven, at["waist"] - body.drops[row])[0]
        for side, sign in ((0, -1.0), (1, 1.0)):
            wanted = half_length(outline * [sign, 1.0])
            assert along(body.outer[side, row, :, :2])[-1] == pytest.approx(wanted, abs=0.5)


def half_length(outline):
    """Length of the part x ≥ 0 of a closed outline."""
    from scipy.spatial import ConvexHull

    ring = outline[ConvexHull(outline).vertices]
    length = 0.0
    for one, other in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        (x0, _), (x1, _) = one, other
        share = 1.0 if min(x0, x1) >= 0 else 0.0 if max(x0, x1) <= 0 else max(x0, x1) / abs(x1 - x0)
        length += share * float(np.hypot(*(other - one)))
    return length


def test_girths_on_the_sheet_scale_the_sections_and_the_rest_is_the_scan_s_own(tmp_path):
    mesh, at = woman(0)
    place = saved(mesh, tmp_path / "her.ply")
    plain = body_on(hers(0, place))
    m = plain.measures
    assert m.measured == {"girths.waist", "girths.hip"}  # all others are marked
    taped = {"waist": 1.04 * m.waist, "hip": 0.985 * m.hip, "knee": 1.05 * m.knee}
    body = body_on(sheet(place, taped, {"knee": m.knee_drop}, scan_waist=at["waist"], scan_hip=at["hip"]))
    tape = tape_round(body)
    assert tape.girth_at(0.0) == pytest.approx(taped["waist"], abs=0.05)
    assert tape.girth_at(m.hip_drop) == pytest.approx(taped["hip"], abs=0.05)
    assert leg_girth(body, m.knee_drop) == pytest.approx(taped["knee"], abs=0.1)
    assert tape.girth_at(m.high_hip_drop) == pytest.approx(m.high_hip, abs=0.05)
    assert (leg_girth(body, m.under_seat_drop) + leg_girth(body, m.under_seat_drop, side="right")) / 2 == pytest.approx(
        m.thigh, abs=0.05
    )
    assert body.scan is not None
    assert [doubt.split()[0] for doubt in body.scan.doubts] == ["waist", "knee"]  # 2 % is within the tape's own doubt
    assert "girths.knee" in body.measures.measured and "drops.knee" in body.measures.measured
