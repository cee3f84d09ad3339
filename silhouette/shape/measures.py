"""Measurements made complete: what was measured stays, the rest is estimated and marked so.

Sources of the estimates
    thigh           0.604 · hip − 5.8 mm: fitted to 260 women (Heinz, Peterson, Johnson, Kerk 2003,
                    *Exploring relationships in body dimensions*, J. Stat. Educ. 11(2)), residual SD 19.8 mm
    knee            0.369 · hip, the mean of the same table
    depth/breadth   fitted to half of the 1986 women of ANSUR II (Gordon et al. 2014), which takes the waist
                    at the navel; a natural waist is 0.836 of it (the mean of the 260 women)
    levels          heights over stature from ANSUR II (seat .512, crotch .480, knee .276) on a stature of
                    1680 mm with the natural waist 203 mm above the seat
    high hip girth  68 % of the way from waist to hip: this tool's convention
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import in_unit
from silhouette.asked.sheet import Pads, Sheet
from silhouette.shape.sections import unit_girth

#: Levels of an average figure, mm below the natural waist.
USUAL_DROPS: Final = {"high_hip": 102.0, "hip": 203.0, "under_seat": 286.0, "knee": 599.0}
#: How far from the hip to under the seat the crotch lies (ANSUR II heights).
CROTCH_SHARE: Final = 0.58
#: Common practice, no source: front reach by trade size, and the hip girths that stand in for the size.
REACH_BY_SIZE: Final = ((12.0, 101.6), (16.0, 127.0), (float("inf"), 152.4))
REACH_BY_HIP: Final = ((1016.0, 101.6), (1118.0, 127.0), (float("inf"), 152.4))
RATIO_RANGE: Final = (0.45, 1.2)  #: depth/breadth outside this is a slip of the tape, not a body


@dataclass(frozen=True)
class Measures:
    """A complete set of measurements, mm. ``measured`` names those that were not estimated."""

    waist: float
    high_hip: float
    hip: float
    thigh: float
    knee: float
    high_hip_drop: float
    hip_drop: float
    crotch_drop: float
    under_seat_drop: float
    knee_drop: float
    waist_ratio: float  #: depth / breadth
    hip_ratio: float
    measured: frozenset[str]

    @property
    def drops(self) -> tuple[float, ...]:
        """Waist, high hip, hip, crotch, under the seat, knee; ascending, mm."""
        return (0.0, self.high_hip_drop, self.hip_drop, self.crotch_drop, self.under_seat_drop, self.knee_drop)


def measures_of(sheet: Sheet) -> Measures:
    """Complete a sheet's measurements. Raises ``SheetError`` when its pads cannot lie on such a body."""
    girths = sheet.girths
    thigh = girths.thigh if girths.thigh is not None else estimated_thigh(girths.hip)
    knee = girths.knee if girths.knee is not None else min(0.369 * girths.hip, 0.8 * thigh)
    high_hip = girths.high_hip if girths.high_hip is not None else girths.waist + 0.68 * (girths.hip - girths.waist)
    drops = _complete_drops(sheet)
    navel = girths.waist / 0.836 / girths.hip
    faults: list[Fault] = []
    estimates = {
        "waist": 0.001 + 0.317 * navel + 0.731 * thigh / girths.hip,
        "hip": -0.066 + 0.254 * navel + 0.844 * thigh / girths.hip,
    }
    usual = {"waist": (0.62, 0.95), "hip": (0.55, 0.85)}
    ratios = {
        level: _ratio(sheet, level, min(max(estimate, usual[level][0]), usual[level][1]), faults)
        for level, estimate in estimates.items()
    }
    faults += _drop_faults(sheet, drops)
    if faults:
        raise SheetError(faults)
    named = {f"girths.{n}": getattr(girths, n) for n in ("waist", "high_hip", "hip", "thigh", "knee")}
    named |= {f"drops.{n}": getattr(sheet.drops, n) for n in USUAL_DROPS}
    named |= {
        f"widths.{n}": getattr(sheet.widths, n) for n in ("waist_breadth", "waist_depth", "hip_breadth", "hip_depth")
    }
    return Measures(
        waist=girths.waist,
        high_hip=high_hip,
        hip=girths.hip,
        thigh=thigh,
        knee=knee,
        high_hip_drop=drops["high_hip"],
        hip_drop=drops["hip"],
        crotch_drop=drops["hip"] + CROTCH_SHARE * (drops["under_seat"] - drops["hip"]),
        under_seat_drop=drops["under_seat"],
        knee_drop=drops["knee"],
        waist_ratio=ratios["waist"],
        hip_ratio=ratios["hip"],
        measured=frozenset(name for name, value in named.items() if value is not None),
    )


