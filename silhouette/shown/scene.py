"""What a picture of the dressed figure is made of: grids of points with a role, for stills and 3D files.

The cloth is the dressed surface; waistband, seams, zip and hem are drawn on it so that an eye reads a skirt. None of
them is measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from silhouette.cloth.dressed import Dressed
from silhouette.pipeline import Preview
from silhouette.shape.curves import Array
from silhouette.shape.pads import Pad
from silhouette.shown.skin_surfaces import body_surfaces
from silhouette.shown.surface import Surface, once_round

COLUMNS: Final = 97  #: threads of each half, centre front to centre back
BAND: Final = 32.0  #: height of the waistband, mm
CLOTH: Final = 1.6  #: how far the cloth stands off what it lies on, so that no skin pokes through, mm
HEM: Final = 45.0  #: how far up the inside of the hem is drawn, mm
SHADOW: Final = 30.0  #: mm below the hem in which its shadow fades
ZIP: Final = 200.0  #: length of the zip at the centre back, mm
STIFF: Final = 10.0  #: mm down the figure over which drawn cloth turns a corner, as stiffness makes it do
SEAM: Final = 0.9  #: radius of a drawn seam, mm


def dressed_surfaces(preview: Preview, dressed: Dressed) -> tuple[Surface, ...]:
    """The dressed figure: skirt, and of the body what shows above and below it."""
    body, hem = preview.body, dressed.cut.hem_drop
    torso = body_surfaces(body, above=4.0)
    legs = (_under_hem(leg, hem) for leg in body_surfaces(body, below=hem - HEM, hem=hem))
    return (*cloth_surfaces(dressed), *torso, *legs)


def _under_hem(leg: Surface, hem: float) -> Surface:
    """A leg in the shadow of the hem that hangs over it."""
    below = np.maximum(-leg.points[..., 2].mean(axis=1, keepdims=True) - hem, 0.0)
    return replace(leg, shade=1 - 0.5 * np.exp(-below / SHADOW))


def padded_surfaces(preview: Preview, pads: Sequence[Pad]) -> tuple[Surface, ...]:
    """The body with its pads on, undressed."""
    return (*body_surfaces(preview.body), *(surface for pad in pads for surface in pad_surfaces(pad)))


def pad_surfaces(pad: Pad) -> tuple[Surface, ...]:
    """Outer face of a pad and, where they stand up, the walls at its edge and at its side seam."""
    turned = 1 if (pad.side == "left") == (pad.part == "back") else -1
    surfaces = [Surface("pad", pad.name, pad.outer[:, ::turned])]
    if pad.thickness[:, -1].any():
        wall = np.stack([pad.outer[:, -1], pad.inner[:, -1]], axis=1)
        surfaces.append(Surface("pad", f"{pad.name} edge", wall[:, ::turned]))
    seam = np.stack([pad.along_seam(pad.inner), pad.along_seam(pad.outer)], axis=1)
    surfaces.append(Surface("pad", f"{pad.name} seam", seam[:, ::turned]))
    return tuple(surfaces)


def cloth_surfaces(dressed: Dressed) -> tuple[Surface, ...]:
    """The skirt: cloth with its hem turned in, waistband, side seams and zip."""
    ring = _softened(once_round(dressed.points(COLUMNS)), dressed.drops)
    out = _outward(ring)
    cloth = ring + CLOTH * out
    seams = [_tube(cloth, out, column, slice(0, None), SEAM) for column in _side_columns(ring)]
    hem = _turned_in(cloth, out)
    closed = int(np.searchsorted(dressed.drops, ZIP, side="right"))
    back = (ring.shape[1] - 1) // 2
    return (
        Surface("cloth", "cloth", np.concatenate([cloth, hem[:1]])),
        Surface("inside", "hem", hem),
        Surface("band", "waistband", _band(cloth, out)),
        *(Surface("seam", name, tube) for name, tube in zip(("left seam", "right seam"), seams, strict=True)),
        Surface("zip", "zip", _tube(cloth, out, back, slice(0, closed), 1.6 * SEAM)),
        Surface("seam", "back seam", _tube(cloth, out, back, slice(closed - 1, None), SEAM)),
    )


def _softened(ring: Array, drops: Array) -> Array:
    """Threads (L, N, 3) with their corners rounded off as cloth rounds them; waist and hem stay."""
    height = np.gradient(drops)
    weight = np.exp(-0.5 * ((drops[:, None] - drops) / STIFF) ** 2) * height
    weight[[0, -1]] = 0.0
    weight[[0, -1], [0, -1]] = 1.0
    # evened about each level, so that straight threads stay straight
    weight /= weight.sum(axis=1, keepdims=True)
    soft = np.tensordot(weight, ring[..., :2], axes=1)
    off = weight @ drops - drops
    slope = np.gradient(ring[..., :2], drops, axis=0)
    return np.concatenate([soft - off[:, None, None] * slope, ring[..., 2:]], axis=2)


def _side_columns(ring: Array) -> tuple[int, int]:
    middle = (COLUMNS - 1) // 2
    return middle, ring.shape[1] - 1 - middle


def _outward(ring: Array) -> Array:
    """Horizontal unit vectors (L, N, 3) square to the loops, outward."""
    step = np.empty_like(ring)
    step[:, 1:-1] = ring[:, 2:] - ring[:, :-2]
    step[:, [0, -1]] = (ring[:, 1] - ring[:, -2])[:, None]
    out = np.stack([-step[..., 1], step[..., 0], np.zeros(step.shape[:2])], axis=-1)
    out /= np.maximum(np.linalg.norm(out, axis=-1, keepdims=True), 1e-9)
    middle = ring.mean(axis=1, keepdims=True)
    return np.asarray(np.where(((ring - middle) * out).sum(axis=(1, 2), keepdims=True) < 0, -out, out))


def _turned_in(cloth: Array, out: Array) -> Array:
    """The inside of the hem (3, N, 3): under its edge and up."""
    edge, away = cloth[-1], out[-1]
    up = np.array([0.0, 0.0, HEM])
    return np.stack([edge - 0.4 * away - [0, 0, 0.8], edge - 2.5 * away, edge - 3.0 * away + up])


def _band(cloth: Array, out: Array) -> Array:
    """The waistband (5, N, 3): a step at the waist seam, up, and over its upper edge."""
    foot, away = cloth[0], out[0]
    up = np.array([0.0, 0.0, BAND])
    lip = np.array([0.0, 0.0, 0.8])
    rows = [
        foot - 2.5 * away + up,
        foot + away + up + lip,
        foot + 1.8 * away + up,
        foot + 1.8 * away,
        foot - 1.25 * lip,
    ]
    return np.stack(rows)


def _tube(cloth: Array, out: Array, column: int, rows: slice, radius: float) -> Array:
    """A thin tube (R, 9, 3) along a thread."""
    line, away = cloth[rows, column], out[rows, column]
    side = np.stack([-away[:, 1], away[:, 0], np.zeros(len(away))], axis=-1)
    turn = np.linspace(0.0, 2 * np.pi, 9)[None, :, None]
    return np.asarray(line[:, None] + radius * (np.cos(turn) * side[:, None] + 0.6 * np.sin(turn) * away[:, None]))
