"""Meshes: what closed means, volumes of known solids, body and pads together."""

import numpy as np
import pytest
import trimesh

from silhouette.shape.solids import Solid, is_closed, slab, solids_of
from tests.clients import PADDED, figure

CUBE = slab(1.0, 1.0, 1.0)


def test_slab_is_a_closed_box_of_its_volume():
    box = slab(30.0, 20.0, 10.0)
    assert box.volume == pytest.approx(6000.0) and box.watertight
    assert trimesh.Trimesh(box.vertices, box.triangles).volume == pytest.approx(6000.0)


def test_a_hole_a_turned_triangle_and_a_triangle_too_many_are_noticed():
    assert is_closed(CUBE.triangles)
    assert not is_closed(CUBE.triangles[1:])
    turned = CUBE.triangles.copy()
    turned[3] = turned[3, ::-1]
    assert not is_closed(turned)
    assert not is_closed(np.concatenate([CUBE.triangles, CUBE.triangles[:1]]))
    assert not is_closed(np.empty((0, 3), dtype=int))


@pytest.mark.parametrize("make", [trimesh.creation.icosphere, trimesh.creation.box, trimesh.creation.torus])
def test_closed_and_volume_agree_with_trimesh(make):
    mesh = make(**({"major_radius": 3, "minor_radius": 1} if make is trimesh.creation.torus else {}))
    solid = Solid("reference", np.asarray(mesh.vertices), np.asarray(mesh.faces))
    assert solid.watertight is bool(mesh.is_watertight)
    assert solid.volume == pytest.approx(mesh.volume)
    inside_out = Solid("inside out", solid.vertices, solid.triangles[:, ::-1])
    assert inside_out.volume == pytest.approx(-mesh.volume)


def test_volume_does_not_depend_on_where_the_solid_stands():
    moved = Solid("moved", CUBE.vertices + np.array([400.0, -300.0, 900.0]), CUBE.triangles)
    assert moved.volume == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize("name", PADDED)
def test_body_first_then_each_pad_all_closed(name):
    seen = figure(PADDED[name])
    solids = solids_of(seen.body, seen.pads)
    assert [s.name for s in solids] == ["body", *(pad.name for pad in seen.pads)]
    for solid in solids:
        assert solid.watertight and solid.volume > 0
        assert len(np.unique(solid.triangles)) == len(solid.vertices), "no vertex that nothing uses"
        sides = solid.vertices[solid.triangles]
        assert np.isfinite(sides).all()


def test_body_topology_is_a_sphere():
    """Euler's formula V − E + F = 2: no handle, one shell (trimesh.body_count)."""
    seen = figure(PADDED["usual"])
    for solid in solids_of(seen.body, seen.pads):
        mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
        assert mesh.euler_number == 2 and mesh.body_count == 1
