"""Shell and lining: girths are the preview's, panel gains sum to what the pads add, seams are true."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh

import silhouette
from silhouette.cutting.panels import _taut, panel_widths, side_seams
from silhouette.cutting.paper.shell_page import panel_cut
from silhouette.cutting.shell_table import shell_table
from silhouette.shape.solids import pad_solid
from tests.cutting.workshop import CLIENTS, seen

NAMES = list(CLIENTS)


@pytest.mark.parametrize("name", NAMES)
def test_girths_are_the_previews_and_gains_sum_to_what_is_added(jobs, name):
    job = jobs[name]
    for row in job.shell.rows:
        before, after = job.seen.tape_before.girth_at(row.drop), job.seen.tape_after.girth_at(row.drop)
        assert row.body == pytest.approx(before, abs=1e-6)
        assert row.padded == pytest.approx(after, abs=1e-6)
        assert sum(row.gains) == pytest.approx(after - before, abs=0.1)
        assert min(row.gains) > -0.3  # a tape bridging a hollow may shift a hair between panels, no more
    named = {r.name: r for r in job.shell.rows if r.name}
    for reading in job.seen.levels[:4]:
        row = named[{"high_hip": "high hip", "under_seat": "under the seat"}.get(reading.level, reading.level)]
        assert (row.drop, row.body, row.padded) == pytest.approx((reading.drop, reading.before, reading.after))


@pytest.mark.parametrize("name", NAMES)
def test_the_split_follows_the_hull_of_the_level(name):
    """Independent: hulls (shapely) of the body and of cuts through the pads' solids (trimesh), no factor."""
    shown = seen(name)
    body = shown.body
    rows = np.searchsorted(body.drops, [60.0, 120.0, body.measures.hip_drop, 240.0])
    drops = body.drops[rows]
    widths = panel_widths(shown.figure, drops)
    for k, row in enumerate(rows):
        cloud = [body.outer[0, row, :, :2], body.outer[1, row, :, :2]]
        seam = body.outer[0, row, body.seam, :2]
        assert widths.body[k].sum() == pytest.approx(
            shapely.MultiPoint(np.concatenate(cloud)).convex_hull.length, rel=5e-4
        )
        for pad in shown.pads:
            vertices = pad_solid(pad)
            cut = trimesh.Trimesh(vertices.vertices, vertices.triangles, process=False).section(
                plane_origin=[0, 0, -drops[k]], plane_normal=[0, 0, 1]
            )
            if cut is not None:
                cloud.append(np.asarray(cut.vertices)[:, :2])
            if pad.name == "left front":
                edge = pad.along_seam(pad.outer)
                if edge[0, 2] > -drops[k] > edge[-1, 2]:
                    seam = [np.interp(drops[k], -edge[:, 2], edge[:, x]) for x in (0, 1)]
        hull = shapely.MultiPoint(np.concatenate(cloud)).convex_hull
        assert widths.padded[k].sum() == pytest.approx(hull.length, rel=5e-4)
        # the left front panel: the hull's boundary in front of the side seam on the wearer's left
        ring = np.array(shapely.segmentize(hull.exterior, 0.5).coords)[:-1]
        nearest = ring[np.linalg.norm(ring - seam, axis=1).argmin()]
        angle = np.arctan2(ring[:, 1] - 0.0, ring[:, 0])
        own = (angle >= np.arctan2(nearest[1], nearest[0])) & (angle <= np.pi / 2)
        step = np.linalg.norm(ring - np.roll(ring, -1, axis=0), axis=1)
        assert widths.padded[k, 0] == pytest.approx(step[own].sum(), abs=1.5)


def test_pads_on_one_side_and_one_panel_add_only_there():
    plain = {"unit": "in", "girths": {"waist": 30, "hip": 40}}
    front_only = shell_table(silhouette.preview(silhouette.from_plain({**plain, "pads": {"back": False}})))
    gains = np.array([r.gains for r in front_only.rows])
    assert gains[:, [0, 2]].max() > 5
    # the taut tape leaves the body a little behind the side seam too
    assert gains[:, [1, 3]].max() < 0.35 * gains[:, [0, 2]].max()
    left_only = {**plain, "pads": {"right": {"front": False, "back": False}}}
    gains = np.array([r.gains for r in shell_table(silhouette.preview(silhouette.from_plain(left_only))).rows])
    assert gains[:, :2].max() > 10
    assert np.abs(gains[:, 2:]).max() < 0.5


