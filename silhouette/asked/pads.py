"""The pads she is given: the section ``[pads]``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from silhouette.asked.declared import CHOICE, FLAG, FRACTION, LENGTH, NUMBER, POINTS, declare

PROFILES: Final = ("straight", "rounded", "feathered")
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Pads:
    """One front and one back pad on each side, drafted flat: distance from the side seam against drop."""

    thickness: float = declare(
        "foam thickness",
        LENGTH,
        "Nominal thickness of the foam sheet.",
        19.05,
        metric=20.0,
        low=2,
        high=80,
        group="pads",
        step=1,
    )
    bevel: float = declare(
        "bevel width",
        LENGTH,
        "How far in from the edge the foam is carved down; 0 leaves a square edge.",
        101.6,
        metric=100.0,
        low=0,
        high=200,
        group="foam and edge",
        step=2,
    )
    profile: str = declare(
        "bevel profile",
        CHOICE,
        "Shape of the carved edge.",
        "rounded",
        choices=PROFILES,
        group="foam and edge",
    )
    start: float = declare(
        "start below the waist",
        LENGTH,
        "Drop of the pad's upper end at the side seam.",
        38.1,
        metric=40.0,
        low=0,
        high=500,
        group="pads",
        step=5,
    )
    front_reach: float | None = declare(
        "front reach",
        LENGTH,
        "From the side seam forward along the hip line.",
        low=20,
        high=600,
        group="pads",
        step=5,
        absent="4, 5 or 6 in by trade size, else by hip girth",
    )
    back_gap: float = declare(
        "gap at the centre back",
        LENGTH,
        "From the back pad's edge to the centre back, along the hip line.",
        25.4,
        metric=25.0,
        low=-60,
        high=400,
        group="pads",
        step=5,
    )
    end: float | None = declare(
        "end below the waist",
        LENGTH,
        "Drop of the pad's lower end at the side seam.",
        low=80,
        high=700,
        group="pads",
        step=5,
        absent="the under-seat level",
    )
    fullness: float = declare(
        "fullness",
        FRACTION,
        "How full the outline is above and below the hip line: 0 lean, 1 very full.",
        0.5,
        low=0,
        high=1,
        group="pads",
        step=0.05,
    )
    fullness_below: float | None = declare(
        "fullness below the hip",
        FRACTION,
        "Fullness below the hip line alone.",
        low=0,
        high=1,
        group="pads",
        step=0.05,
        absent="the same as fullness",
    )
    layers: float = declare(
        "layers",
        NUMBER,
        "Slabs of foam on one another, each smaller than the one below; one carved edge.",
        1,
        low=1,
        high=4,
        group="foam and edge",
        step=1,
    )
    front: bool = declare("front pad", FLAG, "Whether there is a front pad.", True, group="pads")
    back: bool = declare("back pad", FLAG, "Whether there is a back pad.", True, group="pads")
    front_outline: Points | None = declare(
        "front outline",
        POINTS,
        "Points [distance from the side seam, drop] that replace the front outline.",
        group="pads",
        absent="drawn from reach, start, end and fullness",
    )
    back_outline: Points | None = declare(
        "back outline",
        POINTS,
        "Points [distance from the side seam, drop] that replace the back outline.",
        group="pads",
        absent="drawn from gap, start, end and fullness",
    )
