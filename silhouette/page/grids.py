"""Skins as grids of whole numbers, small enough to be sent with every move of a slider.

Every surface here is a grid of points, so its triangles follow from its two sizes: the browser lays them out
once for each pair of sizes and no index is ever sent.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np

from silhouette.cloth.dressed import Dressed
from silhouette.pipeline import Preview
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.pads import Pad, is_mirrored, mate_of
from silhouette.shown.skin_surfaces import unshaded

COLUMNS: Final = 31  #: points of half a loop of cloth that are drawn: about 6° apart, smoothly shaded
SKIN_STEP: Final = 3  #: of the body's points along a loop, those that are drawn
SKIN_ROWS: Final = 2  #: and of its levels
_FULL: Final = 32767
_FINE: Final = 0.04  #: mm; no eye needs points finer than that


@dataclass(frozen=True, eq=False)
class Grid:
    """Points (R, C, 3), mm. ``mirror``: the other side is the mirror image in the mid-plane and is not sent.

    ``role`` is ``skin`` (torso and legs, both figures), ``before`` or ``after`` (the cloth of a figure) or ``pad``.
    """

    role: str
    name: str
    points: Array
    mirror: bool = False


def body_key(result: Preview) -> str:
    """Names a bare figure: two sheets with the same key have the same skin and wear the same skirt over it.

    >>> import silhouette
    >>> len(body_key(silhouette.preview(silhouette.read_sheet("demo"))))
    16
    """
    return _key(result.body, result.dressed.before)


@lru_cache(maxsize=16)
def _key(body: Body, before: Dressed) -> str:
    kept = (body.outer.tobytes(), before.outline.h.tobytes(), before.drops.tobytes())
    return hashlib.sha256(b"".join(kept)).hexdigest()[:16]


def grids_of(result: Preview, *, body: bool = True) -> tuple[Grid, ...]:
    """Everything to be drawn; ``body`` False leaves out a body that the asker already has."""
    dressed = result.dressed
    bare = (*_skin_grids(result.body), *_cloth_grids("before", dressed.before)) if body else ()
    return (*bare, *_cloth_grids("after", dressed.after), *_pad_grids(result.pads))


def pack(grids: Iterable[Grid]) -> tuple[list[dict[str, Any]], bytes]:
    """Describe grids and put their points into one block of 16-bit integers, little-endian.

    A coordinate is its integer × ``step`` mm; ``start`` counts integers from the head of the block. What is written is
    each integer less its neighbours in the row above and the column before, plus the one that both share (modulo
    65536): next to nothing on a smooth skin, so that it is packed small. :func:`unpacked` adds it up again.

    >>> described, block = pack([Grid("pad", "left front", np.ones((2, 3, 3)))])
    >>> described[0]["rows"], described[0]["columns"], len(block)
    (2, 3, 36)
    """
    described: list[dict[str, Any]] = []
    blocks: list[bytes] = []
    start = 0
    for grid in grids:
        rows, columns = grid.points.shape[:2]
        step = max(float(np.abs(grid.points).max()) / _FULL, _FINE)
        whole = np.round(grid.points / step).astype(np.int32)
        for axis in (0, 1):
            whole = np.diff(whole, axis=axis, prepend=0)
        whole = whole.astype("<i2")  # what does not fit goes round, and comes back when it is added up
        described.append(
            dict(role=grid.role, name=grid.name, rows=rows, columns=columns, mirror=grid.mirror, step=step, start=start)
        )
        blocks.append(whole.tobytes())
        start += whole.size
    return described, b"".join(blocks)


def unpacked(described: Mapping[str, Any], block: bytes) -> Array:
    """The points (R, C, 3) of one described grid, mm.

    >>> made = np.arange(18.0).reshape(2, 3, 3)
    >>> (described,), block = pack([Grid("pad", "left front", made)])
    >>> bool(np.abs(unpacked(described, block) - made).max() <= 0.02)
    True
    """
    rows, columns, start = described["rows"], described["columns"], described["start"]
    written = np.frombuffer(block, "<i2")[start : start + rows * columns * 3].reshape(rows, columns, 3)
    whole = written.astype(np.int64).cumsum(axis=0).cumsum(axis=1).astype(np.int16)
    return np.asarray(whole * float(described["step"]), dtype=np.float64)


def _skin_grids(body: Body) -> list[Grid]:
    """Torso and legs, carried on above the waist and below the knee so that an eye reads a figure.

    A few points of each loop are plenty for an eye and spare a machine without a graphics card; tape and
    silhouettes are read off the full body.
    """
    torso, left, right = (surface.points for surface in unshaded(body))
    even = body.even
    middle = (torso.shape[1] - 1) // 2
    parts = [("left torso", torso[:, : middle + 1 : SKIN_STEP]), ("left leg", _loop(left))]
    if not even:
        parts += [("right torso", torso[:, middle::SKIN_STEP]), ("right leg", _loop(right))]
    return [Grid("skin", name, _thinned(points), even) for name, points in parts]


def _cloth_grids(role: str, dressed: Dressed) -> list[Grid]:
    left, right = dressed.points(COLUMNS)
    if dressed.even:
        return [Grid(role, "left cloth", left, True)]
    return [Grid(role, "left cloth", left), Grid(role, "right cloth", right)]


def _loop(ring: Array) -> Array:
    """Every few points of a closed loop (R, N, 3), its last one kept."""
    return np.concatenate([ring[:, :-1:SKIN_STEP], ring[:, -1:]], axis=1)


def _thinned(points: Array) -> Array:
    """Every few rows, the last one kept."""
    return np.concatenate([points[:-1:SKIN_ROWS], points[-1:]])


def _pad_grids(pads: Sequence[Pad]) -> list[Grid]:
    grids: list[Grid] = []
    for pad in pads:
        paired = is_mirrored(pad, pads)
        if paired and pad.side == "right":
            continue
        sewn = mate_of(pad, pads) is not None
        grids.append(Grid("pad", pad.name, pad.outer, paired))
        # a square edge stands up like a wall; an edge carved to nothing needs none
        if pad.thickness[:, -1].any():
            wall = np.stack([pad.outer[:, -1], pad.inner[:, -1]], axis=1)
            grids.append(Grid("pad", f"{pad.name} edge", wall, paired))
        if not sewn and pad.along_seam(pad.thickness).any():
            wall = np.stack([pad.along_seam(pad.outer), pad.along_seam(pad.inner)], axis=1)
            grids.append(Grid("pad", f"{pad.name} seam", wall, paired))
    return grids


def drafts_of(result: Preview) -> list[dict[str, Any]]:
    """The pads as they are drafted flat, mm: free edge and inner end of the bevel as [distance from the seam, drop].

    Distances count to the front of the seam, negative behind it. ``hip_y`` is where the free edge crosses the hip
    line, in body axes. Sides that are the same are said once, as the left one.
    """
    sides = ("left", "right") if result.sheet.left or result.sheet.right else ("left",)
    hip = result.figure.measures.hip_drop
    return [
        {
            "side": pad.side,
            "part": pad.part,
            "edge": _rounded(pad.outline[_few(len(pad.outline))]),
            "inside": _rounded(pad.flat[_few(len(pad.flat)), pad.inside]),
            "hip_y": round(float(np.interp(hip, pad.flat[:, -1, 1], pad.inner[:, -1, 1])), 1),
        }
        for pad in result.pads
        if pad.side in sides
    ]


@lru_cache(maxsize=16)
def _few(count: int) -> Array:
    """About thirty places of many, both ends among them."""
    return np.unique(np.linspace(0, count - 1, 31).round().astype(int))


def _rounded(points: Array) -> Any:
    return np.round(points, 1).tolist()
