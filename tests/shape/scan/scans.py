"""Scans to try: sampled women's meshes, and solids whose sections are known exactly."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

import silhouette
from silhouette.shape.known_body import body_of

PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
FIXTURE = Path(__file__).with_name("scanned_women.npz")


@cache
def woman(number: int, finer: int = 1) -> tuple[trimesh.Trimesh, dict[str, float]]:
    """A sampled woman (``tests/learn_shape``, seed 404) from shin to chest, mm, z up, facing +y, and her landmarks."""
    with np.load(FIXTURE) as held:
        vertices, triangles, levels = held["vertices"][number] / 10.0, held["triangles"], held["levels"][number]
    vertices, triangles = trimesh.remesh.subdivide_loop(vertices, triangles.astype(np.int64), iterations=finer)
    # the sampled women stand in the body's left-handed axes: her left is -x in a file
    mesh = trimesh.Trimesh(vertices * [-1.0, 1.0, 1.0], triangles[:, ::-1], process=False)
    mesh.apply_translation([0.0, 0.0, -mesh.vertices[:, 2].min()])
    moved = held_foot(number)
    return mesh, dict(zip(("waist", "hip", "crotch", "knee"), (float(z) - moved for z in levels), strict=True))


@cache
def held_foot(number: int) -> float:
    """Height of the lowest point of the finer mesh above the fixture's zero, which is the sole."""
    with np.load(FIXTURE) as held:
        vertices, triangles = held["vertices"][number] / 10.0, held["triangles"].astype(np.int64)
    return float(trimesh.remesh.subdivide_loop(vertices, triangles, iterations=1)[0][:, 2].min())


def taut(mesh: trimesh.Trimesh, z: float) -> list[np.ndarray]:
    """Taut outlines (N, 2) of the separate parts of a plane section, by trimesh and scipy, the largest first."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import ConvexHull

    lines = trimesh.intersections.mesh_plane(mesh, plane_normal=[0, 0, 1], plane_origin=[0, 0, z])[..., :2]
    points, index = np.unique(np.round(lines.reshape(-1, 2), 6), axis=0, return_inverse=True)
    pairs = index.reshape(-1, 2)
    link = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points),) * 2)
    part = connected_components(link, directed=False)[1]
    found = []
    for one in range(part.max() + 1):
        cloud = points[part == one]
        if len(cloud) > 2 and np.ptp(cloud, axis=0).min() > 1.0:
            flat = ConvexHull(cloud)
            found.append((flat.volume, cloud[flat.vertices]))
    return [outline for _, outline in sorted(found, key=lambda one: -one[0])]


def around(outline: np.ndarray) -> float:
    return float(np.hypot(*(outline - np.roll(outline, 1, axis=0)).T).sum())


def both(parts: list[np.ndarray]) -> np.ndarray:
    """The taut outline round the two largest parts."""
    from scipy.spatial import ConvexHull

    points = np.concatenate(parts[:2])
    return points[ConvexHull(points).vertices]


def saved(mesh: trimesh.Trimesh, place: Path, unit: str = "mm", up: str = "z", **how: Any) -> Path:
    """A scan written in a unit and with another axis up: ``z``, ``y`` or ``-y`` and so on."""
    vertices = mesh.vertices / PER_UNIT[unit]
    turned = {"z": [0, 1, 2], "y": [1, 2, 0], "x": [2, 0, 1]}[up[-1]]
    vertices = vertices[:, turned]
    if up.startswith("-"):  # half a turn about another axis
        vertices = _half_turned(vertices, "xyz".index(up[-1]))
    trimesh.Trimesh(vertices, mesh.faces, process=False).export(place, **how)
    return place


def _half_turned(vertices: np.ndarray, axis: int) -> np.ndarray:
    signs = -np.ones(3)
    signs[(axis + 1) % 3] = 1.0
    return vertices * signs


def sheet(place: Path, girths: dict[str, Any], drops: Any = None, **body: Any) -> silhouette.Sheet:
    """A sheet in mm beside a scan."""
    plain = {"unit": "mm", "girths": girths, "drops": drops or {}, "body": {"scan": place.name, **body}}
    return silhouette.from_plain(plain, place.parent)


def hers(number: int, place: Path, **body: Any) -> silhouette.Sheet:
    """The sheet of a sampled woman, taped exactly where her landmarks are."""
    mesh, at = woman(number)
    girths = {"waist": around(taut(mesh, at["waist"])[0]), "hip": around(taut(mesh, at["hip"])[0])}
    levels = {"scan_waist": at["waist"], "scan_hip": at["hip"], **body}
    return sheet(place, girths, **levels)


def body_on(asked: silhouette.Sheet) -> silhouette.Body:
    return body_of(asked)[0]


def refusal(asked: silhouette.Sheet) -> str:
    """What a sheet is refused with."""
    try:
        body_of(asked)
    except silhouette.SheetError as error:
        assert all(fault.place.startswith("body.scan") for fault in error.faults)
        return str(error)
    raise AssertionError("it was not refused")


#: a figure of stacked ellipses: height, half breadth, half depth, middle of the depth
TRUNK = np.array(
    [
        [720, 186, 120, -8],
        [760, 190, 124, -10],
        [830, 186, 126, -18],
        [900, 160, 108, -8],
        [980, 136, 92, 0],
        [1040, 130, 90, 0],
        [1120, 145, 98, 4],
        [1200, 160, 104, 6],
    ]
)
#: a leg: height, half breadth, half depth, middle of the breadth and of the depth
LEG = np.array(
    [
        [300, 50, 56, 84, -6],
        [400, 56, 60, 86, -4],
        [480, 60, 64, 88, -4],
        [600, 78, 84, 92, -6],
        [720.5, 91, 117, 95, -8],
    ]
)


def tube(rows: np.ndarray, across: int = 180, step: float = 4.0) -> trimesh.Trimesh:
    """An open tube of ellipses (z, half breadth, half depth, x, y), straight between the rows."""
    z = np.unique(np.concatenate([np.arange(rows[0, 0], rows[-1, 0], step), rows[:, 0]]))
    a, b, x, y = (np.interp(z, rows[:, 0], column)[:, None] for column in rows[:, 1:].T)
    turn = np.arange(across) * (2 * np.pi / across)
    points = np.stack([x + a * np.cos(turn), y + b * np.sin(turn), np.broadcast_to(z[:, None], (len(z), across))], -1)
    index = np.arange(len(z) * across).reshape(len(z), across)
    right = np.roll(index, -1, axis=1)
    quads = np.stack([index[:-1], right[:-1], right[1:], index[1:]], -1).reshape(-1, 4)
    faces = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    return trimesh.Trimesh(points.reshape(-1, 3), faces, process=False)


def ellipse_woman(trunk: np.ndarray = TRUNK, leg: np.ndarray = LEG, across: int = 180) -> trimesh.Trimesh:
    """Trunk and two legs, each an open tube; their ends meet nothing."""
    body = np.column_stack([trunk[:, :3], np.zeros(len(trunk)), trunk[:, 3]])
    other = leg * [1, 1, 1, -1, 1]
    parts = [tube(rows, across) for rows in (body, leg, other)]
    whole = trimesh.util.concatenate(parts)
    assert isinstance(whole, trimesh.Trimesh)
    return whole


def around_ellipse(a: float, b: float) -> float:
    """Perimeter of an ellipse (complete elliptic integral of the second kind, scipy)."""
    from scipy.special import ellipe

    a, b = max(a, b), min(a, b)
    return float(4 * a * ellipe(1 - (b / a) ** 2))
