"""The checks for the stage, where a shape may be obvious: do pads bend, stay, hide their edge, let her sit.

Nothing here asks how natural a figure looks. The limits are this tool's convention; how far foam lies in the fold of
the hip is common sense of geometry on the standing body, not a measurement of a sitting one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import SIDES, Side
from silhouette.cloth.dressed import DressedPair
from silhouette.judged.advice import content
from silhouette.judged.finding import NOTHING, Advice, Changes, Check, Finding, handy, set_all, thickness_text
from silhouette.judged.limits import LIMITS, stock
from silhouette.shape.curves import Array
from silhouette.shape.figure import Figure
from silhouette.shape.pads import Pad, foam_at
from silhouette.shape.refoamed import whole_pads
from silhouette.shape.sides import HALF

MOST_LAYERS: Final = 4  #: slabs that one pad may be built of
LEVEL_BEND: Final = 40.0  #: mm along a level over which a slab's bend is read; shorter rows lie at the tips
#: Places along the fold of the hip, as shares of the way from the side seam to the centre front: it begins below the
#: hip bone and runs to the crotch (this tool's convention).
FOLD: Final = np.linspace(0.3, 1.0, 41)


def press_by_bending(foam: float, curvature: float) -> float:
    """Share by which a slab's inner face is pressed together when it is bent, its length kept half-way through.

    ``foam`` in mm, ``curvature`` of the body in 1/mm. Bending of a thick strip: the inner face lies foam/2 inside
    the middle, whose radius is 1/curvature + foam/2.

    >>> round(press_by_bending(20.0, 1 / 90), 3)
    0.1
    """
    half = foam / 2 * max(curvature, 0.0)
    return half / (1 + half)


def _curvature(pad: Pad) -> float:
    """Largest mean curvature of the body under a slab along a level, 1/mm; 0 where it is too narrow to be bent."""
    inner, away = (grid[:, : pad.inside + 1] for grid in (pad.inner, pad.away))
    if inner.shape[1] < 2:
        return 0.0
    length = np.sqrt((np.diff(inner, axis=1) ** 2).sum(-1)).cumsum(axis=1)
    turn = np.abs(np.diff(np.unwrap(np.arctan2(away[..., 1], away[..., 0]), axis=1), axis=1)).cumsum(axis=1)
    whole = np.maximum(length[:, -1:], LEVEL_BEND)
    # a window of a third of the level, or the least that is read
    columns = max(1, math.ceil((inner.shape[1] - 1) * max(1 / 3, LEVEL_BEND / float(whole.max()))))
    if length.shape[1] <= columns:
        return float((turn[:, -1] / whole[:, 0]).max())
    run = np.maximum(length[:, columns:] - length[:, :-columns], LEVEL_BEND)
    return float(((turn[:, columns:] - turn[:, :-columns]) / run).max())


def _bend(dressed: DressedPair) -> Finding | None:
    """Whether a slab of foam goes round the body without creasing."""
    figure = dressed.figure
    if not figure.pads:
        return None
    pressed, pad = max(
        ((press_by_bending(pad.foam, _curvature(pad)), pad) for pad in figure.pads), key=lambda found: found[0]
    )
    limit = LIMITS["bend"]
    return Finding(
        check="bend",
        severity=limit.severity(pressed),
        measured=pressed,
        limit=limit.watch,
        unit="",
        message=f"bent round the body, the {thickness_text(pad.foam, figure.sheet.unit)} foam of the {pad.name} pad is "
        f"pressed together by {pressed:.0%} on its inner face",
        basis=limit.basis,
        drop=figure.measures.hip_drop,
        angle=0.0,
    )


def _in_layers(dressed: DressedPair, finding: Finding) -> Advice:
    """The same thickness built of slabs as sold, as few as bend; asked for wherever no sheet is so thick."""
    figure = dressed.figure
    sheet, unit = figure.sheet, figure.sheet.unit
    pad = max(figure.pads, key=lambda p: p.foam)
    sold = stock(unit)
    if finding.severity == "fine" and pad.foam <= sold[-1] + 0.1:
        return NOTHING
    whole, now = pad.foam * pad.layers, thickness_text(pad.foam, unit)
    for layers in range(pad.layers + 1, MOST_LAYERS + 1):
        slab = min(sold, key=lambda foam: (abs(foam * layers - whole), -foam))
        words = f"build {pad.label or 'the pads'} of {layers} layers of {thickness_text(slab, unit)} foam"
        words += f" instead of {pad.layers} of {now}" if pad.layers > 1 else f" instead of {now} in one piece"
        if not pad.follows or pad.label:
            return words, ()
        changes: Changes = (*set_all(sheet, "thickness", slab), *set_all(sheet, "layers", layers))
        if sheet.foam.measured is not None:
            changes = (*changes, ("foam.measured", None))
        if content(dressed, changes, BEND):
            return words, changes
    return f"no {MOST_LAYERS} layers of foam on sale make {thickness_text(whole, unit)} bend here: take less", ()


BEND: Final[Check[DressedPair]] = Check("bend", _bend, _in_layers, also_when_fine=True)


def _on_the_leg(figure: Figure, pad: Pad) -> float:
    """Share of a pad's length that lies below the crotch."""
    top, low = float(pad.outline[:, 1].min()), float(pad.outline[:, 1].max())
    crotch = float(figure.body.drops[figure.body.crotch])
    return (low - max(top, min(crotch, low))) / (low - top)


