"""Pads that reach below the crotch: on the outer side of the leg, widest where they can be, not past the knee."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull

from silhouette import SheetError
from silhouette.shape.pads import lay_pads
from silhouette.shape.solids import body_solid, pad_solid
from silhouette.shape.tape import leg_girth
from tests.clients import body, figure, sheet

LONG = {"pads.thickness": 25.4, "pads.start": 50.8, "pads.front_reach": 152.4, "pads.back_gap": 25.4, "pads.end": 381.0}


@pytest.mark.parametrize(
    ("keys", "girths"),
    [
        ({**LONG, "client.size": 18}, {"waist": 889, "hip": 1168.4}),
        ({"pads.end": 500}, {"waist": 740, "hip": 1010}),
        ({"pads.start": 250, "pads.end": 500}, {"waist": 740, "hip": 1010}),
        ({"pads.end": 420, "pads.fullness_below": 1.0}, {"waist": 1050, "hip": 1300, "thigh": 760}),
        (
            {
                "pads.front_outline": [[0, 40], [120, 200], [170, 350], [0, 500]],
                "pads.back_outline": [[0, 40], [200, 200], [180, 350], [0, 500]],
            },
            {"waist": 740, "hip": 1010},
        ),
    ],
)
def test_below_the_crotch_a_pad_keeps_to_the_outer_side_of_the_leg(keys, girths):
    """Read off the body: a sounding of each edge point against the end of the outer arc at its level."""
    seen = figure(sheet(keys, **girths))
    crotch = seen.body.drops[seen.body.crotch]
    assert any(pad.narrowed > 1 for pad in seen.pads)
    for pad in lay_pads(seen.sheet, seen.body, rows=161):
        low = pad.outline[:, 1] > crotch
        end = np.abs(seen.body.arc[pad.half][:, 0 if pad.part == "front" else -1])
        room = np.interp(pad.outline[low, 1], seen.body.drops, end)
        assert np.all(np.abs(pad.outline[low, 0]) <= 0.8 * room + 1e-6)
        step = np.diff(pad.outline, axis=0)
        bend = np.abs(np.diff(np.unwrap(np.arctan2(*step.T)))) / np.linalg.norm(step[1:], axis=1)
        near = np.abs(pad.outline[1:-1, 1] - crotch) < 50
        assert bend[near].max() < 1 / 10, "drawn in with no bend sharper than a radius of 10 mm"
        assert pad_solid(pad).watertight


@pytest.mark.parametrize(("start", "end", "widest"), [(30, 140, 85), (40, 286, 203), (280, 500, 390), (150, 450, 203)])
def test_a_pad_is_widest_at_the_hip_line_or_where_it_can_be(start, end, widest):
    seen = figure(sheet({"pads.start": start, "pads.end": end}, waist=740, hip=1010))
    front = seen.pads[0]
    assert front.outline[np.argmax(front.outline[:, 0]), 1] == pytest.approx(widest, abs=6)
    assert front.outline[[0, -1], 1] == pytest.approx([start, end])


def test_an_outer_thigh_pad_adds_to_one_leg_what_its_section_shows():
    """Reference library: trimesh cuts body and pad below the crotch, and hulls what one leg shows."""
    seen = figure(sheet({"pads.start": 280, "pads.end": 500, "pads.thickness": 20}, waist=740, hip=1010))
    drop = 380.0
    pads = [pad for pad in seen.pads if pad.side == "left"]
    points = []
    for solid in (body_solid(seen.body), *map(pad_solid, pads)):
        mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
        cut = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, -drop]).reshape(-1, 3)[:, :2]
        points.append(cut[cut[:, 0] > 0])
    hull = ConvexHull(np.concatenate(points)).area  # of a flat hull, its perimeter
    assert leg_girth(seen.body, drop, pads) == pytest.approx(hull, abs=0.4)
    assert leg_girth(seen.body, drop, pads) > leg_girth(seen.body, drop) + 15


def test_what_reaches_past_the_knee_is_refused_with_the_lowest_that_can_be():
    asked = sheet({"pads.end": 640}, waist=740, hip=1010)
    with pytest.raises(SheetError, match="the lowest that can be is 579 mm"):
        lay_pads(asked, body(asked))
    assert lay_pads(replace(asked, pads=replace(asked.pads, end=579.0)), body(asked))
