"""A pad's body-side face laid flat: the template to cut it by, seen from outside the body.

The template keeps what was previewed: its edges are the pad's edges, its carving lines are the lines of equal
thickness, its hip line is the level line, all carried over by the same flattening.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

import numpy as np

from silhouette.asked.sheet import Side
from silhouette.cutting.flatten import Flat, Stretch, flatten, turned_to
from silhouette.cutting.patch import SPACING, Patch, bevelled_rim, patch_of, region_of
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.layers import slab_height
from silhouette.shape.pads import Pad, mate_of
from silhouette.shape.sides import OTHER, SIGN

QUARTERS: Final = (0.25, 0.5, 0.75)
SIMPLER: Final = 0.02  #: mm by which a carried line may leave out a point


@dataclass(frozen=True, eq=False)
class Template:
    """A pad laid flat; mm, x right, y up, outside face upward, middle of the side seam at the origin.

    `seam` (S, 2) and `free_edge` (E, 2) run from the upper to the lower tip. Each of `full` (where the bevel
    begins), `carve` (one tuple per quarter depth) and `hip` holds polylines (N, 2).
    """

    name: str
    side: Side
    part: str
    seam: Array
    free_edge: Array
    full: tuple[Array, ...]
    carve: tuple[tuple[Array, ...], ...]
    hip: tuple[Array, ...]
    hip_on_seam: Array | None
    stretch: Stretch
    area: float  #: mm²
    volume: float  #: foam left after carving, measured on the flat template, mm³
    seam_on_body: float  #: length of the side-seam edge on the body, mm
    outer_stretch: float  #: by how much the outer face is larger than the body-side face when worn, fraction

    @property
    def seam_length(self) -> float:
        """Length of the side-seam edge on the template, mm."""
        return length_of(self.seam)

    @property
    def outline(self) -> Array:
        """Down the side seam and up the free edge (N, 2), no point twice."""
        return np.concatenate([self.seam, self.free_edge[-2:0:-1]])

    def mirrored(self, name: str) -> Template:
        """The same template for the other hip."""
        flip = np.array([-1.0, 1.0])
        return replace(
            self,
            name=name,
            side=OTHER[self.side],
            seam=self.seam * flip,
            free_edge=self.free_edge * flip,
            full=tuple(line * flip for line in self.full),
            carve=tuple(tuple(line * flip for line in lines) for lines in self.carve),
            hip=tuple(line * flip for line in self.hip),
            hip_on_seam=None if self.hip_on_seam is None else self.hip_on_seam * flip,
        )


def length_of(points: Array) -> float:
    """Length of a polyline (N, 2) or (N, 3)."""
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def templates_of(pads: Sequence[Pad], body: Body, spacing: float = SPACING) -> tuple[Template, ...]:
    """One template for each pad, in order. A pad that mirrors an earlier one gets its mirrored template."""
    done: list[tuple[Pad, Template]] = []
    for pad in pads:
        mate = mate_of(pad, pads)
        twin = next((t for p, t in done if mirror_images(p, pad)), None)
        done.append((pad, twin.mirrored(pad.name) if twin else unrolled(pad, body, mate, spacing)))
    return tuple(template for _, template in done)


def mirror_images(one: Pad, two: Pad) -> bool:
    """Whether two pads are the same but for the side they lie on."""
    flip = np.array([-1.0, 1.0, 1.0])
    return (
        one.side == OTHER[two.side]
        and one.place == two.place
        and one.bevel == two.bevel
        and one.profile == two.profile
        and one.inner.shape == two.inner.shape
        and bool(np.array_equal(one.thickness, two.thickness))
        and bool(np.allclose(one.inner * flip, two.inner, atol=1e-9))
        and bool(np.allclose(one.outer * flip, two.outer, atol=1e-9))
    )


def unrolled(pad: Pad, body: Body, mate: Pad | None, spacing: float = SPACING) -> Template:
    """Lay one pad's body-side face flat; `mate` is the other pad of its side, if there is one.

    The side-seam edge keeps its length on the body, so that front and back pad still meet there. Raises
    `FoldOver` when the face cannot be laid flat.
    """
    import shapely

    patch = patch_of([pad], body, spacing, mate=mate)
    laid = LaidFlat(patch, pad.side)
    tip = int(patch.seam[-1])
    rim = laid.points[: patch.rim]
    one, two = rim[: tip + 1], np.concatenate([rim[:1], rim[: tip - 1 : -1]])
    seam, free = (two, one) if pad.part == "back" else (one, two)
    bevelled = pad.bevel > 0
    areas = triangle_areas(laid.points, laid.flat.triangles)
    hip = body.measures.hip_drop
    across = shapely.LineString([[-1e4, hip], [1e4, hip]]).intersection(region_of(pad))
    within = pad.outline[0, 1] < hip < pad.outline[-1, 1]
    return Template(
        name=pad.name,
        side=pad.side,
        part=pad.part,
        seam=seam,
        free_edge=free,
        full=laid.lines(depth_line(pad, pad.bevel, mate)) if bevelled else (),
        carve=tuple(laid.lines(depth_line(pad, d, mate)) for d in depths(pad)) if bevelled else (),
        hip=laid.lines(across) if within else (),
        hip_on_seam=laid.carried(np.array([[0.0, hip]]))[0] if within else None,
        stretch=laid.flat.stretch,
        area=float(areas.sum()),
        volume=float((areas * patch.thickness[laid.flat.triangles].mean(axis=1)).sum()),
        seam_on_body=length_of(patch.inner[patch.seam]),
        outer_stretch=_area_in_space(patch.outer, patch) / _area_in_space(patch.inner, patch) - 1.0,
    )


class LaidFlat:
    """A patch's inner or outer face laid flat and seen from outside, with the way to carry lines over.

    `points` (N, 2) run as the patch's points do: x to the right for someone who faces that hip (the wearer's
    front lies to the left on her left hip, to the right on her right), y up, middle of the seam at (0, 0).
    """

    def __init__(self, patch: Patch, side: Side, *, outer: bool = False) -> None:
        seam = np.stack([patch.seam[:-1], patch.seam[1:]], axis=-1)
        # Lengths alone decide the flat shape; triangles are counter-clockwise in (distance, -drop).
        self.flat: Flat = flatten(patch.outer if outer else patch.inner, patch.triangles, seam)
        upright = turned_to(self.flat.points, patch.flat * [1.0, -1.0])
        upright = upright - upright[patch.seam].mean(axis=0)
        self.patch = patch
        self.points: Array = upright * [-SIGN[side], 1.0]
        if side == "left":
            self.flat = replace(self.flat, points=self.points, triangles=patch.triangles[:, ::-1])
        else:
            self.flat = replace(self.flat, points=self.points)

    def carried(self, flat: Array) -> Array:
        """Where points (P, 2) given by distance from the side seam and drop come to lie."""
        import shapely

        tree, frames = self._locator
        # the triangle that holds the point; on a curved rim, where a point lies a hair outside the mesh's chords,
        # the nearest one
        point, found = tree.query_nearest(shapely.points(flat), all_matches=False)
        near = found[np.argsort(point)]
        part = np.einsum("pij,pj->pi", frames[near, :, :2], flat - frames[near, :, 2])
        share = np.concatenate([part, 1 - part.sum(axis=1, keepdims=True)], axis=1)
        return np.asarray(np.einsum("pk,pkx->px", share, self.points[self.patch.triangles[near]]))

    @cached_property
    def _locator(self) -> tuple[Any, Array]:
        """Search tree over the flat triangles, and for each the map (2, 3) from a point to its corner shares."""
        import shapely

        corners = self.patch.flat[self.patch.triangles]
        a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
        frames = np.empty((len(a), 2, 3))
        frames[..., :2] = np.linalg.inv(np.stack([a - c, b - c], axis=-1))
        frames[..., 2] = c
        return shapely.STRtree(shapely.polygons(corners)), frames

    def lines(self, shape: Any, step: float = 2.0) -> tuple[Array, ...]:
        """A shapely line or several, given by distance from the seam and drop, carried over (N, 2)."""
        import shapely

        parts = [part for part in shapely.get_parts(shape) if part.length > 3.0]
        carried = [self.carried(shapely.get_coordinates(shapely.segmentize(part, step))) for part in parts]
        return tuple(shapely.get_coordinates(shapely.simplify(shapely.LineString(line), SIMPLER)) for line in carried)


def depth_line(pad: Pad, inward: float, mate: Pad | None) -> Any:
    """The line of a pad that lies `inward` mm from its bevelled edges, in flat coordinates (shapely lines).

    With a `mate` sewn to it the seam is no such edge, but the mate's free edge is. Empty when the pad is nowhere
    that wide.
    """
    import shapely

    edges = bevelled_rim([pad, *([mate] if mate else [])])
    rest = region_of(pad).difference(edges.buffer(inward, quad_segs=32))
    line = shapely.union_all([shapely.get_exterior_ring(part) for part in shapely.get_parts(rest)])
    if mate:  # without the piece along the seam
        line = line.difference(shapely.LineString([[0.0, -1e4], [0.0, 1e4]]).buffer(1e-6))
    return line if line.geom_type == "LineString" else shapely.line_merge(line)


def depths(pad: Pad) -> tuple[float, ...]:
    """How far in from the edge (mm) a quarter, a half and three quarters of the foam are left.

    Read from the profile's own curve; 0 for a square edge.
    """
    share = np.linspace(0.0, 1.0, 2001)
    return tuple(
        map(float, np.interp(QUARTERS, slab_height(pad.profile, share, pad.layer, pad.layers), share) * pad.bevel)
    )


def triangle_areas(points: Array, triangles: Any) -> Array:
    """Signed areas (M,) of plane triangles, positive when counter-clockwise."""
    u, v = (
        points[triangles[:, 1]] - points[triangles[:, 0]],
        points[triangles[:, 2]] - points[triangles[:, 0]],
    )
    return np.asarray((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2, dtype=np.float64)


def _area_in_space(points: Array, patch: Patch) -> float:
    a, b, c = (points[patch.triangles[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)