def _shift(dressed: DressedPair) -> Finding | None:
    """What lies on the leg moves with every step."""
    figure = dressed.figure
    if not figure.pads:
        return None
    share, pad = max(((_on_the_leg(figure, pad), pad) for pad in figure.pads), key=lambda found: found[0])
    limit = LIMITS["shift"]
    return Finding(
        check="shift",
        severity=limit.severity(share),
        measured=share,
        limit=limit.watch,
        unit="",
        message=f"{share:.0%} of the length of the {pad.name} pad lies on the leg and moves with each step",
        basis=limit.basis,
        drop=float(pad.outline[:, 1].max()),
        angle=0.0,
    )


def _hold_it(dressed: DressedPair, finding: Finding) -> Advice:
    return (
        "hold it at its lower end as well as above: sew it into a close-fitting leg, or to a band round the thigh",
        (),
    )


SHIFT: Final[Check[DressedPair]] = Check("shift", _shift, _hold_it)


def _steepness(pad: Pad) -> float:
    return math.degrees(math.atan2(pad.foam, pad.bevel))


def _seam(dressed: DressedPair) -> Finding | None:
    """An edge so steep that it prints a line through the cloth, however far the audience sits."""
    figure = dressed.figure
    if not figure.pads:
        return None
    pad = max(whole_pads(figure.pads), key=_steepness)
    limit, unit = LIMITS["seam"], figure.sheet.unit
    return Finding(
        check="seam",
        severity=limit.severity(_steepness(pad)),
        measured=_steepness(pad),
        limit=limit.watch,
        unit="degrees",
        message=f"the edge of the {pad.name} pad falls at {_steepness(pad):.0f}° "
        f"({thickness_text(pad.foam, unit)} over {format_length(pad.bevel, unit)}); a steep one prints as a seam line",
        basis=limit.basis,
        drop=float(pad.outline[0, 1]),
        angle=0.0,
    )


def _flatter(dressed: DressedPair, finding: Finding) -> Advice:
    sheet, unit = dressed.figure.sheet, dressed.figure.sheet.unit
    pad = max(whole_pads(dressed.figure.pads), key=_steepness)
    width = handy(pad.foam / math.tan(math.radians(finding.limit)) + 1.0, unit)
    words = f"carve the edge over {format_length(width, unit)} instead of {format_length(pad.bevel, unit)}"
    if pad.label:
        return f"{words} ({pad.label})", ()
    changes = set_all(sheet, "bevel", width)
    if content(dressed, changes, SEAM):
        return words, changes
    return f"{words}, which takes a wider pad; or take thinner foam", ()


SEAM: Final[Check[DressedPair]] = Check("seam", _seam, _flatter)


def _in_the_fold(figure: Figure, pads: Sequence[Pad], side: Side) -> tuple[float, float]:
    """Most foam on the line from below the hip bone to the centre front at the crotch, mm, and its drop."""
    body, m = figure.body, figure.measures
    row = int(np.argmin(np.abs(body.drops - m.hip_drop)))
    width, crotch = float(body.arc[HALF[side], row, 0]), float(body.drops[body.crotch])
    down = (FOLD - FOLD[0]) / (FOLD[-1] - FOLD[0])
    fold = np.stack([FOLD * width, m.high_hip_drop + down * (crotch - m.high_hip_drop)], axis=-1)
    foam: Array = np.zeros(len(fold))
    for pad in pads:
        if pad.side == side and pad.part == "front":
            foam = foam + foam_at(pad, fold)
    most = int(np.argmax(foam))
    return float(foam[most]), float(fold[most, 1])


def _sitting(dressed: DressedPair) -> Finding | None:
    """Foam that lies where the thigh comes up against the body when she sits."""
    figure = dressed.figure
    pads = [pad for pad in whole_pads(figure.pads) if pad.part == "front"]
    if not pads:
        return None
    foam, drop = max(_in_the_fold(figure, pads, side) for side in SIDES)
    limit, unit = LIMITS["sitting"], figure.sheet.unit
    return Finding(
        check="sitting",
        severity=limit.severity(foam),
        measured=foam,
        limit=limit.watch,
        unit="mm",
        message=f"when the thigh comes up, {format_length(foam, unit)} of foam lies in the fold of the hip, "
        f"{format_length(drop, unit)} below the waist (common sense of geometry)",
        basis=limit.basis,
        drop=drop,
        angle=math.pi / 4,
    )


def _out_of_the_fold(dressed: DressedPair, finding: Finding) -> Advice:
    """The widest front pad that leaves the fold free enough, or the pad carved thinner where it folds."""
    figure = dressed.figure
    sheet, unit = figure.sheet, figure.sheet.unit
    fronts = [pad for pad in figure.pads if pad.part == "front"]
    wide = max(float(np.abs(pad.outline[:, 0]).max()) for pad in fronts)
    drafted = sheet.pads.front_outline is None and not any(pad.label for pad in fronts)
    step = 12.7 if unit == "in" else 10.0
    for reach in np.arange(handy(wide, unit, up=False) - step, 45.0, -step) if drafted else ():
        changes = set_all(sheet, "front_reach", handy(float(reach), unit))
        if content(dressed, changes, SITTING):
            now = format_length(wide, unit)
            return f"let the front pad reach {format_length(changes[0][1], unit)} instead of {now}", changes
    return "carve the front pad thin along the fold of the hip, or part it there into two", ()


SITTING: Final[Check[DressedPair]] = Check("sitting", _sitting, _out_of_the_fold)
