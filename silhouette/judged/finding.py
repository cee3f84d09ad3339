"""One finding of a look check, and the advice helpers the checks share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import Sheet

SEVERITIES: Final = ("fine", "watch", "obvious")
Changes = tuple[tuple[str, Any], ...]
#: No advice and no changes: what a check with nothing to say gives.
NOTHING: Final[tuple[str, Changes]] = ("", ())


@dataclass(frozen=True)
class Finding:
    """What one check saw.

    ``measured`` and ``limit`` are in ``unit`` ("mm", "degrees" or "" for a ratio); ``drop`` and ``angle``
    point at the place on the silhouette (mm below the waist; radians, 0 = wearer's left, π/2 = front).
    ``changes`` are sheet keys and values (mm for lengths) that the advice comes down to.
    """

    check: str
    severity: str
    measured: float
    limit: float
    unit: str
    message: str
    advice: str
    basis: str
    drop: float | None = None
    angle: float | None = None
    changes: Changes = ()


def worst(findings: Sequence[Finding]) -> str:
    """The verdict: the severity of the gravest finding."""
    return max((f.severity for f in findings), key=SEVERITIES.index, default="fine")


def set_all(sheet: Sheet, name: str, value: Any) -> Changes:
    """Changes that give a pad key one value on both sides, whichever side has its own."""
    changes: list[tuple[str, Any]] = [(f"pads.{name}", value)]
    changes += [(f"pads.{side}.{name}", value) for side in ("left", "right") if name in dict(getattr(sheet, side))]
    return tuple(changes)


def thickness_text(mm: float, unit: str) -> str:
    """Foam thickness as it is sold: fractions of an inch, or whole millimetres."""
    if unit == "in":
        return format_length(mm, "in", sixteenths=True)
    return f"{mm:.0f} mm" if abs(mm - round(mm)) < 0.05 else f"{mm:.1f} mm"


def handy(mm: float, unit: str, *, up: bool = True) -> float:
    """A length rounded up (or down) to what a tape shows: 1/8 in or 5 mm."""
    step = 25.4 / 8 if unit == "in" else 5.0
    steps = mm / step
    return round((math.ceil(steps - 1e-9) if up else math.floor(steps + 1e-9)) * step, 6)
