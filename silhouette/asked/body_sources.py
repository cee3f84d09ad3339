"""What her body rests on beside the tape: the section ``[body]``."""

from __future__ import annotations

from dataclasses import dataclass

from silhouette.asked.declared import OUTLINE, declare


@dataclass(frozen=True)
class OutlineLevel:
    """Her outline at one drop below the waist, mm.

    left, right   how far she reaches to her own left and right of her mid line, seen from the front
    front, back   how far she reaches before and behind one plumb line, seen from the side

    Either pair may be left out.
    """

    drop: float
    left: float | None = None
    right: float | None = None
    front: float | None = None
    back: float | None = None


@dataclass(frozen=True)
class BodySources:
    """Her own outline. Girths stay as taped, whatever stands here."""

    outline: tuple[OutlineLevel, ...] | None = declare(
        "traced outline",
        OUTLINE,
        "Traced from photographs, level by level: { drop, breadth, front, back }, or left and right for breadth.",
        group="body",
        absent="the figure of her girths",
    )
