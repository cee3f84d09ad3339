"""Invented clients of our own workshop, and short ways to sheets and figures, for every test that needs some."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from silhouette.asked.reading import from_plain
from silhouette.asked.sheet import Sheet
from silhouette.shape.body import Body, build_body
from silhouette.shape.figure import Figure, figure_of
from silhouette.shape.measures import measures_of


def sheet(keys: dict[str, Any] | None = None, /, unit: str = "mm", **girths: Any) -> Sheet:
    """A sheet from full keys (``{"pads.thickness": 20}``) and girths by name; bare numbers in ``unit``."""
    plain: dict[str, Any] = {"unit": unit, "girths": dict(girths)}
    for key, value in (keys or {}).items():
        *path, name = key.split(".")
        table = plain
        for part in path:
            table = table.setdefault(part, {})
        table[name] = value
    return from_plain(plain)


def plain_sheet(**sections: Any) -> dict[str, Any]:
    """Plain values as a file holds them: a sound figure in inches, sections laid over it."""
    plain: dict[str, Any] = {"unit": "in", "girths": {"waist": 31, "hip": 42}}
    for name, table in sections.items():
        plain[name] = {**plain[name], **table} if isinstance(plain.get(name), dict) else table
    return plain


#: waist and hip alone, or everything; from very slim to very full, a level and an upside-down one among them
CLIENTS: dict[str, Sheet] = {
    "average": sheet(waist=698, hip=957),
    "market keeper": sheet({"drops.hip": 8.25}, unit="in", waist=31, hip=42, thigh=25),
    "slender": sheet(waist=635, hip=876),
    "very slim": sheet(waist=520, hip=760, thigh=430, knee=300),
    "full": sheet(waist=1050, hip=1300, thigh=760),
    "very full": sheet(waist=1500, hip=1700),
    "straight": sheet(waist=900, hip=930),
    "belly": sheet(waist=1150, hip=1080),
    "small waist": sheet(waist=600, hip=1020),
    "all measured": sheet(
        {
            "drops.high_hip": 95,
            "drops.hip": 210,
            "drops.under_seat": 300,
            "drops.knee": 610,
            "widths.waist_breadth": 265,
            "widths.hip_breadth": 365,
            "widths.hip_depth": 245,
        },
        waist=760,
        high_hip=930,
        hip=1020,
        thigh=590,
        knee=380,
    ),
    "deep": sheet({"widths.hip_depth": 290, "widths.waist_depth": 230}, waist=720, hip=1000),
    "short": sheet({"drops.hip": 165, "drops.knee": 500}, waist=740, hip=990),
    "tall": sheet({"drops.hip": 250, "drops.knee": 720}, waist=740, hip=990),
    "slim thighs": sheet(waist=720, hip=1020, thigh=500),
    "full thighs": sheet(waist=720, hip=1020, thigh=690),
}

#: pads on the average client: usual, square edge, thick, uneven, one side bare, drafted by points
PADDED: dict[str, Sheet] = {
    "usual": CLIENTS["market keeper"],
    "square edge": sheet({"pads.bevel": 0, "pads.thickness": 15}, waist=698, hip=957),
    "thick": sheet({"pads.thickness": 32, "pads.bevel": 60, "pads.profile": "rounded"}, waist=760, hip=1100),
    "uneven": sheet(
        {
            "pads.left.thickness": 30,
            "pads.right.thickness": 12,
            "pads.right.start": 70,
            "pads.left.fullness": 0.9,
            "pads.right.front": False,
        },
        waist=740,
        hip=1010,
    ),
    "one side bare": sheet(
        {"pads.right.front": False, "pads.right.back": False, "pads.profile": "feathered", "pads.bevel": 38.1},
        waist=740,
        hip=1010,
    ),
    "points": sheet(
        {
            "pads.front_outline": [[0, 40], [90, 120], [120, 210], [60, 280], [0, 310]],
            "pads.back_outline": [[0, 40], [130, 110], [170, 200], [110, 270], [0, 310]],
            "pads.bevel": 38.1,
        },
        waist=740,
        hip=1010,
    ),
    "past the front": sheet(
        {"pads.front_reach": 270, "pads.end": 240, "pads.back_gap": -20, "pads.bevel": 38.1}, waist=740, hip=1010
    ),
}


@lru_cache(maxsize=256)
def figure(asked: Sheet) -> Figure:
    return figure_of(asked)


@lru_cache(maxsize=256)
def body(asked: Sheet) -> Body:
    return build_body(measures_of(asked))


def ring(made: Body, row: int) -> np.ndarray:
    """The whole section of a body above the crotch, a closed polygon (N, 2), in order."""
    return np.concatenate([made.outer[0, row, :, :2], made.outer[1, row, -2:0:-1, :2]])
