"""The two sides of a figure: always named, never numbered; what a name means in arrays stands here alone."""

from __future__ import annotations

from typing import Final

from silhouette.asked.sheet import Side

HALF: Final[dict[Side, int]] = {"left": 0, "right": 1}  #: which half of the body's arrays (2, ...)
SIGN: Final[dict[Side, int]] = {"left": 1, "right": -1}  #: sign of x, which grows to the wearer's left
OTHER: Final[dict[Side, Side]] = {"left": "right", "right": "left"}
