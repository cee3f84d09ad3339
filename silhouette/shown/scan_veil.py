"""The scan that a body was drawn through, as a faint veil over it in pictures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.pipeline import Preview
from silhouette.shape.curves import Array
from silhouette.shape.scan.scanned import scan_mesh

STANDS_OFF: Final = 1.5  #: mm that the veil lies outside the scan, so that body and veil do not mix
BEYOND: Final = 25.0  #: mm above the waist, below the knee and aside that it goes on
COLOUR: Final = (52, 92, 138)
FAINT: Final = 0.34  #: how much of it covers what lies beneath


@dataclass(frozen=True, eq=False)
class Veil:
    """points (N, 3) in the body's axes, triangles (M, 3) clockwise from outside there, unit normals (N, 3) outward."""

    points: Array
    triangles: NDArray[np.intp]
    normals: Array


def veil_of(preview: Preview) -> Veil | None:
    """The scan of a preview's body, from the waist to the knee; None where it rests on none."""
    fit = preview.body.scan
    if fit is None:
        return None
    mesh = scan_mesh(preview.sheet).mesh
    points = mesh.vertices - [0.0, *fit.waist]
    within = (points[:, 2] < BEYOND) & (points[:, 2] > -preview.body.drops[-1] - BEYOND)
    reach = np.abs(preview.body.outer[..., 0]).max((0, 2))
    within &= np.abs(points[:, 0]) < np.interp(-points[:, 2], preview.body.drops, reach) + BEYOND  # no arms
    triangles = mesh.triangles[within[mesh.triangles].all(1)]
    a, b, c = (points[triangles[:, i]] for i in range(3))
    across = np.cross(b - a, c - a)
    normals = np.zeros_like(points)
    for i in range(3):
        np.add.at(normals, triangles[:, i], across)
    if (normals[:, :2] * points[:, :2]).sum() < 0:  # a file may turn its triangles either way
        normals, triangles = -normals, triangles[:, ::-1]
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    return Veil(points + STANDS_OFF * normals, triangles[:, ::-1], normals)
