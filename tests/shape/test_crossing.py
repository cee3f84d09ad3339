"""Pads of every shape: closed after a file of single precision, and nowhere running through themselves."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Any

import igl.copyleft.cgal as cgal
import numpy as np
import pytest
import trimesh

from silhouette import SheetError
from silhouette.asked.reading import from_plain
from silhouette.shape.figure import figure_of
from silhouette.shape.solids import Solid, pad_solid, slab
from silhouette.shown.models import stl
from tests.loaded_meshes import mesh_of

DEEPEST = 0.05  #: mm; what a file may hold of itself running through itself


def crossing_depth(solid: Solid) -> float:
    """How deep a mesh runs through itself, mm: pairs of triangles from CGAL's exact predicates (libigl), for each the
    lesser side of one beyond the plane of the other."""
    _, _, pairs, *_ = cgal.remesh_self_intersections(
        np.ascontiguousarray(solid.vertices), np.ascontiguousarray(solid.triangles, dtype=np.int64), detect_only=True
    )
    if len(pairs) == 0:
        return 0.0
    one, other = (solid.vertices[solid.triangles[pairs[:, k]]] for k in (0, 1))
    depth = np.full(len(pairs), np.inf)
    for a, b in ((one, other), (other, one)):
        normal = np.cross(a[:, 1] - a[:, 0], a[:, 2] - a[:, 0])
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-30)[:, None]
        away = np.einsum("nkj,nj->nk", b - a[:, :1], normal)
        depth = np.minimum(depth, np.maximum(np.minimum(away.max(1), -away.min(1)), 0.0))
    return float(depth.max())


def read_back(solid: Solid) -> trimesh.Trimesh:
    """The solid as it stands in its STL file, equal corners merged."""
    return mesh_of(stl(solid))


def drafted(chance: random.Random) -> dict[str, Any]:
    """Pads as the workroom drafts them, over the whole of what is usual and somewhat beyond."""
    hip = chance.uniform(800, 1500)
    pads = {
        "thickness": chance.uniform(4, 40),
        "bevel": chance.uniform(0, 80),
        "start": chance.uniform(0, 120),
        "profile": chance.choice(["straight", "rounded", "feathered"]),
        "end": chance.uniform(240, 380),
        "front_reach": chance.uniform(85, 0.2 * hip),
        "back_gap": chance.uniform(0, 60),
        "fullness": chance.uniform(0, 1),
        "front": chance.random() < 0.85,
    }
    girths = {"hip": hip, "waist": hip * chance.uniform(0.62, 0.95), "thigh": hip * chance.uniform(0.54, 0.64)}
    return {"unit": "mm", "girths": girths, "pads": pads}


def by_points(chance: random.Random) -> dict[str, Any]:
    """Outlines of one's own, some of them odd: fat and lean by turns, wide and low, square-edged."""
    plain = drafted(chance)
    count = chance.choice([3, 4, 5, 8])
    drops = sorted(chance.uniform(0, 420) for _ in range(count))
    reach = [chance.choice([12.0, 40.0, 120.0, 250.0]) * chance.uniform(0.8, 1.2) for _ in drops[2:]]
    part = chance.choice(["front", "back"])
    plain["pads"] |= {f"{part}_outline": [list(p) for p in zip([0.0, *reach, 0.0], drops, strict=True)]}
    plain["pads"] |= {"front": part == "front", "back": part == "back", "bevel": chance.choice([0.0, 10.0, 38.0])}
    return plain


def test_the_measure_of_crossing_knows_one_slab_driven_into_another():
    one, other = slab(30.0, 30.0, 10.0), slab(5.0, 5.0, 40.0)
    through = other.vertices + np.array([10.0, 10.0, 9.0])
    both = Solid("two", np.concatenate([one.vertices, through]), np.concatenate([one.triangles, other.triangles + 8]))
    assert crossing_depth(one) == 0.0
    assert 0.5 < crossing_depth(both) <= 5.0


def solids_of_random_pads(draw: Callable[[random.Random], Any], count: int, least: int) -> Iterator[tuple[Any, Solid]]:
    """Where it is drawn and the solid, for every pad that can be built; a mirrored pair once.

    Fails where fewer than ``least`` of ``count`` sheets can be built, or a refusal does not say place and reason.
    """
    built = 0
    for seed in range(count):
        try:
            laid = figure_of(from_plain(draw(random.Random(seed)))).pads
        except SheetError as refused:
            assert all(fault.place and fault.message for fault in refused.faults)
            continue
        built += 1
        yield from (((seed, pad.name), pad_solid(pad)) for pad in laid if not (pad.twin and pad.side == "right"))
    assert built >= least, "most of what is drawn can be built"


@pytest.mark.parametrize(("draw", "count", "least"), [(drafted, 40, 30), (by_points, 60, 15)])
def test_random_pads_stay_closed_in_a_file_and_clear_of_themselves(draw, count, least):
    """Closed: trimesh, on what it reads back. Crossing: CGAL through libigl."""
    for place, solid in solids_of_random_pads(draw, count, least):
        mesh = read_back(solid)
        assert mesh.is_watertight and mesh.is_winding_consistent, place
        assert mesh.volume == pytest.approx(solid.volume, rel=1e-9), place
        assert crossing_depth(solid) < DEEPEST, place


@pytest.mark.parametrize(
    "outlines",
    [
        {
            "front_outline": [[0, 20], [116, 40], [15, 67], [0, 246]],
            "back_outline": [[0, 20], [135, 132], [0, 246]],
        },
        {"back": False, "front_outline": [[0, 7], [280, 91], [300, 96], [1, 127], [1, 290], [5, 400], [0, 448]]},
        {"front": False, "back_outline": [[0, 13], [5, 40], [1, 67], [52, 148], [0.01, 175], [0, 203]]},
    ],
)
def test_odd_outlines_are_shown_or_refused(outlines):
    from silhouette import preview
    from silhouette.shown.report import report

    plain = {
        "unit": "mm",
        "girths": {"waist": 965, "hip": 1184},
        "pads": {"thickness": 6, "bevel": 0, **outlines},
    }
    try:
        report(preview(from_plain(plain)))
    except SheetError as refused:
        assert all(fault.place.startswith("pads") and fault.message for fault in refused.faults)
