"""How much a pad's edge shows through the cloth, and the bevel that hides it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from silhouette.asked.faults import SheetError
from silhouette.asked.lengths import format_length
from silhouette.cloth.dressed import DressedPair
from silhouette.judged.advice import changed, no_thicker
from silhouette.judged.finding import Advice, Changes, Check, Finding, handy, place, set_all, thickness_text
from silhouette.judged.limits import LIMITS, stock

ROUNDED_FROM: Final = 76.2  #: mm; from 3 in of bevel on a rounded edge shows least, below 2 in a straight one
STRAIGHT_BELOW: Final = 50.8
ROOM: Final = 0.9  #: share of a pad's reach that its bevel may take


def _edge(dressed: DressedPair) -> Finding | None:
    """The turn that the pads' edges put into the cloth above the hip, against the bare figure dressed the same way."""
    if not dressed.figure.pads:
        return None
    turn, limit = dressed.edge, LIMITS["edge"]
    unit = dressed.figure.sheet.unit
    return Finding(
        check="edge",
        severity=limit.severity(turn.degrees),
        measured=turn.degrees,
        limit=limit.watch,
        unit="degrees",
        message=f"the pads' edge turns the cloth by {turn.degrees:.0f}° within 30 mm, {format_length(turn.drop, unit)} "
        f"below the waist, seen against the {place(turn.angle)}",
        basis=limit.basis,
        drop=turn.drop,
        angle=turn.angle,
    )


def _longer(dressed: DressedPair, finding: Finding) -> Advice:
    """The shortest bevel that hides the edge, as it is best carved; where none is long enough, with thinner foam."""
    sheet, pads = dressed.figure.sheet, dressed.figure.pads
    unit = sheet.unit
    best: tuple[float, str, Changes] = (finding.measured, "", ())
    for words, changes in _bevels(dressed):
        turn = _turn(dressed, changes)
        if turn <= finding.limit:
            return f"{words}: it then turns the cloth by {turn:.0f}°", changes
        if turn < best[0]:
            best = turn, words, changes
    _, words, changes = best
    for foam in sorted(stock(unit), reverse=True):
        if foam >= max(pad.foam for pad in pads) - 0.1:
            continue
        both = tuple((dict(changes) | dict(no_thicker(sheet, foam))).items())
        if _turn(dressed, both) <= finding.limit:
            thin = f"{thickness_text(foam, unit)} foam instead of {thickness_text(max(p.foam for p in pads), unit)}"
            return (f"{words}, and take {thin}" if words else f"{thin} hides its edge"), both
    now = (
        f"{thickness_text(max(pad.foam for pad in pads), unit)} over {format_length(min(p.bevel for p in pads), unit)}"
    )
    none = f"no foam on sale hides its edge where the pads lie now ({now})"
    return f"{none}: place them otherwise, or leave this figure to cut and fabric", ()


def _turn(dressed: DressedPair, changes: Changes) -> float:
    try:
        return changed(dressed, changes).edge.degrees
    except SheetError:
        return np.inf


def _bevels(dressed: DressedPair) -> Iterator[tuple[str, Changes]]:
    """Bevels to try, shortest first: the present one carved better, then longer ones as far as the pads have room."""
    sheet, unit = dressed.figure.sheet, dressed.figure.sheet.unit
    pad = min(dressed.figure.pads, key=lambda p: p.bevel)
    room = ROOM * min(float(np.abs(p.outline[:, 0]).max()) for p in dressed.figure.pads)
    step = 12.7 if unit == "in" else 10.0
    first = handy(max(pad.bevel, step), unit)
    longer = np.arange(np.ceil((first + 1.0) / step) * step, room + 1e-6, step)
    for width in (pad.bevel, *map(float, longer)):
        profile = pad.profile
        if width >= ROUNDED_FROM - 1e-6:
            profile = "rounded"
        elif width < STRAIGHT_BELOW:
            profile = "straight"
        changes: Changes = ()
        words = []
        if width > pad.bevel:
            changes += set_all(sheet, "bevel", width)
            words.append(f"over {format_length(width, unit)} instead of {format_length(pad.bevel, unit)}")
        if profile != pad.profile:
            changes += set_all(sheet, "profile", profile)
            words.append(f"{profile} instead of {pad.profile}")
        if changes:
            yield f"carve the edge {', '.join(words)}", changes


EDGE: Final[Check[DressedPair]] = Check("edge", _edge, _longer)