def estimated_thigh(hip: float) -> float:
    """Thigh girth estimated from the hip girth, both mm.

    >>> round(estimated_thigh(956.5), 1)
    571.9
    """
    return 0.604 * hip - 5.8


def front_reach_of(sheet: Sheet, pads: Pads) -> float:
    """Front reach along the hip line, mm: as asked, else by trade size, else by hip girth."""
    if pads.front_reach is not None:
        return pads.front_reach
    size = sheet.client.size
    table, by = (REACH_BY_HIP, sheet.girths.hip) if size is None else (REACH_BY_SIZE, size)
    usual = next(reach for limit, reach in table if by <= limit)
    return min(usual, 0.2 * sheet.girths.hip)


def _complete_drops(sheet: Sheet) -> dict[str, float]:
    """Missing levels lie between the given ones as they do on an average figure, so the order always holds."""
    usual, own = [0.0], [0.0]
    for name, drop in USUAL_DROPS.items():
        given = getattr(sheet.drops, name)
        if given is not None:
            usual.append(drop)
            own.append(given)
    result = {}
    for name, drop in USUAL_DROPS.items():
        above = max(i for i, u in enumerate(usual) if u <= drop)
        if usual[above] == drop:
            result[name] = own[above]
        elif above + 1 < len(usual):
            share = (drop - usual[above]) / (usual[above + 1] - usual[above])
            result[name] = own[above] + share * (own[above + 1] - own[above])
        else:
            result[name] = drop * (own[above] / usual[above] if above else 1.0)
    return result


def _drop_faults(sheet: Sheet, drops: dict[str, float]) -> Iterator[Fault]:
    for above, below, least in (("high_hip", "hip", 15), ("hip", "under_seat", 20), ("under_seat", "knee", 60)):
        if drops[below] - drops[above] < least:
            given = below if getattr(sheet.drops, below) is not None else above
            shown = f"{in_unit(drops[given], sheet.unit):.4g} {sheet.unit}"
            yield Fault(
                f"drops.{given} = {shown}",
                f"leaves less than {least} mm between {above.replace('_', ' ')} and {below.replace('_', ' ')}",
            )


def _ratio(sheet: Sheet, level: str, estimate: float, faults: list[Fault]) -> float:
    breadth = getattr(sheet.widths, f"{level}_breadth")
    depth = getattr(sheet.widths, f"{level}_depth")
    girth = getattr(sheet.girths, level)
    if breadth is None and depth is None:
        return estimate
    name = f"widths.{level}_breadth" if breadth is not None else f"widths.{level}_depth"
    if breadth is not None and depth is not None:
        ratio = depth / breadth
    else:

        def gap(ratio: float) -> float:
            unit = unit_girth(ratio, level)
            return float((breadth if breadth is not None else depth / ratio) * unit - girth)

        low, high = 0.2, 3.0
        if gap(low) * gap(high) > 0:
            ratio = float("nan")
        else:
            from scipy.optimize import brentq

            ratio = float(brentq(gap, low, high, xtol=1e-12))
    if not RATIO_RANGE[0] <= ratio <= RATIO_RANGE[1]:
        shown = in_unit(breadth if breadth is not None else depth, sheet.unit)
        faults.append(
            Fault(
                f"{name} = {shown:g} {sheet.unit}",
                f"no body has this {level} breadth or depth at a girth of {in_unit(girth, sheet.unit):g} {sheet.unit} "
                f"(depth over breadth must be {RATIO_RANGE[0]} to {RATIO_RANGE[1]})",
            )
        )
        return estimate
    return float(ratio)
