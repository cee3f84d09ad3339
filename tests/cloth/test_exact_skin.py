"""The long way to the dressed surface against closed forms, and the product's closed form against the long way."""

from dataclasses import replace

import numpy as np
import pytest

from silhouette.asked.reading import read_sheet
from silhouette.cloth.cut_girths import carried_to
from silhouette.cloth.foam_curve import Foam
from silhouette.cloth.taut import rest
from silhouette.cloth.thread_points import corners
from silhouette.pipeline import preview
from silhouette.shape.support import support
from silhouette.shape.tape import Tape
from tests.clients import CLIENTS, PADDED
from tests.cloth.exact_skin import Net, hanging, solve
from tests.cloth.test_worn import padded_section

RAYS = 24
TURN = np.arange(RAYS) * (2 * np.pi / RAYS)
RIM = 2 * RAYS * np.sin(np.pi / RAYS)  # girth of a polygon of RAYS corners on a circle of radius 1


def round_net(drops, radius, pull, loose=0.0):
    """A body of revolution of the given radii (L,), with foam ``loose`` mm thick all over; ``pull`` N/m."""
    drops, radius = np.asarray(drops, float), np.asarray(radius, float)
    out = np.broadcast_to(np.stack([np.cos(TURN), np.sin(TURN)], -1), (len(drops), RAYS, 2))
    shape = (len(drops), RAYS)
    step = 2 * np.pi / RAYS
    return Net(
        drops, radius[:, None, None] * out, out, np.zeros(shape), np.broadcast_to(pull, len(drops) - 1),
        np.full(RAYS, radius.max() * step), np.full(shape, loose),
        np.broadcast_to(radius[:, None] * step, shape), np.broadcast_to((radius[:, None] + loose) * step, shape),
    )  # fmt: skip


def test_without_pull_down_every_level_is_a_hoop_by_itself():
    foam, strips = Foam(0.4, 5.0), padded_section(count=80, levels=3)
    bare = np.linalg.norm(strips.body - np.roll(strips.body, 1, axis=1), axis=2).sum(1)
    cut = bare + np.array([20.0, 30.0, 45.0])
    hoops = rest(strips, foam, girth=cut)
    assert (hoops.tension > 1).all()
    net = Net(
        np.array([0.0, 10.0, 20.0]), strips.body, strips.outward, strips.firm * strips.loose, np.zeros(2),
        np.ones(strips.loose.shape[1]), np.where(strips.firm, 0.0, strips.loose), strips.inner, strips.outer,
    )  # fmt: skip
    start = net.floor + np.where(strips.firm, 1e-3, 0.12 * strips.loose)
    found = solve(net, cut, foam, start, gap=5e-7, pinned=False)
    assert found.s == pytest.approx(hoops.s, abs=1e-5)
    assert found.tension == pytest.approx(
        hoops.tension, rel=5e-3
    )  # a loop's room is the small difference of two girths


def test_two_curvature_law_on_a_barrel():
    # p = T/r1 + V/r2 (Laplace 1806), on a ball of foam under a girdle: what presses is what the foam answers
    drops, pull, foam = np.linspace(-60, 60, 25), 40.0, Foam(0.4, 5.0)
    radius = np.sqrt(150.0**2 - drops**2)
    net = round_net(drops, radius, pull, loose=20.0)
    found = solve(net, RIM * (radius + 15.0), foam, np.full(net.floor.shape, 13.0), gap=1e-6, pinned=False)
    s = found.s[:, 0]
    down = net.points(found.s)[:, 0, 0]
    mid = slice(8, 17)
    slope, bend = np.gradient(down, drops), np.gradient(np.gradient(down, drops), drops)
    step = 2 * np.pi / RAYS
    hoop = found.tension * 2 * np.sin(step / 2)  # what a corner of the polygon presses with, N/m
    thread = -pull * net.width[0] * bend / (1 + slope**2) ** 1.5  # and a thread, per mm of height
    strain = 1 - s / 20.0
    answer = (net.outer - (net.outer - net.inner) * strain[:, None])[:, 0] * foam.stress(strain)[0]
    assert (hoop + thread)[mid] / answer[mid] == pytest.approx(np.ones(9), abs=5e-3)  # second differences over 5 mm
    assert (thread[mid] > 0.05 * hoop[mid]).all(), "both families bear"


