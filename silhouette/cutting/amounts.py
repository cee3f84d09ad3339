"""How much foam and cover cloth one preview takes, for comparing placements before any is decided."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from silhouette.asked.faults import SheetError
from silhouette.cutting.buying import rounded_up
from silhouette.cutting.job import heading_of, pad_work
from silhouette.pipeline import Preview


@dataclass(frozen=True)
class Amounts:
    """Foam as (thickness, length to ask for, width) and area of its pieces (mm²); cover cloth as length and width."""

    foam: tuple[tuple[float, float, float], ...]
    foam_area: float
    cloth: tuple[float, float]


def amounts_of(result: Preview) -> Amounts | str:
    """Foam and cloth as the buying list has them; in a few words why there is none to buy."""
    if not result.pads:
        return "none"
    try:
        job = pad_work(result, heading_of(result, date.today()))
    except SheetError:
        return "cannot be cut flat"
    return Amounts(
        tuple((part.foam, part.ask, part.layout.width) for part in job.sheets),
        sum(part.layout.area for part in job.sheets),
        (rounded_up(job.cloth.length, result.sheet.unit), job.cloth.width),
    )
