"""The look checks on the pads as drafted: foam, upper end, left and right, centre front and back opening.

A check compares after with before: what lies in the client's own body is never held against the pads.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from silhouette.asked.declared import FLAG, LENGTH
from silhouette.asked.lengths import INCH, format_length
from silhouette.asked.sheet import Sheet, parameter_for
from silhouette.cloth.dressed import DressedPair
from silhouette.judged.advice import content, even_pair, thinner
from silhouette.judged.finding import NOTHING, Advice, Changes, Check, Finding, handy, set_all, thickness_text
from silhouette.judged.limits import LIMITS
from silhouette.shape.figure import Figure
from silhouette.shape.pads import Pad


def _thickness(dressed: DressedPair) -> Finding | None:
    """Foam that is thicker than the trade trusts shows, however well it is carved."""
    figure = dressed.figure
    if not figure.pads:
        return None
    foam = max(pad.built for pad in figure.pads)
    limit, unit = LIMITS["thickness"], figure.sheet.unit
    most = thickness_text(limit.watch, unit)
    return Finding(
        check="thickness",
        severity=limit.severity(foam),
        measured=foam,
        limit=limit.watch,
        unit="mm",
        message=f"the foam is {thickness_text(foam, unit)} thick; the trade stops at {most}",
        basis=limit.basis,
        drop=figure.measures.hip_drop,
        angle=0.0,
    )


def _less_foam(dressed: DressedPair, finding: Finding) -> Advice:
    """Fewer slabs where there are several, else thinner foam."""
    sheet, unit = dressed.figure.sheet, dressed.figure.sheet.unit
    pad = max(dressed.figure.pads, key=lambda p: p.built)
    for layers in range(pad.layers - 1, 0, -1):
        changes = set_all(sheet, "layers", layers)
        if content(dressed, changes, THICKNESS):
            foam = thickness_text(pad.foam, unit)
            return f"{layers} × {foam} foam instead of {pad.layers} × {foam} brings this inside the limit", changes
    return thinner(dressed, finding.limit / pad.layers, THICKNESS)


THICKNESS: Final[Check[DressedPair]] = Check("thickness", _thickness, _less_foam)


def _highest(figure: Figure) -> Pad:
    return min(figure.pads, key=lambda p: p.outline[0, 1])


def _start(dressed: DressedPair) -> Finding | None:
    """Pads that start at the waist read as a full belly, not as hips."""
    figure = dressed.figure
    if not figure.pads:
        return None
    top = float(_highest(figure).outline[0, 1])
    limit, unit = LIMITS["start"], figure.sheet.unit
    return Finding(
        check="start",
        severity=limit.severity(top),
        measured=top,
        limit=limit.watch,
        unit="mm",
        message=f"the pad starts {format_length(top, unit)} below the waist; "
        f"{format_length(limit.watch, unit)} to {format_length(2 * limit.watch, unit)} reads as hips rather than belly",
        basis=limit.basis,
        drop=top,
        angle=0.0,
    )


def _start_lower(dressed: DressedPair, finding: Finding) -> Advice:
    figure = dressed.figure
    pad, unit = _highest(figure), figure.sheet.unit
    lower = handy(finding.limit - finding.measured, unit)
    drafted = getattr(figure.sheet.pads_on(pad.side), f"{pad.part}_outline") is None
    changes = set_all(figure.sheet, "start", finding.measured + lower) if drafted else ()
    start = format_length(finding.measured + lower, unit)
    return f"start the pad {start} below the waist instead of {format_length(finding.measured, unit)}", changes


START: Final[Check[DressedPair]] = Check("start", _start, _start_lower)


def _left_and_right(dressed: DressedPair) -> Finding | None:
    """One hip standing out further than the other, beyond what the body itself does."""
    figure = dressed.figure
    if not figure.pads:
        return None
    before, after = (tape.outline_from(0.0).sum(axis=1) for tape in (figure.before, figure.after))
    worse = np.abs(after) - np.abs(before)
    row = int(np.argmax(worse))
    own = int(np.argmax(np.abs(before)))
    limit, unit = LIMITS["left and right"], figure.sheet.unit
    size = max(float(worse[row]), 0.0)
    severity = limit.severity(size)
    if severity == "fine":
        row = own if abs(before[own]) > 0.5 else row
    side = "left" if after[row] > 0 else "right"
    difference = float(abs(after[row]))
    if severity != "fine":
        message = f"the {side} hip stands out {format_length(difference, unit)} further with the pads"
    elif abs(before[own]) <= 0.5:
        message = "both hips stand out alike"
    elif difference < abs(before[own]) - 0.5:
        message = (
            f"the pads even her out: {format_length(float(abs(before[own])), unit)} between the hips before, "
            f"{format_length(difference, unit)} with them"
        )
    else:
        message = f"the {side} hip stands out {format_length(difference, unit)} further, as on the body itself"
    return Finding(
        check="left and right",
        severity=severity,
        measured=size,
        limit=limit.watch,
        unit="mm",
        message=message,
        basis=limit.basis,
        drop=float(figure.body.drops[row]),
        angle=0.0 if side == "left" else math.pi,
    )


def _even_out(dressed: DressedPair, finding: Finding) -> Advice:
    """The pair of thicknesses that evens the outside; on an even body, the same pads on both sides."""
    figure = dressed.figure
    before = figure.before.outline_from(0.0).sum(axis=1)
    if float(np.abs(before).max()) > 0.5:
        return even_pair(dressed, LEFT_AND_RIGHT)
    if finding.severity == "fine":
        return NOTHING
    return f"give both sides the same pad instead of {_own_choices(figure.sheet)}", _same_both_sides(figure.sheet)


def _own_choices(sheet: Sheet) -> str:
    """What each side chooses for itself, in words."""
    words = []
    for side in ("left", "right"):
        for name, value in getattr(sheet, side):
            parameter = parameter_for(f"pads.{name}")
            text = "of its own" if not isinstance(value, int | float | str) else f"{value}"
            if parameter.kind == LENGTH and value is not None:
                text = format_length(value, sheet.unit, sixteenths=True)
            elif parameter.kind == FLAG:
                text = "yes" if value else "no"
            words.append(f"{parameter.label} {text} ({side})")
    return ", ".join(words)


def _same_both_sides(sheet: Sheet) -> Changes:
    return tuple((f"pads.{s}.{name}", None) for s in ("left", "right") for name, _ in getattr(sheet, s))


LEFT_AND_RIGHT: Final[Check[DressedPair]] = Check("left and right", _left_and_right, _even_out, also_when_fine=True)


def _centre(name: str, part: str, words: str) -> Check[DressedPair]:
    """Pads that run up to, or past, the centre line in front or behind."""
    wanted = INCH

    def judge(dressed: DressedPair) -> Finding | None:
        figure = dressed.figure
        pads = [p for p in figure.pads if p.part == part]
        if not pads:
            return None
        pad = min(pads, key=lambda p: p.clearance)
        limit, unit = LIMITS[name], figure.sheet.unit
        mates = {p.side: p.clearance for p in pads}
        overlap = -sum(mates.values()) if len(mates) == 2 else 0.0
        if overlap > 0:
            message = f"the two {part} pads overlap by {format_length(overlap, unit)} at {words}"
        elif pad.clearance < 0:
            message = f"the {pad.name} pad runs {format_length(-pad.clearance, unit)} past {words}"
        else:
            message = f"the {part} pad stops {format_length(pad.clearance, unit)} before {words}"
        return Finding(
            check=name,
            severity=limit.severity(pad.clearance),
            measured=pad.clearance,
            limit=limit.watch,
            unit="mm",
            message=message,
            basis=limit.basis,
            drop=figure.measures.hip_drop,
            angle=math.pi / 2 if part == "front" else -math.pi / 2,
        )

    def advise(dressed: DressedPair, finding: Finding) -> Advice:
        figure = dressed.figure
        sheet = figure.sheet
        pad = min((p for p in figure.pads if p.part == part), key=lambda p: p.clearance)
        cut = handy(wanted - finding.measured, sheet.unit)
        choices = sheet.pads_on(pad.side)
        if part == "back" and choices.back_outline is None:
            gap, now = (format_length(mm, sheet.unit) for mm in (choices.back_gap + cut, choices.back_gap))
            advice = f"leave {gap} free at the centre back instead of {now}"
            return advice, set_all(sheet, "back_gap", choices.back_gap + cut)
        widest = float(np.abs(pad.outline[:, 0]).max())
        drafted = part == "front" and choices.front_outline is None and widest - cut > 20
        reach, now = (format_length(mm, sheet.unit) for mm in (widest - cut, widest))
        advice = f"let the {part} pad reach {reach} instead of {now}"
        return advice, set_all(sheet, "front_reach", widest - cut) if drafted else ()

    return Check(name, judge, advise)


CENTRE_FRONT: Final = _centre("centre front", "front", "the centre front")
BACK_OPENING: Final = _centre("back opening", "back", "the centre-back opening")
