"""What a picture is made of: cloth outside everything it covers, every grid turned outward, torso and legs joined."""

from __future__ import annotations

import numpy as np
import pytest

from silhouette import from_plain, preview
from silhouette.asked.supplies import COLOURS
from silhouette.shape.support import support
from silhouette.shown.scene import dressed_surfaces, padded_surfaces
from silhouette.shown.shading import lit, outward_normals
from silhouette.shown.surface import Surface
from silhouette.shown.tones import TONES
from tests.clients import plain_sheet

SHOWN = preview(from_plain(plain_sheet(pads={"thickness": 1, "right": {"front": False, "back": False}})))
DRESSED = dressed_surfaces(SHOWN, SHOWN.dressed.after)


def named(name: str) -> Surface:
    return next(surface for surface in DRESSED if surface.name == name)


def test_every_tone_a_sheet_can_name_has_its_colour():
    assert set(TONES) == set(COLOURS)


def test_cloth_lies_outside_body_and_pads_at_every_level():
    cloth, drops = named("cloth").points, SHOWN.dressed.after.drops
    reach = support(cloth[: len(drops), :, :2], SHOWN.tape_after.h.shape[1])
    rows = int((SHOWN.tape_after.drops <= drops[-1]).sum())
    worn = SHOWN.shell.worn_figure.after.h[:rows]
    assert (reach[:rows] - worn).min() > -0.2  # mm; a polygon of 193 threads cuts its corners


@pytest.mark.parametrize("surface", DRESSED, ids=lambda s: s.name)
def test_grids_turn_outward(surface: Surface):
    if surface.role == "inside":
        return
    normals = outward_normals(surface.points)
    middle = surface.points.mean(axis=1, keepdims=True)
    outward = ((surface.points - middle) * normals).sum(axis=-1)
    if surface.role == "band":
        outward = outward[2:]  # the first rows go over its upper edge and down inside
    assert (outward > 0).mean() > 0.9
    triangles = surface.triangles
    corners = surface.points.reshape(-1, 3)[triangles]
    faces = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert np.isfinite(faces).all() and triangles.max() == surface.points.shape[0] * surface.points.shape[1] - 1


def test_torso_and_legs_continue_the_body_where_it_ends():
    skins = {s.name: s.points for s in padded_surfaces(SHOWN, ()) if s.role == "skin"}
    for points in skins.values():
        assert np.abs(np.diff(points[..., 2], axis=0)).max() < 25  # mm: rows follow each other without a jump
    waist = SHOWN.body.skin[0][0, 0]
    torso = skins["torso"]
    row = int(np.argmin(np.abs(torso[:, 0, 2])))
    assert np.allclose(torso[row, : len(waist)], waist)
    assert torso[..., 2].max() > 150  # mm above the waist
    assert min(skins["left leg"][..., 2].min(), skins["right leg"][..., 2].min()) < -SHOWN.body.drops[-1] - 150


def test_light_comes_from_the_left_above_and_shade_darkens():
    eye = np.eye(3)
    left, right, up = (
        lit(np.array([[n]], float), (120, 120, 120), eye)[0, 0, 0]
        for n in ([-0.8, 0, 0.6], [0.8, 0, 0.6], [0, 0.8, 0.6])
    )
    assert left > right and up > right
    assert (
        lit(np.array([[[0.0, 0, 1]]]), (120, 120, 120), eye, np.array([[0.5]]))[0, 0, 0]
        < lit(np.array([[[0.0, 0, 1]]]), (120, 120, 120), eye)[0, 0, 0]
    )
