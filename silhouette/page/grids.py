"""Skins as grids of whole numbers, small enough to be sent with every move of a slider.

Every surface here is a grid of points, so its triangles follow from its two sizes: the browser lays them out
once for each pair of sizes and no index is ever sent.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from silhouette.pipeline import Preview
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.pads import Pad, is_mirrored

ARC_STRIDE: Final = 2  #: of the body's points along an arc, those that are drawn
_FULL: Final = 32767


@dataclass(frozen=True, eq=False)
class Grid:
    """Points (R, C, 3), mm. ``mirror``: the other side is the mirror image in the mid-plane and is not sent.

    ``role`` is ``body`` (before and after), ``pad`` (after), or ``worn`` (instead of body and pads, once cloth
    has squeezed them).
    """

    role: str
    name: str
    points: Array
    mirror: bool = False


def body_key(seen: Preview) -> str:
    """Names a body: two sheets with the same key have the same skin to the last digit.

    >>> import silhouette
    >>> len(body_key(silhouette.preview(silhouette.read_sheet("demo"))))
    16
    """
    return hashlib.sha256(seen.body.outer.tobytes()).hexdigest()[:16]


def grids_of(seen: Preview, *, body: bool = True) -> tuple[Grid, ...]:
    """Everything to be drawn; ``body`` False leaves out a body that the asker already has."""
    return (*(_body_grids(seen.body) if body else ()), *_pad_grids(seen.pads))


def pack(grids: Iterable[Grid]) -> tuple[list[dict[str, Any]], bytes]:
    """Describe grids and put their points into one block of 16-bit integers, little-endian.

    A coordinate is its integer × ``step`` mm; ``start`` counts integers from the head of the block.

    >>> told, block = pack([Grid("pad", "left front", np.ones((2, 3, 3)))])
    >>> told[0]["rows"], told[0]["columns"], len(block)
    (2, 3, 36)
    """
    told: list[dict[str, Any]] = []
    blocks: list[bytes] = []
    start = 0
    for grid in grids:
        rows, columns = grid.points.shape[:2]
        step = max(float(np.abs(grid.points).max()), 1.0) / _FULL
        whole = np.round(grid.points / step).astype("<i2")
        told.append(
            dict(role=grid.role, name=grid.name, rows=rows, columns=columns, mirror=grid.mirror, step=step, start=start)
        )
        blocks.append(whole.tobytes())
        start += whole.size
    return told, b"".join(blocks)


def _body_grids(body: Body) -> tuple[Grid, ...]:
    """Outer and inner arcs of the wearer's left, which the page mirrors where the figure is even; else of both.

    Every second point of an arc is plenty for an eye (about 4° apart, smoothly shaded) and halves the work of a
    machine without a graphics card; tape and silhouettes are read off the full body.
    """
    outer, inner = body.skin
    left = (
        Grid("body", "outer", outer[0, :, ::ARC_STRIDE], body.even),
        Grid("body", "inner", inner[0, :, ::ARC_STRIDE], body.even),
    )
    if body.even:
        return left
    right = (
        Grid("body", "outer right", outer[1, :, ::ARC_STRIDE], False),
        Grid("body", "inner right", inner[1, :, ::ARC_STRIDE], False),
    )
    return (*left, *right)


def _pad_grids(pads: Sequence[Pad]) -> list[Grid]:
    grids: list[Grid] = []
    for pad in pads:
        paired = is_mirrored(pad, pads)
        if paired and pad.side < 0:
            continue
        sewn = any(p.side == pad.side and p.part != pad.part for p in pads)
        grids.append(Grid("pad", pad.name, pad.outer, paired))
        # a square edge stands up like a wall; an edge carved to nothing needs none
        if pad.thickness[:, -1].any():
            wall = np.stack([pad.outer[:, -1], pad.inner[:, -1]], axis=1)
            grids.append(Grid("pad", f"{pad.name} edge", wall, paired))
        if not sewn and pad.along_seam(pad.thickness).any():
            wall = np.stack([pad.along_seam(pad.outer), pad.along_seam(pad.inner)], axis=1)
            grids.append(Grid("pad", f"{pad.name} seam", wall, paired))
    return grids
