"""Advice that was tried: what a check proposes is applied to the figure, and followed on until the check is content."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from silhouette.asked.faults import SheetError
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import SIDES, Sheet
from silhouette.asked.writing import with_values
from silhouette.cloth.dressed import DressedPair, dress
from silhouette.cloth.shell import Shell
from silhouette.judged.finding import NOTHING, Advice, Changes, Check, thickness_text
from silhouette.judged.limits import stock
from silhouette.shape.figure import figure_like

_THICKNESS = {"pads.thickness", "pads.left.thickness", "pads.right.thickness", "foam.measured"}


def thinner(dressed: DressedPair, at_most: float, check: Check[DressedPair]) -> Advice:
    """Advice naming the thickest stock foam, no thicker than ``at_most`` mm, with which ``check`` is content.

    ``at_most`` may be on the safe side, so the thinnest sheet is tried before it is said that none will do.
    """
    figure = dressed.figure
    unit, present = figure.sheet.unit, max(pad.foam for pad in figure.pads)
    now = thickness_text(present, unit)
    sold = [foam for foam in stock(unit) if foam < present - 0.1]
    for foam in sorted({*(foam for foam in sold if foam <= at_most + 1e-9), *sold[:1]}, reverse=True):
        changes = no_thicker(figure.sheet, foam)
        if content(dressed, changes, check):
            return f"{thickness_text(foam, unit)} foam instead of {now} brings this inside the limit", changes
    thinnest = format_length(max(at_most, 0.0), unit, sixteenths=True)
    none = f"no foam on sale is thin enough where the pads lie now ({thinnest} at most instead of {now})"
    return f"{none}: place them otherwise, or leave this figure to cut and fabric", ()


def content(dressed: DressedPair, changes: Changes, check: Check[DressedPair]) -> bool:
    """Whether a check is content once some changes are made."""
    try:
        found = check.judge(changed(dressed, changes))
    except SheetError:
        return False
    return found is None or found.severity == "fine"


def even_pair(dressed: DressedPair, check: Check[DressedPair]) -> Advice:
    """The pair of stock thicknesses, one for each side, that evens out hips which differ on the body itself.

    Of the pairs that come nearest to even, the one nearest to the foam the sheet has now. Nothing when the pads
    already do as well.
    """
    figure = dressed.figure
    unit = figure.sheet.unit
    differs = figure.before.outline_from(0.0).sum(axis=1)
    row = int(np.argmax(np.abs(differs)))
    gap = float(differs[row])  # > 0: the left hip stands out further
    now = abs(float(figure.after.outline_from(0.0).sum(axis=1)[row]))
    foam = {pad.side: pad.foam for pad in figure.pads}
    mean = sum(foam.values()) / len(foam)
    pairs = [(left, right) for left in stock(unit) for right in stock(unit)]
    left, right = min(pairs, key=lambda p: (round(abs(gap + p[0] - p[1]), 1), abs((p[0] + p[1]) / 2 - mean)))
    if abs(gap + left - right) >= now - 0.5:
        return NOTHING
    changes: Changes = (("pads.left.thickness", left), ("pads.right.thickness", right))
    own = [f"{thickness_text(foam[side], unit)} {side}" for side in SIDES if side in foam]
    advice = (
        f"{thickness_text(left, unit)} foam on the left and {thickness_text(right, unit)} on the right even her out, "
        f"instead of {' and '.join(own)}"
    )
    return (advice, changes) if content(dressed, changes, check) else NOTHING


def no_thicker(sheet: Sheet, foam: float) -> Changes:
    """Changes that bring every pad thicker than ``foam`` down to it, and leave the thinner ones alone."""
    changes: list[tuple[str, Any]] = []
    common = sheet.foam.measured if sheet.foam.measured is not None else sheet.pads.thickness
    if common > foam:
        changes.append(("pads.thickness", min(foam, sheet.pads.thickness)))
        if sheet.foam.measured is not None:
            changes.append(("foam.measured", None))
    for side in ("left", "right"):
        own = dict(getattr(sheet, side)).get("thickness")
        if own is not None and own > foam:
            changes.append((f"pads.{side}.thickness", foam))
    return tuple(changes)


def changed(dressed: DressedPair, changes: Changes) -> DressedPair:
    """The figure with some changes made, dressed again; what they leave as it was is borrowed."""
    wanted, loose = dict(changes), dressed.shell.figure
    # stock foam needs no reading anew: that would take as long as the trial itself
    direct = set(wanted) <= _THICKNESS
    sheet = _with_thickness(loose.sheet, wanted) if direct else with_values(loose.sheet, wanted)
    return dress(Shell(figure_like(sheet, loose)))


def _with_thickness(sheet: Sheet, changes: dict[str, Any]) -> Sheet:
    """The sheet with stock foam put in; such values are within every range."""
    sides: dict[str, Any] = {
        side: tuple((name, changes.get(f"pads.{side}.{name}", value)) for name, value in getattr(sheet, side))
        for side in ("left", "right")
    }
    pads = replace(sheet.pads, thickness=changes.get("pads.thickness", sheet.pads.thickness))
    foam = replace(sheet.foam, measured=changes.get("foam.measured", sheet.foam.measured))
    return replace(sheet, pads=pads, foam=foam, **sides)
