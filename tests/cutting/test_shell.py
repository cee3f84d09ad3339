"""Shell and lining: table, panel drawing and pieces read the girths that are cut; gains lie where the pads lie."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

import silhouette
from silhouette.cutting.panels import PANELS, panels_of
from tests.cutting.workshop import CLIENTS

NAMES = list(CLIENTS)
PLAIN = {"unit": "in", "girths": {"waist": 30, "hip": 40}}


def previewed(**more):
    return silhouette.preview(silhouette.from_plain({**PLAIN, **more}))


@pytest.mark.parametrize("name", NAMES)
def test_every_level_is_what_the_picture_is_cut_to(jobs, name):
    """One truth on paper: tape, cut girths and what shows are the preview's, panels sum to what is cut."""
    job = jobs[name]
    dressed = job.result.dressed
    for row in job.panels.rows:
        at = min(row.drop, float(job.result.body.drops[-1]))
        assert row.body == pytest.approx(job.result.tape_before.girth_at(at), abs=1e-6)
        assert row.padded == pytest.approx(job.result.tape_after.girth_at(at), abs=1e-6)
        assert row.shell == pytest.approx(dressed.after.cut.at(row.drop), abs=1e-6)
        assert row.shows == pytest.approx(float(np.interp(row.drop, dressed.after.drops, dressed.after.girth)))
        assert sum(row.panels_shell) == pytest.approx(row.shell, abs=0.01)
        assert sum(row.panels_bare) == pytest.approx(dressed.before.cut.at(row.drop), abs=0.01)
        assert sum(row.panels_lining) == pytest.approx(row.lining, abs=0.01)
        assert sum(row.gains) == pytest.approx(row.shell - dressed.before.cut.at(row.drop), abs=0.02)
        assert row.lining < row.shell + 0.1
    named = [r.name for r in job.panels.rows if r.name]
    assert named == ["waist", "high hip", "hip", "under the seat", "hem"]
    assert job.panels.rows[-1].drop == pytest.approx(dressed.after.cut.hem_drop)
    hip = next(r for r in job.panels.rows if r.name == "hip")
    body, ease = job.result.body.measures, job.result.sheet.cloth.lining_ease
    assert hip.lining == pytest.approx(body.hip + ease, abs=0.012 * body.hip)


@pytest.mark.parametrize("name", NAMES)
def test_half_panels_are_the_surface_between_centre_and_side_seam(jobs, name):
    """Independent: the dressed level as a shapely ring, cut at the two centre points and the side-seam points."""
    job = jobs[name]
    cloth, sewn = job.panels.shell, job.result.dressed.after.points(513, sewn=True)
    for level in (5, cloth.points.shape[1] // 3, -1):
        for side in (0, 1):
            ring = shapely.LineString(sewn[side, level, :, :2])
            seam = cloth.points[side, level, cloth.points.shape[2] // 2, :2]
            at = ring.project(shapely.Point(seam))
            front, back = cloth.widths[level, 2 * side : 2 * side + 2]
            assert (front, back) == pytest.approx((at, ring.length - at), abs=0.6)


def test_pads_on_one_side_and_one_panel_add_only_there():
    gains = np.array([r.gains for r in panels_of(previewed(pads={"back": False})).rows])
    assert gains[:, [0, 2]].max() > 5
    # the taut cloth leaves the body a little behind the side seam too
    assert gains[:, [1, 3]].max() < 0.6 * gains[:, [0, 2]].max()
    left_only = panels_of(previewed(pads={"right": {"front": False, "back": False}}))
    gains = np.array([r.gains for r in left_only.rows])
    assert gains[:, :2].max() > 10
    assert gains[:, 2:].max() < 0.35 * gains[:, :2].max()
    assert not left_only.same and left_only.rises[0] > left_only.rises[1] + 1.0


def test_levels_run_from_waist_to_hem_an_inch_apart_above(jobs):
    rows = jobs["demo"].panels.rows
    under = next(r.drop for r in rows if r.name == "under the seat")
    gaps = np.diff([r.drop for r in rows if r.drop <= under])
    assert gaps.max() < 25.4 * 1.35 and gaps.min() > 6.0
    assert all(abs(r.drop / 25.4 - round(r.drop / 25.4)) < 1e-9 for r in rows if not r.name)


@pytest.mark.parametrize("name", NAMES)
def test_side_seams_are_longer_over_the_pads(jobs, name):
    for number, rise in enumerate(jobs[name].panels.rises):
        shell, bare = jobs[name].panels.shell, jobs[name].panels.bare
        ways = [
            np.linalg.norm(np.diff(c.points[number, :, c.points.shape[2] // 2], axis=0), axis=1).cumsum()[
                int(np.abs(c.drops - shell.hip).argmin()) - 1
            ]
            for c in (shell, bare)
        ]
        assert rise == pytest.approx(ways[0] - ways[1], abs=0.01) and 0 < rise < 40


@pytest.mark.parametrize("shell_hip", [-30.0, 40.0])
def test_a_given_shell_girth_is_what_is_cut(shell_hip):
    """30 mm tighter than a tape over the loose pads, and 40 mm looser."""
    wanted = previewed().new_hip_girth + shell_hip
    shown = previewed(cloth={"shell_hip": f"{wanted} mm"})
    panels = panels_of(shown)
    hip = np.interp(shown.figure.new_hip_drop, panels.shell.drops, panels.shell.widths.sum(axis=1))
    assert hip == pytest.approx(wanted, abs=0.05)


def test_a_pegged_skirt_is_taken_in_at_the_back_alone():
    """Common practice, no source: 1 in off the back panel at the knee at each side seam; the front hangs plumb."""
    shown = previewed(cloth={"below": "pegged", "nip": 1})
    panels = panels_of(shown)
    row = int(np.abs(panels.shell.drops - panels.shell.hip).argmin())
    front, back = panels.shell.widths[:, PANELS.index("left front")], panels.shell.widths[:, PANELS.index("left back")]
    assert np.abs(front[row:] - front[row]).max() < 0.6
    assert back[row] - back[-1] == pytest.approx(25.4, abs=0.8)
