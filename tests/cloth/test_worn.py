"""Cloth over foam, against closed forms, Steiner's formula, the energy balance and plain sense."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.spatial import ConvexHull
from scipy.special import ellipe

from silhouette.asked.materials import read_grade
from silhouette.cloth.chain import Strips
from silhouette.cloth.foam_curve import Foam, from_grade
from silhouette.cloth.taut import TEAR_TENSION, rest
from silhouette.cloth.worn import SNUG_PULL, energy, felt, lying_on, under_shell
from tests.plain_cloth import plain_girth


@dataclass(frozen=True)
class Linear:
    """Foam that answers in proportion to strain; for closed forms only."""

    modulus: float  # kPa
    lock: float = 1.0

    def stress(self, strain):
        return self.modulus * strain, np.full_like(strain, self.modulus)

    def work(self, strain):
        return self.modulus * strain**2 / 2, self.modulus * strain**3 / 3


def loop(x, y, loose, levels=1):
    """Strips of one closed curve, outward normals from neighbours, repeated over levels."""
    points = np.stack([x, y], -1)
    along = np.roll(points, -1, 0) - np.roll(points, 1, 0)
    out = np.stack([along[:, 1], -along[:, 0]], -1) / np.linalg.norm(along, axis=1)[:, None]
    if (out * points).sum() < 0:
        out = -out
    thickness = np.broadcast_to(np.asarray(loose, float), x.shape)
    points, out, thickness = (np.repeat(part[None], levels, 0) for part in (points, out, thickness))
    return Strips.of(points, out, thickness)


def circle(radius, loose, count=400, levels=1):
    angle = np.arange(count) * 2 * np.pi / count
    return loop(radius * np.cos(angle), radius * np.sin(angle), loose, levels)


def padded_section(loose=25.0, count=200, levels=1, gap=25.0, reach=127.0, bevel=38.0, half=(190.0, 125.0)):
    """A superellipse with a bevelled pad round each side, hollow at the centre back, bare in front."""
    dense = np.linspace(0, 2 * np.pi, 4001)
    curve = [a * np.sign(f) * np.abs(f) ** (2 / 2.3) for a, f in zip(half, (np.sin(dense), np.cos(dense)), strict=True)]
    arc = np.r_[0, np.cumsum(np.hypot(*np.diff(curve, axis=1)))]
    at = np.arange(count) / count * arc[-1]
    quarter = arc[-1] / 4
    from_seam = np.where(at < 2 * quarter, at - quarter, 3 * quarter - at)  # + towards the back
    share = np.minimum(np.clip((reach + from_seam) / bevel, 0, 1), np.clip((quarter - gap - from_seam) / bevel, 0, 1))
    return loop(np.interp(at, arc, curve[0]), np.interp(at, arc, curve[1]), loose * share, levels)


def hull_girth(strips):
    faces = strips.body + strips.loose[..., None] * strips.outward
    return np.array([ConvexHull(level).area for level in faces])


def bare_girth(strips):
    return np.array([ConvexHull(level).area for level in strips.body])


@pytest.mark.parametrize("grade", ["35/15", "40/28", "35/50"])
def test_a_snug_shell_round_a_circle_squeezes_each_grade_by_its_own_curve(grade):
    # pull = stress(e) (R + t (1 − e)), solved for e by scipy; on the body the pull is spread over R itself
    foam, body, thick = from_grade(read_grade(grade)), 160.0, 20.0
    worn = lying_on(circle(body, thick, 720), foam, np.array([2 * np.pi * (body + thick)]))
    strain = brentq(
        lambda e: float(foam.stress(np.asarray(e))[0]) * (body + thick * (1 - e)) - SNUG_PULL, 0, 0.9, xtol=1e-12
    )
    assert 0.002 < strain < 0.04
    assert worn.thickness == pytest.approx(np.full((1, 720), thick * (1 - strain)), abs=1e-4)
    assert worn.squeeze == pytest.approx([strain], rel=1e-4)
    assert worn.pressure == pytest.approx(np.full((1, 720), SNUG_PULL / body), rel=1e-4)


def test_circle_with_linear_foam_meets_the_closed_form():
    # Full wrap of a round body: worn radius r = girth/2π, stress E(1 − (r − R)/t), tension = stress · r. Exact.
    body, thick, modulus = 160.0, 20.0, 9.0
    girths = 2 * np.pi * (body + np.linspace(4, 19.5, 12))
    strips = circle(body, thick, 1440, 12)
    worn = under_shell(strips, Linear(modulus), girths, np.full(12, 2 * np.pi * (body + thick)))
    radius = girths / (2 * np.pi)
    tension = modulus * (1 - (radius - body) / thick) * radius
    assert worn.tension == pytest.approx(tension, rel=1e-3)
    assert worn.thickness.mean(1) == pytest.approx(radius - body, rel=1e-3)
    assert worn.girth == pytest.approx(girths, rel=1e-9)
    assert worn.pressure.mean(1) == pytest.approx(tension / body, rel=1e-3)  # force is kept, width shrinks inward


def test_circle_with_stretching_cloth_meets_the_closed_form():
    # Cut girth G, stiffness k: r = G(1 + T/k)/2π and T = E(1 − (r − R)/t) r; the root is found by bisection here.
    body, thick, modulus, cut, stiffness = 160.0, 25.0, 8.0, 1080.0, 1500.0
    low, high = 0.0, 5000.0
    for _ in range(80):
        pull = (low + high) / 2
        radius = cut * (1 + pull / stiffness) / (2 * np.pi)
        low, high = (pull, high) if modulus * (1 - (radius - body) / thick) * radius > pull else (low, pull)
    strips = circle(body, thick, 720)
    worn = under_shell(strips, Linear(modulus), np.array([cut]), np.array([2 * np.pi * (body + thick)]), stiffness)
    assert worn.tension[0] == pytest.approx(low, rel=1e-3)
    assert worn.girth[0] == pytest.approx(2 * np.pi * radius, rel=1e-4)
    assert worn.girth[0] > cut


@pytest.mark.parametrize("thick, girth", [(10, 1014.7582), (20, 1077.5901), (30, 1140.4219)])
def test_rigid_foam_on_an_ellipse_is_steiner(thick, girth):
    # Steiner: perimeter + 2πt; perimeter by the complete elliptic integral. Rigid foam lets no shell under that.
    assert 4 * 180 * ellipe(1 - (120 / 180) ** 2) + 2 * np.pi * thick == pytest.approx(girth, abs=1e-3)
    angle = np.arange(1440) * 2 * np.pi / 1440
    x, y = 180 * np.cos(angle), 120 * np.sin(angle)
    out = np.stack([np.cos(angle) / 180, np.sin(angle) / 120], -1)
    out /= np.linalg.norm(out, axis=1)[:, None]
    strips = Strips.of(np.stack([x, y], -1)[None], out[None], np.full((1, 1440), float(thick)))
    worn = under_shell(strips, Foam(0.4, 1e9), np.array([girth - 20]), hull_girth(strips))
    assert worn.girth[0] == pytest.approx(girth, rel=1e-4)
    assert not worn.closes[0]


@pytest.mark.parametrize("tension, radius, pressure", [(100, 160, 0.625), (100, 50, 2.0), (250, 80, 3.125)])
def test_pressure_is_tension_over_radius(tension, radius, pressure):
    # p = T/R: 625, 2000 and 3125 Pa. Foam of 2 mm on a body of R, pressure counted on the body.
    strips = circle(float(radius), 2.0)
    found = rest(strips, Foam(0.4, 5.0), tension=np.array([float(tension)]))
    on_body = found.corner * tension / strips.inner
    assert found.ok.all()
    assert on_body == pytest.approx(np.full_like(on_body, pressure), rel=1e-3)


def test_flat_and_hollow_places_are_not_pressed():
    # A stadium's straight sides turn through no angle; a dented side is bridged.
    arc = np.linspace(-np.pi / 2, np.pi / 2, 60)
    x = np.r_[
        50 + 50 * np.cos(arc), np.linspace(50, -50, 42)[1:-1], -50 - 50 * np.cos(arc), np.linspace(-50, 50, 42)[1:-1]
    ]
    y = np.r_[50 * np.sin(arc), np.full(40, 50.0), -50 * np.sin(arc), np.full(40, -50.0)]
    dent = np.r_[np.zeros(60), 8 * np.sin(np.linspace(0, np.pi, 42))[1:-1], np.zeros(100)]
    out = np.r_[
        np.stack([np.cos(arc), np.sin(arc)], -1),
        np.tile([0.0, 1], (40, 1)),
        np.stack([-np.cos(arc), -np.sin(arc)], -1),
        np.tile([0.0, -1], (40, 1)),
    ]
    strips = Strips.of(np.stack([x, y - dent], -1)[None], out[None], np.full((1, 200), 10.0))
    worn = under_shell(strips, Foam(0.4, 3.0), hull_girth(strips) - 6, hull_girth(strips))
    top, bottom = slice(62, 98), slice(162, 198)
    assert worn.pressure[0, top] == pytest.approx(0, abs=1e-9)
    assert worn.thickness[0, top] == pytest.approx(10, abs=1e-9)
    assert (worn.pressure[0, 10:50] > 1).all()
    # On the straight undented side the foam is pressed near its ends only, and ever less towards the middle.
    assert worn.pressure[0, bottom].max() < worn.pressure[0, 10:50].min()


def test_loose_shell_leaves_exactly_the_uncompressed_tape():
    strips = padded_section(levels=3)
    loose = hull_girth(strips)
    worn = under_shell(strips, Foam(0.4, 1.5), loose + np.array([0.0, 1.0, 60.0]), loose)
    assert (worn.girth == loose).all() and (worn.tension == 0).all() and (worn.pressure == 0).all()
    assert (worn.thickness == strips.loose).all() and worn.closes.all()


def test_very_tight_shell_stops_at_densified_foam_and_the_body():
    strips = padded_section(levels=2)
    body, loose = bare_girth(strips), hull_girth(strips)
    foam = Foam(0.4, 3.0)
    worn = under_shell(strips, foam, np.array([body[0] - 200, body[0]]), loose)
    left = worn.thickness[~strips.firm & (strips.loose > 5)]
    assert (left > 0).all()
    assert (worn.girth >= body).all() and (worn.girth < body + 0.15 * (loose - body)).all()
    assert not worn.closes.any() and worn.tension == pytest.approx(TEAR_TENSION)


def test_work_of_the_cloth_is_the_energy_of_the_foam():
    # ∫ T dG from loose to worn, by 40-point Gauss–Legendre, against the foam's own integral: independent paths.
    strips = padded_section()
    loose = hull_girth(strips)[0]
    node, weight = np.polynomial.legendre.leggauss(40)
    for foam in (Foam(0.4, 5.0), Foam(0.3, 1.5, 60)):
        tight = loose - 45.0
        # The square root takes out the steep start of tension at the loose end.
        share = ((node + 1) / 2) ** 2
        girths = loose - 45.0 * share
        many = padded_section(levels=40)
        pulls = under_shell(many, foam, girths, np.full(40, loose)).tension
        work = float((weight / 2 * 2 * np.sqrt(share) * 45.0 * pulls).sum())
        worn = under_shell(strips, foam, np.array([tight]), np.array([loose]))
        assert energy(strips, foam, worn.thickness)[0] == pytest.approx(work, rel=2e-3)


@pytest.mark.parametrize("pull", [60.0, 300.0])
def test_plain_energy_minimum_over_hulls_agrees(pull):
    # Independent route: scipy's L-BFGS-B on the foam's energy plus tension times the perimeter of scipy's ConvexHull.
    strips, foam = padded_section(count=96), Foam(0.4, 2.8)
    found = rest(strips, foam, tension=np.array([pull]))
    assert found.length[0] == pytest.approx(plain_girth(strips, foam, pull), abs=0.15)
    assert found.length[0] < hull_girth(strips)[0] - 1


def test_balance_of_forces_at_every_corner():
    # Tension times the turn of the cloth equals foam stress times the width of its strip; hollows carry nothing.
    strips, foam = padded_section(), Foam(0.4, 2.8)
    worn = under_shell(strips, foam, hull_girth(strips) - 30, hull_girth(strips))
    strain = np.where(strips.firm, 0, 1 - worn.thickness / np.where(strips.firm, 1, strips.loose))
    width = strips.outer - (strips.outer - strips.inner) * strain
    soft = ~strips.firm & (worn.thickness < strips.loose)
    push = (foam.stress(strain)[0] * width)[soft]
    assert (worn.pressure * strips.inner)[soft] == pytest.approx(push, rel=1e-4, abs=1e-3)


def test_snug_shell_pulls_as_asked():
    strips = padded_section(levels=4)
    loose = hull_girth(strips)
    for pull in (30.0, 100.0, 1000.0):
        worn = lying_on(strips, Foam(0.4, 5.0), loose, pull)
        assert worn.tension == pytest.approx(np.full(4, pull), rel=1e-9)
        again = under_shell(strips, Foam(0.4, 5.0), worn.girth, loose)
        assert again.tension == pytest.approx(worn.tension, rel=1e-4)
    assert (lying_on(strips, Foam(0.4, 5.0), loose, 0.0).girth == loose).all()


def test_bare_levels_are_left_alone():
    strips = circle(150, 0.0, levels=2)
    girth = bare_girth(strips)
    worn = under_shell(strips, Foam(0.4, 5.0), girth + np.array([5, -5]), girth)
    assert (worn.girth == girth).all() and worn.closes.tolist() == [True, False]


def test_felt_pressure_keeps_the_total_force():
    strips = padded_section()
    worn = under_shell(strips, Foam(0.4, 5.0), hull_girth(strips) - 20, hull_girth(strips))
    even = felt(strips, worn.pressure)
    assert even.max() <= worn.pressure.max()
    assert (even * strips.inner).sum() == pytest.approx((worn.pressure * strips.inner).sum(), rel=1e-2)


shapes = st.tuples(
    st.floats(3, 60),
    st.floats(-15, 60),
    st.floats(60, 220),
    st.floats(0.5, 80),
    st.floats(120, 250),
    st.floats(0.5, 0.95),
)


@settings(max_examples=25, deadline=None)
@given(shapes, st.floats(0.5, 30), st.sampled_from([np.inf, 600.0, 3000.0]))
def test_tighter_shell_never_gives_a_larger_girth(shape, firmness, stiffness):
    thick, gap, reach, bevel, half, ratio = shape
    strips = padded_section(thick, 150, 16, gap, reach, bevel, (half, half * ratio))
    body, loose = bare_girth(strips), hull_girth(strips)
    worn = under_shell(strips, Foam(0.4, firmness), np.linspace(body[0] - 10, loose[0] + 5, 16), loose, stiffness)
    assert np.isfinite(worn.girth).all() and np.isfinite(worn.pressure).all()
    assert (np.diff(worn.girth) > -1e-4).all()
    assert (np.diff(worn.tension) < 1e-3 * np.maximum(worn.tension[:-1], 1)).all()
    assert (worn.girth >= body - 0.1).all() and (worn.girth <= loose).all()
    assert (worn.thickness >= 0).all() and (worn.thickness <= strips.loose).all()


@settings(max_examples=25, deadline=None)
@given(shapes, st.floats(0.05, 0.9), st.sampled_from([np.inf, 600.0, 3000.0]))
def test_firmer_foam_never_gives_a_smaller_girth(shape, tight, stiffness):
    thick, gap, reach, bevel, half, ratio = shape
    strips = padded_section(thick, 150, 1, gap, reach, bevel, (half, half * ratio))
    body, loose = bare_girth(strips), hull_girth(strips)
    shell = body + tight * (loose - body)
    girths = [under_shell(strips, Foam(0.4, kpa), shell, loose, stiffness).girth[0] for kpa in (0.8, 1.5, 2.8, 5, 12)]
    assert (np.diff(girths) > -1e-4).all()
