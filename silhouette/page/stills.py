"""Still pictures of the dressed figure as PNG, drawn with numpy alone: they are made on any machine, screen or none.

Every grid is sampled so finely that no pixel is missed, lit at its points, and the sample nearest to the eye stays.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from silhouette.cloth.dressed import Dressed
from silhouette.pipeline import Preview
from silhouette.shape.curves import Array
from silhouette.shown.scene import dressed_surfaces
from silhouette.shown.shading import lit, ways_outward
from silhouette.shown.surface import Surface
from silhouette.shown.tones import colours_of

GROUND: Final = (251, 250, 247)  #: the paper behind the figure
FINER: Final = 2  #: picture points are drawn this many times finer and then averaged: smooth edges
ABOVE, BELOW = 96.0, 120.0  #: mm above the waist and below the hem that are in the picture
BESIDE: Final = 55.0  #: mm kept free beside the widest figure
#: Turned so far about the plumb line, as the page's named views: radians.
TURNS: Final = {"front": 0.0, "side": np.pi / 2, "back": np.pi}


class Frame(NamedTuple):
    """What a picture shows: mm from the axis to either side, height of its upper and lower edge, px per mm."""

    reach: float
    top: float
    foot: float
    scale: float


def stills(result: Preview, height: int = 340) -> dict[str, tuple[bytes, bytes]]:
    """PNG pictures of the figure before and after from the front, the side and the back, all in one scale."""
    pair = result.dressed
    foot = -float(pair.before.drops[-1]) - BELOW
    reach = float(max(np.abs(d.outline.h).max() for d in (pair.before, pair.after))) + BESIDE
    frame = Frame(reach, ABOVE, foot, height / (ABOVE - foot))
    colours = colours_of(result)

    def parts(dressed: Dressed) -> list[tuple[Surface, Array, tuple[int, int, int]]]:
        surfaces = dressed_surfaces(result, dressed)
        return [(s, ways_outward(s), colours[s.role]) for s in surfaces]

    before, after = parts(pair.before), parts(pair.after)
    return {
        name: (png(_picture(before, turn, frame)), png(_picture(after, turn, frame))) for name, turn in TURNS.items()
    }


def _picture(
    parts: Sequence[tuple[Surface, Array, tuple[int, int, int]]], turn: float, frame: Frame
) -> NDArray[np.uint8]:
    """One picture (H, W, 3)."""
    scale = frame.scale * FINER
    width, height = (2 * round(mm * scale / 2) for mm in (2 * frame.reach, frame.top - frame.foot))
    eye = np.array([[np.cos(turn), np.sin(turn), 0.0], [0.0, 0.0, 1.0], [-np.sin(turn), np.cos(turn), 0.0]])
    places, depths, colours = [], [], []
    for surface, normals, colour in parts:
        facing = np.where((normals @ eye[2])[..., None] < 0, -normals, normals)
        grid = np.concatenate([surface.points @ eye.T, lit(facing, colour, eye, surface.shade)], axis=-1)
        fine = _finer(grid.astype(np.float32), scale).reshape(-1, 6)
        column = np.floor((fine[:, 0] + frame.reach) * scale).astype(int)
        row = np.floor((frame.top - fine[:, 1]) * scale).astype(int)
        within = (column >= 0) & (column < width) & (row >= 0) & (row < height)
        places.append((row * width + column)[within])
        depths.append(fine[within, 2])
        colours.append(fine[within, 3:])
    nearest_last = np.argsort(np.concatenate(depths))
    image = np.tile(np.array(GROUND, np.float32), (height * width, 1))
    image[np.concatenate(places)[nearest_last]] = np.concatenate(colours)[nearest_last]
    coarse = image.reshape(height // FINER, FINER, width // FINER, FINER, 3).mean(axis=(1, 3))
    return np.asarray(np.round(coarse), np.uint8)


def _finer(grid: Array, scale: float) -> Array:
    """A grid (R, C, K) filled in along rows and columns until its points lie closer than the picture's."""
    for axis in (0, 1):
        steps = np.linalg.norm(np.diff(grid[..., :2], axis=axis), axis=-1).max(axis=1 - axis)
        counts = np.maximum(np.ceil(steps * scale * 1.1).astype(int), 1)
        at = np.concatenate([[0.0], *(k + np.arange(1, n + 1) / n for k, n in enumerate(counts))])
        low = np.minimum(at.astype(int), grid.shape[axis] - 2)
        share = (at - low).astype(np.float32).reshape((-1, 1, 1) if axis == 0 else (1, -1, 1))
        grid = np.take(grid, low, axis) * (1 - share) + np.take(grid, low + 1, axis) * share
    return grid


def png(image: NDArray[np.uint8]) -> bytes:
    """A picture (H, W, 3) as a PNG file (W3C, Portable Network Graphics, third edition): 8-bit RGB, one block of data.

    >>> png(np.zeros((2, 3, 3), np.uint8))[:8]
    b'\\x89PNG\\r\\n\\x1a\\n'
    """
    height, width = image.shape[:2]
    rows = image.reshape(height, -1)
    up = np.concatenate([rows[:1], np.diff(rows, axis=0)])  # filter 2: each row less the one above, modulo 256
    data = np.concatenate([np.full((height, 1), 2, np.uint8), up.astype(np.uint8)], axis=1).tobytes()
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(data, 6)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in chunks
    )
