"""The dressed surface against exact shapes: cones, hulls in space, plumb hems, girths kept."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from silhouette.asked.faults import SheetError
from silhouette.asked.writing import with_values
from silhouette.cloth.cut_girths import CutGirths, carried_to
from silhouette.cloth.dressed import surface
from silhouette.cloth.rays import across_rays, along_rays
from silhouette.cloth.threads import draw, hang
from silhouette.pipeline import preview
from silhouette.shape.support import girth_of, support
from silhouette.shape.tape import Tape
from tests.clients import CLIENTS, PADDED

ANGLES = np.arange(96, dtype=float) * (2 * np.pi / 96)


def rings(radii, drops, aside=0.0):
    """Tape over circles of given radii, their middles moved along x in proportion to the drop."""
    h = np.asarray(radii, float)[:, None] + aside * np.asarray(drops)[:, None] * np.cos(ANGLES)
    return Tape(np.asarray(drops, float), ANGLES, h)


def plenty(tape, cut=1e5, row=None):
    row = len(tape.drops) - 1 if row is None else row
    return CutGirths(tape.drops, np.broadcast_to(cut, len(tape.drops)).astype(float), row, "straight")


def test_slack_cloth_between_two_rings_is_a_straight_cone():
    # exact: threads in vertical planes between two circles about the same axis
    drops = np.linspace(0, 200, 41)
    radii = np.full(41, 40.0)
    radii[[0, -1]] = 110, 160
    shown = surface(plenty(rings(radii, drops)), rings(radii, drops))
    wanted = 110 + 50 * drops / 200
    assert shown.h == pytest.approx(np.broadcast_to(wanted[:, None], (41, 96)), abs=1e-9)
    assert shown.girth == pytest.approx(2 * np.pi * wanted, abs=1e-6)


def test_cloth_about_an_axis_aside_is_the_same_cone():
    drops = np.linspace(0, 200, 41)
    radii = np.full(41, 40.0)
    radii[[0, -1]] = 110, 160
    moved = rings(radii, drops)
    moved = Tape(drops, ANGLES, moved.h + 70 * np.sin(ANGLES))
    wanted = (110 + 50 * drops / 200)[:, None] + 70 * np.sin(ANGLES)
    assert surface(plenty(moved), moved, 70.0).h == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_slack_threads_are_hulls_of_their_profiles(seed):
    # scipy (Qhull): in each vertical plane the thread is the hull of the loops' profile there and of the axis
    rng = np.random.default_rng(seed)
    drops = np.sort(rng.uniform(0, 300, 9))
    size = np.sort(rng.uniform(60, 200, 9))  # widest last, so that nothing hangs plumb
    tape = Tape(drops, ANGLES, support(rng.normal(size=(9, 60, 2)) * size[:, None, None] / 3, 96))
    low = along_rays(tape.h)
    shown = surface(plenty(tape), tape).h
    threads = np.empty_like(low)
    for ray in range(96):
        outline = np.concatenate([np.stack([low[:, ray], drops], -1), [[0.0, drops[0]], [0.0, drops[-1]]]])
        lines = ConvexHull(outline).equations
        outer = lines[lines[:, 0] > 1e-9]
        threads[:, ray] = ((-outer[:, 2] - outer[:, 1] * drops[:, None]) / outer[:, 0]).min(axis=1)
    top = low.max(axis=0)
    plumb = np.arange(9)[:, None] > low.argmax(axis=0)
    threads = np.where(plumb, top, threads)
    spun = support(threads[..., None] * np.stack([np.cos(ANGLES), np.sin(ANGLES)], -1), 96)
    # the corners of a loop lie between the rays: what they lack is known where the cloth touches
    lacking = (tape.h - support(low[..., None] * np.stack([np.cos(ANGLES), np.sin(ANGLES)], -1), 96)).max()
    assert (shown >= np.maximum(spun, tape.h) - 1e-9).all()
    assert (shown <= np.maximum(spun, tape.h) + lacking + 1e-9).all()


@pytest.mark.parametrize("count", [24, 96])
def test_rays_and_lines_of_a_circle_aside(count):
    # exact: a circle of radius 100 about a point 30 aside is met at 30 cos + sqrt(100² - 30² sin²)
    turn = np.arange(count) * (2 * np.pi / count)
    h = (100 + 30 * np.cos(turn))[None]
    met = 30 * np.cos(turn) + np.sqrt(100**2 - (30 * np.sin(turn)) ** 2)
    sag = 100 * (1 - np.cos(1.3 * np.pi / count))  # of chords at most: on the far side rays lie 1.3 times as wide
    found = along_rays(h)[0]
    assert (found >= met - 1e-9).all() and (found <= met + sag).all()
    assert across_rays(met[None])[0] == pytest.approx(h[0], abs=sag)


@pytest.mark.parametrize("held", [[], [11], [4, 5, 20]])
def test_threads_stay_above_and_are_shortest(held):
    rng = np.random.default_rng(3)
    drops = np.cumsum(rng.uniform(1, 9, 30))
    low = rng.uniform(0, 20, (30, 40))
    found = draw(drops, low, held)
    assert (found >= low - 1e-12).all() and found[[0, *held, -1]] == pytest.approx(low[[0, *held, -1]])
    # a corner outward stands on what lies below, a corner inward is where the thread is held
    turn = np.diff(np.diff(found, axis=0) / np.diff(drops)[:, None], axis=0)
    free = np.setdiff1d(np.arange(1, 29), held)
    assert (turn[free - 1] < 1e-9).all()
    assert (np.abs(found - low)[free][turn[free - 1] < -1e-9] < 1e-9).all()


def test_hanging_is_least_concave_above():
    rng = np.random.default_rng(5)
    drops = np.cumsum(rng.uniform(1, 9, 25))
    reach = rng.uniform(0, 20, (25, 50)) + drops[:, None] / 4
    found = hang(drops, reach)
    assert (found >= reach).all()
    slope = np.diff(found, axis=0) / np.diff(drops)[:, None]
    turn = np.diff(slope, axis=0)
    assert (turn < 1e-9).all() and (slope > -1e-9).all()
    assert (np.abs(found - reach)[1:-1][turn < -1e-9] < 1e-9).all()


@pytest.mark.parametrize("name", PADDED)
def test_cut_is_kept_and_cloth_never_enters(name):
    pair = preview(PADDED[name]).dressed
    for dressed in (pair.before, pair.after):
        assert (dressed.ease > -0.01).all()
        assert dressed.sewn.girth == pytest.approx(dressed.cut.girth, abs=1e-9)
    seen = preview(PADDED[name])
    hoops = carried_to(pair.after.drops, seen.tape_worn)
    assert (pair.after.outline.h >= hoops - 1e-9).all()


@pytest.mark.parametrize("name", ["average", "full", "belly", "tall", "slim thighs", "full thighs"])
def test_straight_hem_hangs_plumb(name):
    seen = preview(CLIENTS[name])
    for dressed, tape in ((seen.dressed.before, seen.tape_before), (seen.dressed.after, seen.tape_worn)):
        gap = dressed.outline.h - carried_to(dressed.drops, tape)
        lowest = int(np.flatnonzero(gap.min(axis=1) < 0.5)[-1])  # the last level that it touches anywhere
        assert dressed.drops[lowest] < 0.6 * dressed.drops[-1]
        lower = dressed.outline.h[lowest:]
        assert lower == pytest.approx(np.broadcast_to(lower[0], lower.shape), abs=1.0)


def test_pegged_comes_in_to_the_knee_and_close_follows_the_legs():
    straight = preview(CLIENTS["average"]).dressed.after
    pegged = preview(with_values(CLIENTS["average"], {"cloth.below": "pegged", "cloth.nip": 20.0})).dressed.after
    close = preview(with_values(CLIENTS["average"], {"cloth.below": "close", "cloth.stretch": 20.0})).dressed.after
    assert straight.cut.girth[-1] == pytest.approx(straight.cut.girth[straight.cut.row :].max(), abs=1e-9)
    assert pegged.cut.girth[-1] == pytest.approx(straight.cut.girth[-1] - 40.0, abs=1e-6)
    assert close.girth[-1] < pegged.girth[-1] < straight.girth[-1]
    for one in (straight, pegged, close):
        assert one.cut.girth[: one.cut.row + 1] == pytest.approx(straight.cut.girth[: one.cut.row + 1])


def test_hem_may_hang_below_the_knee_but_not_above_the_thighs():
    long = preview(with_values(CLIENTS["average"], {"cloth.hem": 850.0})).dressed
    assert long.after.drops[-1] == 850.0 == long.before.cut.hem_drop
    assert (np.diff(long.after.drops) > 0).all() and np.diff(long.after.drops).max() < 40
    short = preview(with_values(CLIENTS["average"], {"cloth.hem": 500.0})).dressed.after
    shared = len(short.drops) - 1
    assert short.outline.h[:shared] == pytest.approx(preview(CLIENTS["average"]).dressed.after.outline.h[:shared])
    with pytest.raises(SheetError, match=r"cloth\.hem"):
        _ = preview(with_values(CLIENTS["tall"], {"cloth.hem": 360.0})).dressed


@pytest.mark.parametrize("name", ["usual", "uneven", "square edge"])
def test_points_lie_on_the_surface(name):
    dressed = preview(PADDED[name]).dressed.after
    points = dressed.points(193)
    assert points.shape == (2, len(dressed.drops), 193, 3)
    ring = np.concatenate([points[0], points[1][:, -2:0:-1]], axis=1)[..., :2]
    # every point inside the loop, and the loop no more than a thread's spacing past them
    # (over a square edge the envelope of threads leaves a loop that is hollow by a millimetre just above the pad)
    assert (support(ring, 96) <= dressed.outline.h + (1.2 if name == "square edge" else 0.25)).all()
    girth = np.linalg.norm(ring - np.roll(ring, 1, axis=1), axis=2).sum(axis=1)
    assert girth == pytest.approx(dressed.girth, abs=1.0)
    assert points[0][:, [0, -1]] == pytest.approx(points[1][:, [0, -1]], abs=1e-9)
    assert (points[0][:, 1:-1, 0] > 0).all() and (points[1][:, 1:-1, 0] < 0).all()
    sewn = dressed.points(193, sewn=True)
    ring = np.concatenate([sewn[0], sewn[1][:, -2:0:-1]], axis=1)[..., :2]
    assert np.linalg.norm(ring - np.roll(ring, 1, axis=1), axis=2).sum(axis=1) == pytest.approx(
        dressed.cut.girth, abs=1.0
    )


def test_threads_are_vertical_planes():
    dressed = preview(PADDED["usual"]).dressed.after
    x, y = np.moveaxis(dressed.points()[0][..., :2], -1, 0)
    angle = np.arctan2(y - dressed.axis, x)
    assert angle == pytest.approx(np.broadcast_to(angle[0], angle.shape), abs=1e-9)


def test_more_foam_and_more_cut_never_give_less():
    girths, cuts = [], []
    for foam in (8.0, 14.0, 20.0, 26.0):
        after = preview(with_values(PADDED["usual"], {"pads.thickness": foam})).dressed.after
        girths.append(after.girth)
    for ease in (0.0, 10.0, 20.0, 60.0):
        cuts.append(preview(with_values(PADDED["usual"], {"cloth.ease": ease})).dressed.after.girth)
    assert (np.diff(girths, axis=0) > -0.6).all()
    assert (np.diff(cuts, axis=0) > -0.05).all()


def test_tight_shell_lies_as_its_hoops_lie():
    loose = preview(PADDED["usual"])
    tight = preview(with_values(PADDED["usual"], {"cloth.shell_hip": loose.new_hip_girth - 25.0}))
    after = tight.dressed.after
    rows = tight.shell.rows[tight.shell.rows < after.cut.row]
    assert len(rows) and (after.pull[rows] > 0).all() and (after.squeeze[rows] > 0).all()
    assert after.outline.h[rows] == pytest.approx(tight.tape_worn.h[rows], abs=1e-6)
    assert after.pressure[rows].max() == pytest.approx(tight.shell.pressure[0], rel=0.2)


def test_bare_and_padded_are_dressed_alike():
    seen = preview(PADDED["usual"])
    bare = preview(with_values(PADDED["usual"], {"pads.front": False, "pads.back": False}))
    assert bare.dressed.after is bare.dressed.before
    assert bare.dressed.before.outline.h == pytest.approx(seen.dressed.before.outline.h, abs=1e-12)
    assert seen.dressed.before.cut.hip == pytest.approx(seen.tape_before.girth[seen.dressed.before.cut.row] + 20.0)
    assert seen.dressed.after.even and not preview(PADDED["uneven"]).dressed.after.even


def test_girth_is_linear_in_reach():
    a, b = rings([100.0, 120.0], [0, 50]).h, rings([150.0, 170.0], [0, 50], 0.3).h
    assert girth_of(0.3 * a + 0.7 * b) == pytest.approx(0.3 * girth_of(a) + 0.7 * girth_of(b))
    tape = rings([100.0, 150.0], [0, 50])
    half = replace(plenty(tape), girth=2 * np.pi * np.array([100.0, 155.0]))
    assert surface(half, tape).girth == pytest.approx(2 * np.pi * np.array([100.0, 150.0]))
