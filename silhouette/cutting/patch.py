"""A well-shaped triangle mesh over one pad, or over a front and back pad sewn together.

A pad's own grid is fine for solids, but its cells shear to slivers near the tips, and a sliver says nothing
about stretch. So points are spread evenly in flat coordinates, joined by Delaunay triangles, and laid on the
body as the pad itself was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from silhouette.shape.body import Body
from silhouette.shape.curves import Array, Ints
from silhouette.shape.draft import FlatPad
from silhouette.shape.layers import carved
from silhouette.shape.laying import on_body
from silhouette.shape.pads import Pad, foam_beneath

SPACING: Final = 6.0  #: mm between mesh points; about 2,000 on a large pad
CORNER: Final = 0.2  #: radians by which an outline turns at a corner that must stay one
RIM: Final = 0.7  #: share of that on the rim and the side seam, which are cut along


@dataclass(frozen=True, eq=False)
class Patch:
    """Mesh over one pad or a joined pair; every array runs over the same N points, the rim first.

    flat (N, 2)        distance from the side seam (front positive) and drop, mm
    inner, outer (N, 3) places on the body and on the outer face
    thickness, edge (N,) foam there, and distance from the nearest bevelled edge
    triangles (M, 3)   counter-clockwise in (distance, -drop)
    rim                number of rim points: they go once round, counter-clockwise in (distance, -drop)
    seam (S,)          numbers of the points on the side seam, upper tip to lower tip
    """

    flat: Array
    inner: Array
    outer: Array
    thickness: Array
    edge: Array
    triangles: Ints
    rim: int
    seam: Ints


def patch_of(pads: Sequence[Pad], body: Body, spacing: float = SPACING, *, mate: Pad | None = None) -> Patch:
    """Mesh one pad, or the front and back pad of one side sewn at the side seam.

    `mate` is the pad that a pad meshed by itself is sewn to: its seam is not bevelled then.

    Raises `ValueError` when the outline is too narrow somewhere to be meshed at this spacing.
    """
    for refinement in (1.0, 0.7, 0.5):
        h = spacing * refinement
        rim, seam_count = _rim(pads, RIM * h)
        seam = _evenly(_seam(pads[0]), RIM * h)[1:-1] if len(pads) == 2 else np.empty((0, 2))
        lattice = _lattice(rim, seam, h)
        points = np.concatenate([rim, seam, lattice])
        triangles = _triangles(points, rim)
        if triangles is not None:
            break
    else:
        raise ValueError("the outline is too narrow somewhere to be laid out")
    if len(pads) == 2:
        upper, lower = 0, seam_count
        on_seam = np.concatenate([[upper], len(rim) + np.arange(len(seam)), [lower]])
    elif pads[0].part == "front":
        on_seam = np.arange(seam_count)
    else:
        on_seam = np.concatenate([[0], np.arange(len(rim) - 1, len(rim) - seam_count, -1)])
    inner, outer, thickness, edge = _laid(pads, body, points, bevelled_rim([*pads, *([mate] if mate else [])]))
    return Patch(
        flat=points,
        inner=inner,
        outer=outer,
        thickness=thickness,
        edge=edge,
        triangles=triangles,
        rim=len(rim),
        seam=on_seam.astype(np.int64),
    )


def region_of(pad: Pad) -> Any:
    """A pad's outline in flat coordinates, distance from the side seam and drop, as a shapely polygon."""
    import shapely

    return shapely.Polygon(pad.outline)


def bevelled_rim(pads: Sequence[Pad]) -> Any:
    """The edges that are carved, as a shapely line: the free edges of a pair, or all round a lone pad."""
    import shapely

    if len(pads) == 1:
        return region_of(pads[0]).exterior
    return shapely.union_all([shapely.LineString(pad.outline) for pad in pads])


def _seam(pad: Pad) -> Array:
    """The side seam of a pad, tip to tip (2, 2)."""
    return np.array([[0.0, pad.outline[0, 1]], [0.0, pad.outline[-1, 1]]])


def _evenly(line: Array, spacing: float) -> Array:
    """A polyline (N, 2) pointed again at even steps of about `spacing`, its ends and corners kept.

    >>> _evenly(np.array([[0.0, 0.0], [30.0, 0.0]]), 12.0)[:, 0].tolist()
    [0.0, 10.0, 20.0, 30.0]
    """
    side = np.diff(line, axis=0)
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(side, axis=1))])
    way = np.unwrap(np.arctan2(side[:, 1], side[:, 0]))
    corners = run[1:-1][np.abs(np.diff(way)) > CORNER]
    ends = np.concatenate([[0.0], corners, [run[-1]]])
    steps = [
        np.linspace(a, b, max(2, int(np.ceil((b - a) / spacing))) + 1) for a, b in zip(ends[:-1], ends[1:], strict=True)
    ]
    at = np.unique(np.concatenate(steps))
    return np.stack([np.interp(at, run, line[:, k]) for k in (0, 1)], axis=-1)


