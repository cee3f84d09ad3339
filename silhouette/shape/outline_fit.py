"""How well a body meets the outline that was traced for it."""

from __future__ import annotations

from dataclasses import astuple, dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from silhouette.asked.body_sources import OutlineLevel
from silhouette.asked.faults import Fault
from silhouette.asked.figure import Along, Shape, Uneven
from silhouette.asked.lengths import format_length
from silhouette.asked.readings import Widths
from silhouette.asked.sheet import Sheet
from silhouette.shape.body import Body, build_body, kept_body
from silhouette.shape.curves import Array
from silhouette.shape.dimensions import Measures
from silhouette.shape.traced import Reaches, reaches_of

AT_ODDS: Final = 15.0  #: mm in breadth or depth by which tape and photographs may disagree; this tool's convention
ROUNDED: Final = 0.5  #: mm; a drop written no finer than that may lie so far past the knee that it is meant for
WITHIN: Final = 1.0  #: mm that tape and photograph may differ by without a word; this tool's convention


@dataclass(frozen=True)
class OutlineFit:
    """How far the body lies from its outline, mm, at the traced level where that is most; the tape has won there.

    levels   how many traced levels lie between waist and knee
    breadth, depth, back   most that either is off; None where it was not traced
    drop     level of the most in breadth or depth
    moved    how far the outline has moved the figure of her girths in breadth or depth, at most
    """

    levels: int
    breadth: float | None
    depth: float | None
    back: float | None
    drop: float
    moved: float

    @property
    def worst(self) -> float:
        return max(self.breadth or 0.0, self.depth or 0.0)

    @property
    def views(self) -> tuple[str, ...]:
        both = (("front", self.breadth), ("side", self.depth))
        return tuple(name for name, found in both if found is not None)


@lru_cache(maxsize=32)
def fit_of(body: Body) -> OutlineFit | None:
    """The fit of a body that rests on an outline, else None."""
    outline = body.measures.outline
    if not outline:
        return None
    own, plain = _reaches(body), _reaches(build_body(replace(body.measures, outline=None), *body.outer.shape[1:3]))
    drop, left, right, front, back = np.array([astuple(level) for level in outline], dtype=np.float64).T
    breadth, depth = own.out.sum(0), 2 * own.half_depth
    off_breadth = np.abs(np.interp(drop, body.drops, breadth) - left - right)
    off_depth = np.abs(np.interp(drop, body.drops, depth) - front - back)
    # the plumb line of a photograph is nobody's axis: it is laid where the waist has its middle
    aside = np.interp(drop, body.drops, own.middle) - (front - back) / 2
    result = np.flatnonzero(~np.isnan(aside))
    off_back = np.abs(np.interp(drop, body.drops, own.back) - back + (aside[result[0]] if len(result) else 0.0))
    return OutlineFit(
        levels=len(outline),
        breadth=_most(off_breadth),
        depth=_most(off_depth),
        back=_most(off_back),
        drop=float(drop[np.argmax(np.fmax(np.nan_to_num(off_breadth), np.nan_to_num(off_depth)))]),
        moved=float(max(np.abs(breadth - plain.out.sum(0)).max(), 2 * np.abs(own.half_depth - plain.half_depth).max())),
    )


def outline_faults(sheet: Sheet, m: Measures) -> list[Fault]:
    """Whether the girths of a sheet and its outline can be one body."""
    if not m.outline:
        return [Fault("body.outline", "no level lies between waist and knee")] if sheet.body.outline else []
    fit = fit_of(kept_body(m))
    if fit is None or fit.worst <= AT_ODDS:
        return []
    where, off = (format_length(mm, sheet.unit, sixteenths=sheet.unit == "in") for mm in (fit.drop, fit.worst))
    return [
        Fault(
            "body.outline",
            f"no body of these girths has it: {where} below the waist tape and outline are {off} apart in breadth or "
            "depth; look at the scale of the photographs, and tape again",
        )
    ]


def beside_outline(sheet: Sheet) -> str:
    """What a sheet says beside its outline and what becomes of it, in a sentence; empty where it says nothing."""
    held = (
        (sheet.widths != Widths(), "[widths] give way to it"),
        (sheet.shape != Shape(), "[shape] is heard only between its points and where it was not traced"),
        (sheet.along != Along(), "[along] sets the levels as before"),
        (sheet.uneven != Uneven(), "[uneven] keeps its girths and levels"),
    )
    said = [words for there, words in held if there]
    return f"Beside the outline {', '.join(said)}." if said else ""


def levels_used(outline: tuple[OutlineLevel, ...] | None, knee_drop: float) -> tuple[OutlineLevel, ...] | None:
    """The traced levels down to the knee, where the body ends; one that rounding put past it is at the knee."""
    used = (level for level in outline or () if level.drop <= knee_drop + ROUNDED)
    return tuple(replace(level, drop=min(level.drop, knee_drop)) for level in used) or None


def _reaches(body: Body) -> Reaches:
    return reaches_of(body.outer[..., :2] * np.array([[1.0, 1.0], [-1.0, 1.0]])[:, None, None])


def _most(off: Array) -> float | None:
    return None if np.isnan(off).all() else float(np.nanmax(off))
