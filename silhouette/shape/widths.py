"""Caliper widths: depth over breadth that meets them on this very body."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from silhouette.asked.faults import Fault
from silhouette.asked.lengths import in_unit
from silhouette.asked.sheet import Sheet
from silhouette.shape.body import build_body
from silhouette.shape.dimensions import Measures
from silhouette.shape.sizing import rows_of

WIDTHS: Final = ("waist_breadth", "waist_depth", "hip_breadth", "hip_depth")
RATIO_RANGE: Final = (0.45, 1.2)  #: depth/breadth outside this is a slip of the tape, not a body
_LEVELS: Final = {"waist": "own_waist_ratio", "hip": "hip_ratio"}


def solved_widths(sheet: Sheet, m: Measures, faults: list[Fault]) -> Measures:
    """Measures with the depth over breadth that the sheet's widths ask for at waist and hip.

    Breadth and depth together fix the ratio: calipers press, so the tape girth wins. One alone is met exactly.
    """
    single: dict[str, tuple[str, float]] = {}
    for level in _LEVELS:
        breadth, depth = (getattr(sheet.widths, f"{level}_{kind}") for kind in ("breadth", "depth"))
        if breadth is not None and depth is not None:
            m = _with_ratio(m, level, depth / breadth)
        elif breadth is not None or depth is not None:
            single[level] = ("breadth", breadth) if breadth is not None else ("depth", depth)
            m = _with_ratio(m, level, m.waist_ratio if level == "waist" else m.hip_ratio)
    if single and not faults:
        m = _met(m, single)
    for level, name in _LEVELS.items():
        ratio = getattr(m, name)
        if ratio is not None and not RATIO_RANGE[0] <= ratio <= RATIO_RANGE[1]:
            faults.append(_fault(sheet, level))
            m = _with_ratio(m, level, m.waist_ratio if level == "waist" else 0.65)
    return m


def _met(m: Measures, single: dict[str, tuple[str, float]]) -> Measures:
    """Ratios at which single widths are met: the secant rule on logarithms, all at once."""
    before: dict[str, tuple[float, float]] = {}
    for _ in range(16):
        body = build_body(m)
        rows = dict(zip(("waist", "hip"), rows_of(m, body.drops)[0:3:2], strict=True))
        worst = 0.0
        moved: dict[str, float] = {}
        for level, (kind, wanted) in single.items():
            arcs = body.outer[:, rows[level]]
            width = np.ptp(arcs[..., 0]) if kind == "breadth" else np.ptp(arcs[..., 1])
            held, off = float(np.log(getattr(m, _LEVELS[level]))), float(np.log(width / wanted))
            slope = -0.5 if kind == "breadth" else 0.5
            if level in before and abs(held - before[level][0]) > 1e-12:
                slope = (off - before[level][1]) / (held - before[level][0]) or slope
            before[level] = held, off
            worst = max(worst, abs(off))
            step = float(np.clip(-off / slope, -0.5, 0.5))
            moved[level] = float(np.exp(np.clip(held + step, np.log(0.2), np.log(3.0))))
        if worst < 1e-10:
            return m
        for level, ratio in moved.items():
            m = _with_ratio(m, level, ratio)
    for level, (_, off) in before.items():
        if abs(off) > 1e-6:  # no ratio meets it: leave one outside the range, so that it is refused
            m = _with_ratio(m, level, 3.0)
    return m


def _with_ratio(m: Measures, level: str, ratio: float) -> Measures:
    return replace(m, own_waist_ratio=ratio) if level == "waist" else replace(m, hip_ratio=ratio)


def _fault(sheet: Sheet, level: str) -> Fault:
    name = next(n for n in (f"{level}_breadth", f"{level}_depth") if getattr(sheet.widths, n) is not None)
    shown = in_unit(getattr(sheet.widths, name), sheet.unit)
    girth = in_unit(getattr(sheet.girths, level), sheet.unit)
    return Fault(
        f"widths.{name} = {shown:g} {sheet.unit}",
        f"no body has this {level} breadth or depth at a girth of {girth:g} {sheet.unit} "
        f"(depth over breadth must be {RATIO_RANGE[0]} to {RATIO_RANGE[1]})",
    )