def test_bridged_meridian_is_a_circular_arc():
    # a thread of pull F drawn in by hoops of even tension T per unit turn lies on a circle of radius F / T
    drops, pull, bow = np.linspace(0, 200, 41), 3.0, 400.0
    arc = 150 + (np.sqrt(bow**2 - 100**2) - np.sqrt(bow**2 - (drops - 100) ** 2))  # 150 at both ends, drawn in between
    radius = np.where((drops == 0) | (drops == 200), 150.0, 60.0)
    net = round_net(drops, radius, pull)
    start = np.broadcast_to(np.maximum(arc - radius - 0.05, 0.01)[:, None], net.floor.shape)
    cut = RIM * np.where(radius == 150.0, 160.0, arc)
    found = solve(replace(net, loose=None), cut, None, start, gap=1e-8)
    assert net.points(found.s)[1:-1, 0, 0] == pytest.approx(arc[1:-1], abs=1e-3)
    force = pull * net.width[0]
    turn = 2 * np.sin(np.pi / RAYS)
    assert found.tension[2:-2] * turn == pytest.approx(np.full(37, force / bow), rel=0.01)


def test_slack_hoops_between_two_rings_are_a_straight_cone_and_the_hem_is_plumb():
    drops = np.linspace(0, 300, 31)
    radius = np.full(31, 40.0)
    radius[0], radius[15] = 110.0, 160.0
    net = round_net(drops, radius, 1.0)
    found = solve(replace(net, loose=None), np.full(31, 2000.0), gap=1e-8)
    over = net.points(found.s)[:, 0, 0]
    assert over[:16] == pytest.approx(np.linspace(110, 160, 16), abs=0.01)
    assert over[15:] == pytest.approx(np.full(16, 160.0), abs=1.0)
    assert (found.tension < 1e-6).all()


def test_energy_falls_with_the_cut_by_the_tension_and_the_cut_is_kept():
    drops, foam = np.linspace(-60, 60, 13), Foam(0.4, 5.0)
    radius = np.sqrt(150.0**2 - drops**2)
    net = round_net(drops, radius, 2.0, loose=20.0)
    start = np.full(net.floor.shape, 12.0)
    cuts = [RIM * (radius + 15.0) + change for change in (-0.02, 0.0, 0.02)]
    less, even, more = (solve(net, cut, foam, start, gap=1e-6, pinned=False) for cut in cuts)
    assert (less.energy - more.energy) / 0.04 == pytest.approx((even.tension * net.heights).sum(), rel=2e-3)
    assert even.length == pytest.approx(cuts[1], abs=0.01)


def rays_of(tape, axis, turn):
    """Distance (L, R) from the axis to the loops of a tape, along polar angles (R,)."""
    loops = corners(tape) - [0.0, axis]
    side = np.roll(loops, -1, axis=1) - loops
    ray = np.stack([np.cos(turn), np.sin(turn)], -1)
    across = ray[:, None, 0] * side[:, None, :, 1] - ray[:, None, 1] * side[:, None, :, 0]
    reach = (loops[..., 0] * side[..., 1] - loops[..., 1] * side[..., 0])[:, None] / np.where(across > 1e-9, across, 1)
    along = (ray[:, None, 0] * loops[:, None, :, 0] + ray[:, None, 1] * loops[:, None, :, 1]) > 0
    # a convex loop is met where the nearest of its sides' lines is
    return np.where((across > 1e-9) & (reach > 0) & along, reach, np.inf).min(axis=2)


@pytest.mark.parametrize("name", ["demo", "average", "full", "slender", "thick", "uneven"])
def test_closed_form_keeps_to_the_long_way(name):
    seen = preview(read_sheet("demo") if name == "demo" else (CLIENTS | PADDED)[name], advice=False)
    dressed, turn = seen.dressed.after, (np.arange(36) + 0.5) * (2 * np.pi / 36)
    rows = np.unique(np.r_[0 : len(dressed.drops) : 3, dressed.cut.row, len(dressed.drops) - 1])
    drops = dressed.drops[rows]
    loops = carried_to(dressed.drops, seen.tape_worn)[rows]
    base = rays_of(Tape(drops, dressed.outline.directions, loops), dressed.axis, turn)
    shown = rays_of(Tape(drops, dressed.outline.directions, dressed.outline.h[rows]), dressed.axis, turn)
    out = np.broadcast_to(np.stack([np.cos(turn), np.sin(turn)], -1), (*base.shape, 2))
    body = base[..., None] * out
    net = Net(drops, body, out, np.zeros_like(base), hanging(drops), base.max(axis=0) * (2 * np.pi / 36))
    # the same ease over the loop, on the coarser polygon
    around = np.linalg.norm(body - np.roll(body, 1, axis=1), axis=2).sum(axis=1)
    cut = around + np.maximum(dressed.cut.girth[rows] - Tape(drops, dressed.outline.directions, loops).girth, 2.0)
    long_way = net.points(solve(net, cut, gap=1e-5).s)
    # as outlines, seen from every direction
    apart = np.abs(support(shown[..., None] * out, 96) - support(long_way, 96))
    above = drops <= dressed.drops[dressed.cut.row]
    assert apart[above].max() < 5.0
    assert apart[~above].max() < 4.0