def test_levels_run_from_waist_to_under_the_seat_an_inch_apart(jobs):
    rows = jobs["demo"].shell.rows
    assert [r.name for r in rows if r.name] == ["waist", "high hip", "hip", "under the seat"]
    gaps = np.diff([r.drop for r in rows])
    assert gaps.max() < 25.4 * 1.35 and gaps.min() > 6.0
    assert all(abs(r.drop / 25.4 - round(r.drop / 25.4)) < 1e-9 for r in rows if not r.name)


def test_the_taut_line_over_a_round_bump_is_two_tangents_and_an_arc():
    """Closed form: half circle of radius r in the middle of 2a: 2·sqrt(a² − r²) + r·(π − 2·acos(r/a))."""
    a, r = 150.0, 40.0
    turn = np.linspace(0, np.pi, 721)
    bump = np.stack([a - r * np.cos(turn), r * np.sin(turn)], -1)
    profile = np.concatenate([[[0.0, 0.0]], bump, [[2 * a, 0.0]]])
    exact = 2 * np.sqrt(a**2 - r**2) + r * (np.pi - 2 * np.arccos(r / a))
    assert _taut(profile) == pytest.approx(exact, abs=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_side_seams(jobs, name):
    job = jobs[name]
    for number, seam in enumerate(job.shell.seams):
        body = job.seen.body
        line = body.outer[number, :, body.seam]
        line = line[-line[:, 2] <= seam.end]
        along = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
        assert 0 <= seam.body_surface - along < 12  # the rest is the piece down to the level itself
        assert seam.padded_surface > seam.body_surface
        assert seam.body_taut <= seam.body_surface + 1e-9 and seam.padded_taut <= seam.padded_surface + 1e-9
        assert 0 < seam.rise < 60
    assert side_seams(job.seen.figure, 50.0)[0].end == 50.0


def test_a_side_without_pads_keeps_its_seam():
    plain = {
        "unit": "in",
        "girths": {"waist": 30, "hip": 40},
        "pads": {"right": {"front": False, "back": False}},
    }
    left, right = shell_table(silhouette.preview(silhouette.from_plain(plain))).seams
    assert right.rise == 0.0 and right.padded_surface == right.body_surface
    assert left.rise > 1.0


def test_panel_widths_to_cut_carry_ease_and_allowances(jobs):
    for job in jobs.values():
        cloth = job.seen.sheet.cloth
        allowances = 4 * cloth.seam_allowance + 2 * cloth.opening_allowance
        for row in job.shell.rows:
            cut = sum(panel_cut(job, row, k, shell=True) for k in range(4))
            assert cut == pytest.approx(row.shell + allowances, abs=0.1)
            lining = sum(panel_cut(job, row, k, shell=False) for k in range(4))
            assert lining == pytest.approx(row.body + cloth.ease + allowances)


@pytest.mark.parametrize("shell_hip", [None, -30.0, 40.0])
def test_the_shell_is_cut_as_the_preview_says(shell_hip):
    """Recommended, 30 mm tighter than a tape over the loose pads, and 40 mm looser."""
    base = {"unit": "in", "girths": {"waist": 30, "hip": 40}}
    shown = silhouette.preview(silhouette.from_plain(base))
    if shell_hip is not None:
        wanted = shown.new_hip_girth + shell_hip
        shown = silhouette.preview(silhouette.from_plain({**base, "cloth": {"shell_hip": f"{wanted} mm"}}))
    rows = shell_table(shown).rows
    for row in rows:
        at = np.interp(row.drop, shown.body.drops, shown.shell.girth)
        assert row.shell == pytest.approx(at) and row.worn <= row.padded + 1e-6
        assert sum(row.panels_shell) == pytest.approx(row.shell, abs=0.1)
    hip = min(rows, key=lambda r: abs(r.drop - shown.figure.new_hip_drop))
    if shell_hip is not None:
        assert hip.room == pytest.approx(shell_hip, abs=0.5)
    assert rows[0].room == pytest.approx(shown.sheet.cloth.ease, abs=1e-6)  # away from the pads: the usual ease
    given = np.array(hip.panels_shell) - np.array(hip.panels_padded)
    if hip.room < 0:  # squeezed where the pads are, as they gain
        assert np.ptp(given / np.array(hip.gains)) < 1e-9
    else:
        assert np.ptp(given) < 1e-9