def _rim(pads: Sequence[Pad], spacing: float) -> tuple[Array, int]:
    """Rim from the upper tip counter-clockwise in (distance, -drop), and where the lower tip comes in it.

    Seen with distance to the right and drop downward, counter-clockwise from the top goes down the left:
    the back pad's free edge, or the seam of a lone front pad.
    """
    edges = {pad.part: _evenly(pad.outline, spacing) for pad in pads}
    seam = _evenly(_seam(pads[0]), spacing)
    left, right = edges.get("back", seam), edges.get("front", seam)
    count = len(left) - 1 if len(pads) == 2 else len(seam)
    return np.concatenate([left, right[-2:0:-1]]), count


def _lattice(rim: Array, seam: Array, spacing: float) -> Array:
    """Points of a hexagonal lattice inside the rim, clear of rim and seam."""
    import shapely

    (x0, y0), (x1, y1) = rim.min(axis=0), rim.max(axis=0)
    rise = spacing * np.sqrt(0.75)
    # measured from the seam and from the middle, so that mirrored pads get mirrored points
    right = np.arange(0.0, max(x1, -x0) + spacing, spacing)
    x = np.concatenate([-right[:0:-1], right])
    half = np.arange(0.0, (y1 - y0) / 2 + rise, rise)
    y = (y0 + y1) / 2 + np.concatenate([-half[:0:-1], half])
    grid_x, grid_y = np.meshgrid(x, y)
    grid_x[len(half) % 2 :: 2] += spacing / 2
    points = np.stack([grid_x.ravel(), grid_y.ravel()], axis=-1)
    inside = shapely.buffer(shapely.Polygon(rim), -0.55 * spacing)
    kept = shapely.contains_xy(inside, points)
    if len(seam):
        kept &= np.abs(points[:, 0]) > 0.55 * spacing
    return np.asarray(points[kept])


def _triangles(points: Array, rim: Array) -> Ints | None:
    """Delaunay triangles inside the rim, or None when they do not follow it."""
    import shapely

    built = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(points)))
    corners = shapely.get_coordinates(built).reshape(-1, 4, 2)[:, :3]
    key = points[:, 0] + 1j * points[:, 1]  # complex numbers sort by x, then by y
    order = np.argsort(key)
    simplices = order[np.searchsorted(key[order], corners[..., 0] + 1j * corners[..., 1])]
    triangles = simplices[shapely.contains_xy(shapely.Polygon(rim), corners.mean(axis=1))]
    u, v = (points[triangles[:, k]] - points[triangles[:, 0]] for k in (1, 2))
    turn = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    triangles = np.where(turn[:, None] > 0, triangles[:, ::-1], triangles)  # drop counts downward
    # triangles of three rim points in a straight line have no area
    triangles = triangles[np.abs(turn) > 1e-7]
    sides = np.sort(triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    edges, count = np.unique(sides, axis=0, return_counts=True)
    outer = edges[count == 1]
    n = len(rim)
    wanted = np.sort(np.stack([np.arange(n), np.roll(np.arange(n), -1)], axis=-1), axis=1)
    wanted = wanted[np.lexsort((wanted[:, 1], wanted[:, 0]))]
    return triangles if outer.shape == wanted.shape and np.array_equal(outer, wanted) else None


def _laid(pads: Sequence[Pad], body: Body, points: Array, rim: Any) -> tuple[Array, Array, Array, Array]:
    """Inner place, outer place, thickness and edge distance of flat points (P, 2), as the pads were laid."""
    import shapely

    away = shapely.distance(shapely.points(points), rim)
    inner, outer = np.empty((len(points), 3)), np.empty((len(points), 3))
    thickness, edge = np.empty(len(points)), np.empty(len(points))
    for number, pad in enumerate(pads):
        sign = 1.0 if pad.part == "front" else -1.0
        mine = sign * points[:, 0] >= -1e-9 if number == 0 else sign * points[:, 0] > 1e-9
        distance, drop = np.maximum(sign * points[mine, 0], 0.0)[:, None], points[mine, 1][:, None]
        flat = FlatPad(distance, drop, away[mine][:, None], pad.outline * [sign, 1.0])
        laid = on_body(flat, body, pad.half, sign, pad.evened)
        edge[mine] = np.minimum(away[mine], max(pad.bevel, 0.0))
        thickness[mine] = pad.foam * carved(edge[mine], pad.bevel, pad.profile, pad.layer, pad.layers)
        beneath = foam_beneath(pad.under, pad.label, pad.part, points[mine])
        inner[mine] = laid.points[:, 0] + beneath[:, None] * laid.away[:, 0]
        outer[mine] = inner[mine] + thickness[mine][:, None] * laid.away[:, 0]
    return inner, outer, thickness, edge
