"""The look checks on girths: waist to hip, thigh to hip, and the share that the pads add."""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.asked.faults import SheetError
from silhouette.asked.lengths import format_length
from silhouette.cloth.dressed import DressedPair
from silhouette.judged.advice import changed, thinner
from silhouette.judged.finding import Advice, Check, Finding, handy, set_all
from silhouette.judged.limits import LIMITS, THIGH_HIP_P50, WAIST_HIP_P50, Limit
from silhouette.shape.figure import Figure

FURTHER: Final = 64.0  #: mm by which a pad may be carried down to even out hip and thigh


def _waist_to_hip(dressed: DressedPair) -> Finding | None:
    """Waist over the hip as dressed, against the women of an open table."""
    if not dressed.figure.pads:
        return None
    waist = dressed.figure.measures.waist
    return _ratio(dressed, "waist to hip", "waist over hip", waist, waist, WAIST_HIP_P50)


def _thigh_to_hip(dressed: DressedPair) -> Finding | None:
    """Thigh, with the foam that lies on it, over the hip as dressed: full hips on slim thighs look put on."""
    figure = dressed.figure
    if not figure.pads:
        return None
    how = "estimated" if figure.body.scan is None else "as scanned"
    guess = "" if "girths.thigh" in figure.measures.measured else f" (thigh {how})"
    thigh = next(r for r in figure.levels if r.level == "thigh")
    padded = figure.measures.thigh + thigh.added
    return _ratio(dressed, "thigh to hip", f"thigh over hip{guess}", figure.measures.thigh, padded, THIGH_HIP_P50)


def _ratio(dressed: DressedPair, name: str, words: str, bare: float, part: float, middle: float) -> Finding:
    """``bare`` over her own hip against ``part`` over the hip, which grows as the dressed hip does."""
    figure = dressed.figure
    before, after = dressed.hips
    own, padded = bare / figure.measures.hip, part / figure.measures.hip * before / after
    table = LIMITS[name]
    # a body that already lies low may fall by the same share as an average one, no further
    shift = min(1.0, own / middle)
    limit = Limit(table.watch * shift, table.obvious * shift, table.basis)
    rare = f"{words} goes from {own:.3f} to {padded:.3f} dressed; below {limit.watch:.3f} is rare"
    return Finding(
        check=name,
        severity=limit.severity(padded),
        measured=padded,
        limit=limit.watch,
        unit="",
        message=rare + ("" if shift == 1.0 else " for this body"),
        basis=limit.basis,
        drop=figure.new_hip_drop,
        angle=0.0,
    )


def _foam_for(figure: Figure, room: float) -> float:
    """Foam that adds ``room`` mm at most. The tape's gain grows faster than the foam, so a share is safe."""
    foam = max(pad.foam for pad in figure.pads)
    return foam * max(room, 0.0) / max(figure.added, 1e-9) if figure.added > 0 else foam


def _less_waist_to_hip(dressed: DressedPair, finding: Finding) -> Advice:
    figure = dressed.figure
    room = figure.measures.waist / finding.limit - figure.body_girth_at_new_hip
    return thinner(dressed, _foam_for(figure, room), WAIST_TO_HIP)


def _less_thigh_to_hip(dressed: DressedPair, finding: Finding) -> Advice:
    """Pads carried further down the thigh cost nothing of the hip; else thinner foam."""
    figure = dressed.figure
    sheet, unit = figure.sheet, figure.sheet.unit
    outlines = [getattr(sheet.pads_on(p.side), f"{p.part}_outline") for p in figure.pads]
    low = max(float(p.outline[-1, 1]) for p in figure.pads)
    lowest = min(low + FURTHER, 0.75 * figure.measures.knee_drop)
    for end in np.arange(low + 12.7, lowest, 12.7):
        if any(outline is not None for outline in outlines):
            break
        changes = set_all(sheet, "end", handy(float(end), unit))
        try:
            found = _thigh_to_hip(changed(dressed, changes))
        except SheetError:
            break
        if found is not None and found.severity == "fine":
            words = f"to {format_length(changes[0][1], unit)} instead of {format_length(low, unit)} below the waist"
            return f"carry the pads further down the thigh, {words}", changes
    room = figure.measures.thigh / finding.limit - figure.body_girth_at_new_hip
    return thinner(dressed, _foam_for(figure, room), THIGH_TO_HIP)


WAIST_TO_HIP: Final[Check[DressedPair]] = Check("waist to hip", _waist_to_hip, _less_waist_to_hip)
THIGH_TO_HIP: Final[Check[DressedPair]] = Check("thigh to hip", _thigh_to_hip, _less_thigh_to_hip)


def _added_girth(dressed: DressedPair) -> Finding | None:
    """Added girth as a share of the body's own."""
    figure = dressed.figure
    if not figure.pads:
        return None
    limit, unit = LIMITS["added girth"], figure.sheet.unit
    share = figure.added / figure.body_girth_at_new_hip
    return Finding(
        check="added girth",
        severity=limit.severity(share),
        measured=share,
        limit=limit.watch,
        unit="",
        message=f"at the level of the new hip the pads add {format_length(figure.added, unit)} to her "
        f"{format_length(figure.body_girth_at_new_hip, unit)}, {share:.0%}",
        basis=limit.basis,
        drop=figure.new_hip_drop,
        angle=0.0,
    )


def _add_less(dressed: DressedPair, finding: Finding) -> Advice:
    figure = dressed.figure
    return thinner(dressed, _foam_for(figure, finding.limit * figure.body_girth_at_new_hip), ADDED_GIRTH)


ADDED_GIRTH: Final[Check[DressedPair]] = Check("added girth", _added_girth, _add_less)
