"""Sides that differ: what was measured of either side, made complete."""

from __future__ import annotations

from typing import Final

from silhouette.asked.faults import Fault
from silhouette.asked.lengths import in_unit
from silhouette.asked.readings import Drops
from silhouette.asked.sheet import Sheet
from silhouette.shape.dimensions import Half, Measures

EVEN: Final = 1e-6  #: mm; sides that differ by less are the same
NEAREST_CROTCH: Final = 8.0  #: mm; a side's hip line stays so far above the crotch


def pair_of(sheet: Sheet, name: str) -> tuple[float | None, float | None]:
    """The two readings of a level in ``[uneven]``, left and right."""
    return getattr(sheet.uneven, f"{name}_left"), getattr(sheet.uneven, f"{name}_right")


def high_hip_of(sheet: Sheet, estimate: float) -> float:
    """High hip girth: as taped, else both halves together, else the estimate."""
    left, right = pair_of(sheet, "high_hip")
    if sheet.girths.high_hip is not None:
        return sheet.girths.high_hip
    return left + right if left is not None and right is not None else estimate


def thigh_of(sheet: Sheet, estimate: float) -> tuple[float, tuple[float, float]]:
    """Mean thigh girth, and both; a side left out has the thigh girth of the sheet, or that of the other side."""
    left, right = pair_of(sheet, "thigh")
    common = sheet.girths.thigh
    if left is None and right is None:
        both = (estimate if common is None else common,) * 2
        return both[0], both
    fallback = common if common is not None else (left if right is None else right)
    assert fallback is not None
    both = (fallback if left is None else left, fallback if right is None else right)
    return (both[0] + both[1]) / 2, both


def hip_drop_of(sheet: Sheet, drops: Drops) -> tuple[float | None, tuple[float | None, float | None]]:
    """The common hip line, and either side's: where the sheet gives no common one, it lies half-way."""
    left, right = pair_of(sheet, "hip_drop")
    given = [d for d in (left, right) if d is not None]
    common = drops.hip if drops.hip is not None or not given else sum(given) / len(given)
    return common, (left, right)


def measured_by_halves(sheet: Sheet) -> set[str]:
    """Whole readings that the halves amount to."""
    return {
        key
        for key, name in (("girths.high_hip", "high_hip"), ("girths.thigh", "thigh"), ("drops.hip", "hip_drop"))
        if (all if name == "high_hip" else any)(side is not None for side in pair_of(sheet, name))
    }


def halves_of(
    sheet: Sheet,
    m: Measures,
    thighs: tuple[float, float],
    hip_drops: tuple[float | None, float | None],
    faults: list[Fault],
) -> tuple[Half, Half] | None:
    """Left and right half, or None where nothing differs. Half girths come to the whole exactly."""
    waist, high_hip, hip = (_shared(sheet, name, getattr(m, name)) for name in ("waist", "high_hip", "hip"))
    drops = tuple(m.hip_drop if drop is None else drop for drop in hip_drops)
    pairs = (waist, high_hip, hip, thighs, drops)
    if all(abs(left - right) < EVEN for left, right in pairs):
        return None
    for side, drop in zip(("left", "right"), drops, strict=True):
        if drop > m.crotch_drop - NEAREST_CROTCH:
            shown = f"{in_unit(drop, sheet.unit):.4g} {sheet.unit}"
            level = f"{in_unit(m.crotch_drop, sheet.unit):.4g} {sheet.unit}"
            faults.append(
                Fault(f"uneven.hip_drop_{side} = {shown}", f"must lie above the crotch, {level} below the waist")
            )
            return None
    left, right = zip(*pairs, strict=True)
    return Half(*left), Half(*right)


def _shared(sheet: Sheet, name: str, whole: float) -> tuple[float, float]:
    left, right = pair_of(sheet, name)
    if left is None and right is None:
        return whole / 2, whole / 2
    if left is None or right is None:
        return (whole - right, right) if right is not None else (left or 0.0, whole - (left or 0.0))
    return left * whole / (left + right), right * whole / (left + right)
