"""Writes every file of meshes/: ``python -m tests.reference_meshes`` from the top folder.

The reference solids are exact shapes whose girths and volumes follow from closed formulas.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from silhouette import preview, read_sheet
from silhouette.shape.solids import Solid, body_solid, pad_solid
from silhouette.shown.models import glb

FOLDER = Path(__file__).parent.parent / "meshes"


def prism(name: str, ring: np.ndarray, height: float) -> Solid:
    """An upright prism on a convex ring (N, 2) that runs anticlockwise seen from above (x right, y away)."""
    n = len(ring)
    top = np.column_stack([ring, np.zeros(n)])
    bottom = np.column_stack([ring, np.full(n, -height)])
    centres = np.array([[*ring.mean(axis=0), 0.0], [*ring.mean(axis=0), -height]])
    i = np.arange(n)
    j = (i + 1) % n
    sides = np.concatenate([np.stack([i, i + n, j], -1), np.stack([j, i + n, j + n], -1)])
    caps = np.concatenate(
        [np.stack([i, j, np.full(n, 2 * n)], -1), np.stack([j + n, i + n, np.full(n, 2 * n + 1)], -1)]
    )
    return Solid(name, np.concatenate([top, bottom, centres]), np.concatenate([sides, caps]))


def circle(radius: float, points: int = 720) -> np.ndarray:
    turn = np.arange(points) * (2 * np.pi / points)
    return radius * np.stack([np.cos(turn), np.sin(turn)], axis=-1)


def bevelled_slab(length: float, width: float, thickness: float, bevel: float) -> Solid:
    """A flat slab carved on all four edges: a prismatoid, its top smaller than its foot by the bevel all round."""
    foot = np.array([[0, 0, 0], [length, 0, 0], [length, width, 0], [0, width, 0]], dtype=float)
    top = np.array(
        [[bevel, bevel], [length - bevel, bevel], [length - bevel, width - bevel], [bevel, width - bevel]], dtype=float
    )
    vertices = np.concatenate([foot, np.column_stack([top, np.full(4, thickness)])])
    quads = [[3, 2, 1, 0], [4, 5, 6, 7], *([i, (i + 1) % 4, (i + 1) % 4 + 4, i + 4] for i in range(4))]
    triangles = np.array([t for a, b, c, d in quads for t in ([a, b, c], [a, c, d])])
    return Solid("bevelled slab", vertices, triangles)


def ellipse(a: float, b: float, points: int = 720) -> np.ndarray:
    turn = np.arange(points) * (2 * np.pi / points)
    return np.stack([a * np.cos(turn), b * np.sin(turn)], axis=-1)


def files() -> dict[str, bytes]:
    """Every file of meshes/ by name, made afresh."""
    demo = preview(read_sheet("demo"))
    body = body_solid(demo.body)
    return {
        "demo-before.glb": glb([body]),
        "demo-after.glb": glb([body, *(pad_solid(pad) for pad in demo.pads)]),
        "cylinder.glb": glb([prism("cylinder", circle(162.5), 300.0)]),
        "cylinder-wrapped.glb": glb([prism("cylinder wrapped by 20 mm", circle(182.5), 300.0)]),
        "ellipse-prism.glb": glb([prism("ellipse 180 x 120", ellipse(180.0, 120.0), 300.0)]),
        "bevelled-slab.glb": glb([bevelled_slab(200.0, 150.0, 20.0, 40.0)]),
    }


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, content in files().items():
        (FOLDER / name).write_bytes(content)
        print(FOLDER / name, len(content))
