"""What the page needs to trace photographs by; the photographs themselves never come here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from functools import lru_cache
from typing import Any, Final

import numpy as np

from silhouette.pipeline import Preview
from silhouette.shape.body import Body
from silhouette.shape.curves import Array

EVERY: Final = 4  #: one level in so many is enough
USUAL: Final = 3000.0  #: mm from the camera: a sight line from elsewhere touches nearly the same place


def own_outline(result: Preview) -> list[dict[str, float | None]] | None:
    """The traced levels, mm."""
    outline = result.sheet.body.outline
    return None if outline is None else [asdict(level) for level in outline]


@lru_cache(maxsize=16)
def contact_of(body: Body) -> Mapping[str, Any]:
    """Where sight lines touch her left half at some levels: [how far nearer to the camera than her axis, how far short
    of the full reach], mm. ``wide`` from before her, ``front`` and ``back`` from her side."""
    rows = np.unique([*range(0, len(body.drops), EVERY), body.crotch, len(body.drops) - 1])
    found: dict[str, list[list[float]]] = {"wide": [], "front": [], "back": []}
    for row in rows:
        points = body.outer[0, row, :, :2]
        if row > body.crotch:
            points = np.concatenate([points, body.inner[0, row - body.crotch, :, :2]])
        x, y = points.T
        for name, reach, near in (("wide", x, y), ("front", y, x), ("back", -y, x)):
            found[name].append(_touch(reach, near))
    return {"drop_mm": np.round(body.drops[rows], 3).tolist(), **found}


def _touch(reach: Array, near: Array) -> list[float]:
    most = float(reach.max())
    at = int(np.argmax(reach + near * most / USUAL))
    return [round(float(near[at]), 1), round(most - float(reach[at]), 2)]
