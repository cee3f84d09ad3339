"""Look checks on the dressed outline: what an eye follows down the figure from any of 24 directions."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cloth.dressed import DressedPair
from silhouette.judged.advice import content, thinner
from silhouette.judged.finding import Advice, Check, Finding, handy, place, set_all
from silhouette.judged.limits import LIMITS, Limit
from silhouette.shape.curves import Array, between
from silhouette.shape.tape import Tape

STEP: Final = 5.0  #: mm between the drops at which outlines are compared
WINDOW: Final = 4  #: steps over which a slope is taken: 20 mm, about what an eye follows as one line
EYES: Final = 24


@lru_cache(maxsize=2)
def _outlines(dressed: DressedPair) -> tuple[Array, Array, Array, Array]:
    """Even drops (N,) to the hem, the 24 directions, and dressed outlines (N, 24) before and after."""
    drops = dressed.after.drops
    even = np.arange(0.0, drops[-1], STEP)
    at, share = between(drops, even)
    f = share[:, None]
    directions = dressed.after.outline.directions
    every = len(directions) // EYES

    def level(h: Array) -> Array:
        part = h[:, ::every]
        return np.asarray(part[at] * (1 - f) + part[at + 1] * f)

    return even, directions[::every], level(dressed.before.outline.h), level(dressed.after.outline.h)


def _ridge(dressed: DressedPair) -> Finding | None:
    """Where the pads make the outline turn sharply from the hip down, seen from any of 24 directions.

    Above the hip it is the edge that turns the cloth, and the edge has a check of its own.
    """
    figure = dressed.figure
    if not figure.pads:
        return None
    even, eyes, before, after = _outlines(dressed)

    def turn(h: Array) -> Array:
        slope = np.arctan((h[WINDOW:] - h[:-WINDOW]) / (STEP * WINDOW))
        return np.asarray(slope[:-WINDOW] - slope[WINDOW:])

    added = np.abs(turn(after) - turn(before))
    added[even[WINDOW:-WINDOW] < figure.measures.hip_drop] = 0.0
    row, eye = np.unravel_index(int(np.argmax(added)), added.shape)
    sharp, drop = math.degrees(float(added[row, eye])), float(even[row + WINDOW])
    limit = LIMITS["ridge"]
    return Finding(
        check="ridge",
        severity=limit.severity(sharp),
        measured=sharp,
        limit=limit.watch,
        unit="degrees",
        message=f"the outline turns by {sharp:.0f}° within a finger's breadth, "
        f"{format_length(drop, figure.sheet.unit)} below the waist, seen against the {place(float(eyes[eye]))}",
        basis=limit.basis,
        drop=drop,
        angle=float(eyes[eye]),
    )


RIDGE: Final[Check[DressedPair]] = Check(
    "ridge", _ridge, lambda dressed, finding: _softer(dressed, finding.measured, finding.limit, RIDGE)
)


def _shelf(dressed: DressedPair) -> Finding | None:
    """A lower edge that juts out over the thigh or under the seat."""
    figure = dressed.figure
    if not figure.pads:
        return None
    even, eyes, before, after = _outlines(dressed)

    def inward(h: Array) -> Array:
        return np.asarray(np.degrees(np.arctan((h[: -WINDOW - 1] - h[WINDOW + 1 :]) / (STEP * (WINDOW + 1)))))

    low = (even[: -WINDOW - 1] > figure.measures.hip_drop)[:, None]
    own = float(np.where(low, inward(before), 0.0).max())
    padded = low & ((after - before)[: -WINDOW - 1] > 1.0)
    if not padded.any():
        return None
    slope = np.where(padded, inward(after), -90.0)
    row, eye = np.unravel_index(int(np.argmax(slope)), slope.shape)
    steep, drop = float(slope[row, eye]), float(even[row])
    table = LIMITS["shelf"]
    limit = Limit(max(table.watch, own + 8), max(table.obvious, own + 17), table.basis)
    return Finding(
        check="shelf",
        severity=limit.severity(steep),
        measured=steep,
        limit=limit.watch,
        unit="degrees",
        message=f"below the hip the outline falls inward at {steep:.0f}°, {format_length(drop, figure.sheet.unit)} "
        f"below the waist, seen against the {place(float(eyes[eye]))}; her own steepest there is {own:.0f}°",
        basis=limit.basis,
        drop=drop,
        angle=float(eyes[eye]),
    )


def _less_shelf(dressed: DressedPair, finding: Finding) -> Advice:
    rise, wanted = (math.tan(math.radians(angle)) for angle in (finding.measured, finding.limit))
    return _softer(dressed, rise, wanted, SHELF)


SHELF: Final[Check[DressedPair]] = Check("shelf", _shelf, _less_shelf)


def _groove(dressed: DressedPair) -> Finding | None:
    """The hollow left between the two back pads, under cloth that bridges it; less what bare seats leave."""
    figure = dressed.figure
    backs = [p for p in figure.pads if p.part == "back"]
    if len(backs) < 2:
        return None
    row = dressed.after.cut.row
    behind = np.sin(figure.before.directions) < -0.3

    def bridged(outline: Tape) -> float:
        return float((outline.h[row, behind] / -np.sin(outline.directions[behind])).min())

    depth = bridged(dressed.after.outline) - bridged(dressed.before.outline)
    depth = 0.0 if min(p.clearance for p in backs) < 0 else max(0.0, depth)
    limit, unit = LIMITS["groove"], figure.sheet.unit
    return Finding(
        check="groove",
        severity=limit.severity(depth),
        measured=depth,
        limit=limit.watch,
        unit="mm",
        message=f"cloth bridges a hollow {format_length(depth, unit)} deep between the back pads",
        basis=limit.basis,
        drop=figure.new_hip_drop,
        angle=-math.pi / 2,
    )


def _shallower(dressed: DressedPair, finding: Finding) -> Advice:
    foam = max(p.foam for p in dressed.figure.pads)
    return thinner(dressed, foam * finding.limit / finding.measured, GROOVE)


GROOVE: Final[Check[DressedPair]] = Check("groove", _groove, _shallower)


def _softer(dressed: DressedPair, measured: float, limit: float, check: Check[DressedPair]) -> Advice:
    """A wider bevel where the pad has room for it, else thinner foam."""
    figure = dressed.figure
    sheet, unit = figure.sheet, figure.sheet.unit
    pad = max(figure.pads, key=lambda p: p.foam / max(p.bevel, 1e-9))
    # rounded and feathered edges are steeper at one place than on the whole, so they need more width
    margin = 1.1 if pad.profile == "straight" else 1.4
    wanted = handy(max(pad.bevel * margin * measured / limit, pad.foam * 1.8), unit)
    room = 0.7 * min(float(np.abs(p.outline[:, 0]).max()) for p in figure.pads)
    while pad.bevel < wanted <= room:
        changes = set_all(sheet, "bevel", wanted)
        if content(dressed, changes, check):
            now = format_length(pad.bevel, unit)
            return f"carve the edge over {format_length(wanted, unit)} instead of {now}", changes
        wanted = handy(1.25 * wanted, unit)
    return thinner(dressed, max(p.foam for p in figure.pads) * 0.9 * limit / measured, check)
