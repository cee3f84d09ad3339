"""What one unit of a scan is: given, or told by a girth of the sheet, or by her size where the sheet has no girth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.asked.body_sources import MM_PER_SCAN_UNIT, ScanUnit
from silhouette.asked.readings import Girths
from silhouette.asked.sheet import Sheet
from silhouette.shape.scan.slices import sections
from silhouette.shape.scan.standing import Standing

#: All this tool's convention. Logarithm by which the fullest girth may miss the hip of the sheet, or 4/3 of its waist.
OFF_HIP: Final = 0.22
OFF_WAIST: Final = 0.40
HIP_OVER_WAIST: Final = 4 / 3
#: mm round the fullest place of grown women. Its ends lie nearer together than an inch and a centimetre, so that no
#: scan is one in two units.
GROWN_UP: Final = (700.0, 1700.0)
POSSIBLE: Final = (400.0, 2500.0)  #: mm round the fullest place in a unit that is given
USUAL: Final = 1000.0  #: mm round it while the unit is not known


@dataclass(frozen=True)
class Size:
    """How large a scan is.

    unit    what one unit of the file is; None where that cannot be told
    mm      so many mm; without a unit what gives her a likely hip, so that her shape can be looked at all the same
    doubt   what is doubtful about it, in words
    reason  why it is refused
    """

    unit: ScanUnit | None
    mm: float
    doubt: str = ""
    reason: str = ""


def size_of_scan(standing: Standing, sheet: Sheet) -> Size:
    """The unit in which she has the size that the sheet, or nature, gives her."""
    girth = max(_fullest(standing), 1e-9)
    given, hip = sheet.body.scan_unit, _likely_hip(sheet.girths)
    fallback = (hip[0] if hip else USUAL) / girth
    if given is not None:
        mm = MM_PER_SCAN_UNIT[given]
        if POSSIBLE[0] <= girth * mm <= POSSIBLE[1]:
            return Size(given, mm)
        return Size(None, fallback, reason=f"in {given} it is {girth * mm:.4g} mm round the hip: mend body.scan_unit")
    if hip is not None:
        off = {unit: abs(float(np.log(girth * mm / hip[0]))) for unit, mm in MM_PER_SCAN_UNIT.items()}
        best = min(off, key=lambda unit: off[unit])
        if off[best] <= hip[1]:
            return Size(best, MM_PER_SCAN_UNIT[best])
        reason = (
            f"in no unit is its fullest girth ({girth:.4g}) near the girths of the sheet: "
            "say what one unit of it is in body.scan_unit, and tape her again"
        )
        return Size(None, fallback, reason=reason)
    for unit, mm in MM_PER_SCAN_UNIT.items():
        if GROWN_UP[0] <= girth * mm <= GROWN_UP[1]:
            doubt = f"taken to be in {unit} by her size, as the sheet has neither waist nor hip: tape one of them"
            return Size(unit, mm, doubt=doubt)
    reason = (
        f"in no unit is its fullest girth ({girth:.4g}) a grown woman's: say what one unit of it is in body.scan_unit, "
        "or tape girths.hip"
    )
    return Size(None, fallback, reason=reason)


def _fullest(standing: Standing) -> float:
    """Largest taut girth above the crotch, in units of the file."""
    rise = standing.whole - standing.foot
    heights = np.linspace(standing.whole, min(standing.whole + 0.5 * rise, standing.top), 14)[1:-1]
    return max((p[0].girth for p in sections(standing.mesh, heights, 0.05 * rise) if p), default=0.0)


def _likely_hip(girths: Girths) -> tuple[float, float] | None:
    """Hip girth that the sheet has or its waist lets expect, and the logarithm by which it may be missed."""
    if girths.hip is not None:
        return girths.hip, OFF_HIP
    return None if girths.waist is None else (HIP_OVER_WAIST * girths.waist, OFF_WAIST)
