"""Light on a figure: a soft key light, a side light that rakes along the cloth and shows what an edge does, and sky.

Colours are worked out at the points, so that stills on any machine look alike.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.shape.curves import Array
from silhouette.shown.surface import Surface

#: Lights in the eye's frame (x to the right, y up, z towards the eye): direction, strength, how far it wraps round.
KEY: Final = ((-0.62, 0.52, 0.60), 0.88, 0.12)
SIDE: Final = ((0.97, 0.16, -0.04), 0.30, 0.0)
FILL: Final = ((0.25, 0.1, 1.0), 0.12, 0.3)
SKY, GROUND = 0.20, 0.05  #: what comes from above and from below
#: Light through skin: what a shadow on the body keeps. Cloth is matt and keeps none.
THROUGH: Final = 0.16
SOFTENED: Final = 8  #: times that normals round a loop are averaged with their neighbours'
_GAMMA: Final = 2.2


def outward_normals(points: Array) -> Array:
    """Unit normals (R, C, 3) of a grid; columns that end where they begin close to a ring."""
    down, along = np.gradient(points, axis=0), np.gradient(points, axis=1)
    if np.allclose(points[:, 0], points[:, -1]):
        along[:, [0, -1]] = ((points[:, 1] - points[:, -2]) / 2)[:, None]
    normals = np.cross(along, down)
    closed = np.allclose(points[:, 0], points[:, -1])
    for _ in range(SOFTENED if closed else 0):  # loops are polygons: their corners are no creases
        ring = normals[:, :-1]
        ring = (np.roll(ring, 1, axis=1) + 2 * ring + np.roll(ring, -1, axis=1)) / 4
        normals = np.concatenate([ring, ring[:, :1]], axis=1)
    length = np.linalg.norm(normals, axis=-1, keepdims=True)
    return np.asarray(normals / np.maximum(length, 1e-9))


def ways_outward(surface: Surface) -> Array:
    """Unit normals (R, C, 3) that a surface is shaded by."""
    return outward_normals(surface.points) if surface.normals is None else surface.normals


def lit(
    normals: Array, colour: tuple[int, int, int], eye: Array, shade: Array | None = None, through: float = 0.0
) -> Array:
    """Colours (..., 3), 0 to 255, of a matt surface with unit ``normals`` (..., 3) seen along the axes ``eye`` (3, 3):
    its rows point right, up and towards the eye."""
    facing = normals @ eye.T
    light = GROUND + (SKY - GROUND) * (facing[..., 1] + 1) / 2
    for direction, strength, wrap in (KEY, SIDE, FILL):
        toward = np.array(direction) / np.linalg.norm(direction)
        light = light + strength * np.maximum((facing @ toward + wrap) / (1 + wrap), 0.0)
    light = through + (1 - through) * light
    if shade is not None:
        light = light * shade
    albedo = (np.array(colour) / 255.0) ** _GAMMA
    linear = albedo * light[..., None] * 1.25
    return np.asarray(np.clip(255.0 * linear ** (1 / _GAMMA), 0, 255).astype(np.uint8))
