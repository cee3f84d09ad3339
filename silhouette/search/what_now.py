"""After a fitting: what would explain the difference, each cause with its size, and what can be done about it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

import numpy as np

from silhouette.asked.faults import SheetError
from silhouette.asked.sheet import SIDES, Sheet
from silhouette.asked.writing import with_values
from silhouette.cloth.shell import Shell
from silhouette.judged.finding import Severity
from silhouette.judged.limits import stock
from silhouette.pipeline import preview
from silhouette.search.learning import AGREES, Lesson, reading_of
from silhouette.search.thickness import THICKEST, THINNEST
from silhouette.shape.figure import SHEET_TOLERANCE, Figure, figure_like
from silhouette.shape.refoamed import with_foam
from silhouette.shape.tape import Tape, tape_over

CauseName = Literal["foam", "hung low", "hung high", "tape", "cloth pressing", "body"]
RemedyName = Literal["let out", "take in", "add a layer", "recut"]

#: mm; pads pinned by eye hang this much off their mark, and a hip changes this much between two fittings
#: (both this tool's convention).
HUNG: Final = 12.7
BODY: Final = 6.0
FURTHEST: Final = 60.0  #: mm; pads further off their mark than this are seen without a tape


@dataclass(frozen=True)
class Cause:
    """One thing that would make the tape read otherwise than predicted.

    ``needed`` is the size at which it alone explains the whole difference, None where no size does: foam left in mm,
    mm hung off the mark, slack of the tape in mm or (reading less) the share of foam a tape would press out, the
    share of foam a shell of that girth presses out, the body's own hip in mm. ``usual`` is the size that is common,
    ``explains`` the mm of the difference which that explains.
    """

    name: CauseName
    needed: float | None
    usual: float
    explains: float


@dataclass(frozen=True)
class Remedy:
    """One thing to do. ``size`` is the foam of the layer, the foam to cut from, or the shell's girth, mm.

    ``slab`` is foam as sold that comes nearest, ``hip`` the tape expected with it, and ``verdict`` how it looks;
    ``cut_hip`` the shell to it.
    """

    name: RemedyName
    size: float
    slab: float | None
    hip: float
    verdict: Severity
    cut_hip: float


@dataclass(frozen=True)
class WhatNow:
    """Causes, the likeliest first, and remedies, the least labour first. ``short`` is wanted minus read, mm."""

    wanted: float
    short: float
    causes: tuple[Cause, ...]
    remedies: tuple[Remedy, ...]


def what_now(sheet: Sheet, lesson: Lesson, over: str, wanted: float | None = None) -> WhatNow:
    """Causes and remedies for a reading of the hip; ``wanted`` (mm) is what it was to be, else the prediction.

    Causes are tried on the sheet as it is; remedies start from the sheet as the lesson explains it, so that what is
    done next rests on what the tape read.
    """
    wanted = lesson.predicted if wanted is None else wanted
    figure = figure_like(sheet)
    causes = _causes(figure, lesson, over) if abs(lesson.read - lesson.predicted) > AGREES else ()
    short = wanted - lesson.read
    remedies = _remedies(_as_fitted(sheet, lesson, figure), lesson.read, over, wanted) if abs(short) > AGREES else ()
    return WhatNow(wanted, short, causes, remedies)


def _as_fitted(sheet: Sheet, lesson: Lesson, figure: Figure) -> Figure:
    """The figure with what the fitting taught put to use."""
    return figure if lesson.explains is None else figure_like(with_values(sheet, dict([lesson.explains])), figure)


# --- causes -------------------------------------------------------------------------------------------------


def _causes(figure: Figure, lesson: Lesson, over: str) -> tuple[Cause, ...]:
    difference = lesson.read - lesson.predicted
    tried = (_foam, _hung, _tape, _cloth, _body)
    found = [cause for one in tried if (cause := one(figure, lesson, over)) is not None]
    # how much of the difference the usual size explains, no more than all of it
    return tuple(sorted(found, key=lambda cause: -min(max(cause.explains / difference, 0.0), 1.0)))


def _foam(figure: Figure, lesson: Lesson, over: str) -> Cause | None:
    """Foam thinner (or thicker) than it was taken to be."""
    sign = 1.0 if lesson.read > lesson.predicted else -1.0
    reads = _grown(figure, over)
    least, most = -(min(pad.foam for pad in figure.pads) - THINNEST), THICKEST - max(pad.foam for pad in figure.pads)
    grown = _meets(reads, lesson.read, *sorted((0.0, least if sign < 0 else most)))
    usual = SHEET_TOLERANCE if over == "pads" or not _held(figure) else 0.0
    explains = reads(sign * SHEET_TOLERANCE) - reads(0.0) if usual else 0.0
    if abs(explains) < 0.05 and grown is None:
        return None
    taken = max(pad.foam for pad in figure.pads)
    return Cause("foam", None if grown is None else taken + grown, SHEET_TOLERANCE, explains)


def _hung(figure: Figure, lesson: Lesson, over: str) -> Cause | None:
    """Pads that hang lower or higher than drafted; lower, unless higher explains more."""
    difference = lesson.read - lesson.predicted

    def reads(lower: float) -> float:
        return reading_of(Shell(figure_like(with_values(figure.sheet, _moved(figure, lower)), figure)), "hip", over)

    try:
        still = reads(0.0)
        low, high = reads(HUNG) - still, reads(-HUNG) - still
    except SheetError:  # pads that could not lie there at all
        return None
    sign, changed = (-1.0, high) if high / difference > max(low / difference, 0.02) else (1.0, low)
    needed = None
    for furthest in (FURTHEST, FURTHEST / 2):
        with suppress(SheetError):
            needed = _meets(lambda mm: reads(sign * mm) - still, difference, 0.0, furthest)
            break
    return Cause("hung low" if sign > 0 else "hung high", needed, HUNG, changed)


def _moved(figure: Figure, lower: float) -> dict[str, Any]:
    """Outlines of every pad, so much lower on the body."""
    changes: dict[str, Any] = {}
    for pad in figure.pads:
        outline = np.abs(pad.outline[:: max(1, len(pad.outline) // 60)])
        outline = np.vstack([outline[:-1], np.abs(pad.outline[-1:])])
        outline[[0, -1], 0] = 0.0
        kept = np.r_[True, np.diff(outline[:-1, 1]) >= 1.0, True]
        outline = outline[kept]
        if outline[-1, 1] - outline[-2, 1] < 1.0:
            outline = np.delete(outline, -2, axis=0)
        changes[f"pads.{pad.side}.{pad.part}_outline"] = [(float(x), float(y) + lower) for x, y in outline]
    return changes


def _tape(figure: Figure, lesson: Lesson, over: str) -> Cause:
    """A tape held slack, or drawn so tight that it sinks into the foam."""
    more = lesson.read - lesson.predicted
    if more > 0:
        return Cause("tape", more, AGREES, AGREES)
    squeeze = _squeezed_to(figure, lesson.read)
    return Cause("tape", squeeze, AGREES, -AGREES)


def _cloth(figure: Figure, lesson: Lesson, over: str) -> Cause | None:
    """A shell that holds the foam down, where none was thought to."""
    if over != "cloth" or lesson.read >= lesson.predicted or _held(figure):
        return None
    return Cause("cloth pressing", _squeezed_to(figure, lesson.read), 0.0, 0.0)


def _squeezed_to(figure: Figure, girth: float) -> float | None:
    """Share of the foam pressed out where something of this girth goes round the new hip; None beyond half."""
    shell = Shell(figure)
    if girth <= figure.body_girth_at_new_hip:
        return None
    squeeze = shell.at_hip(girth)[0]
    return squeeze if squeeze <= 0.5 else None


def _body(figure: Figure, lesson: Lesson, over: str) -> Cause | None:
    """A body that is not what was written down, or no longer."""
    difference = lesson.read - lesson.predicted

    def reads(hip: float) -> float:
        return reading_of(Shell(figure_like(with_values(figure.sheet, {"girths.hip": hip}))), "hip", over)

    if over == "cloth" and _held(figure):
        return None
    hip = figure.measures.hip
    try:
        first = hip + difference
        second = first + lesson.read - reads(first)
        usual = reads(hip + np.sign(difference) * BODY) - reads(hip)
    except SheetError:
        return None
    return Cause("body", second, BODY, usual)


def _held(figure: Figure) -> bool:
    shell = Shell(figure)
    return shell.given and shell.tight


def _meets(reads: Callable[[float], float], wanted: float, low: float, high: float) -> float | None:
    """Where a function of one size meets ``wanted``, or None where it does not between the two."""
    from scipy.optimize import brentq

    ends = reads(low) - wanted, reads(high) - wanted
    return None if ends[0] * ends[1] > 0 else float(brentq(lambda x: reads(x) - wanted, low, high, xtol=1e-3))


# --- remedies -----------------------------------------------------------------------------------------------


def _remedies(figure: Figure, read: float, over: str, wanted: float) -> tuple[Remedy, ...]:
    """What can be done, the least labour first: the shell's side seams, a layer on the pads, new pads."""
    shell = Shell(figure)
    if over == "cloth" and shell.given and shell.tight and figure.new_hip_girth >= wanted:
        verdict = preview(with_values(figure.sheet, {"cloth.shell_hip": wanted}), figure, advice=False).verdict
        return (Remedy("let out", wanted, None, wanted, verdict, wanted),)
    offset = read - reading_of(shell, "hip", over)  # what the lesson leaves unexplained stays as it is
    loose = _judged_with(figure, 0.0)
    # the pads as they are fill the shell that is recommended for them
    cut, given = loose[2] + offset, figure.sheet.cloth.shell_hip
    smaller = wanted > read if given is None else cut < given
    leave = Remedy("take in" if smaller else "let out", cut, None, read, loose[1], cut)
    reads = _grown(replace(figure, sheet=with_values(figure.sheet, {"cloth.shell_hip": None})), "pads")
    foam = max(pad.foam for pad in figure.pads)
    grown = _meets(reads, wanted - offset, THINNEST - min(pad.foam for pad in figure.pads), THICKEST - foam)
    if grown is None:
        return (leave,)
    built = [leave]
    slabs = stock(figure.sheet.unit)
    if grown > 0:
        slab = min(slabs, key=lambda t: abs(t - grown))
        hip, verdict, cut = _judged_with(figure, slab)
        built.append(Remedy("add a layer", grown, slab, hip + offset, verdict, cut + offset))
    wanted_foam = foam + grown
    slab = min(slabs, key=lambda t: abs(t - wanted_foam))
    hip, verdict, cut = _judged_with(figure, slab - foam)
    built.append(Remedy("recut", wanted_foam, slab, hip + offset, verdict, cut + offset))
    return tuple(built)


def _grown(figure: Figure, over: str) -> Callable[[float], float]:
    """The reading at the hip as a function of mm added to the foam of every pad."""
    zone = figure.hip_zone
    bare = Tape(figure.body.drops[zone], figure.before.directions, figure.before.h[zone])
    held = over == "cloth" and _held(figure)

    def reads(mm: float) -> float:
        pads = with_foam(figure.pads, lambda pad: max(pad.foam + mm, 0.1))
        if held:
            whole = replace(figure, pads=pads, after=tape_over(figure.before, pads))
            return reading_of(Shell(whole), "hip", over)
        return float(tape_over(bare, pads).girth.max())

    return reads


def _judged_with(figure: Figure, mm: float) -> tuple[float, Severity, float]:
    """Hip, verdict and shell to cut with so much added to the foam of every pad, no shell being given."""
    changes: dict[str, Any] = {"cloth.shell_hip": None, "foam.measured": None}
    for side in SIDES:
        foam = [pad.foam for pad in figure.pads if pad.side == side]
        if foam:
            changes[f"pads.{side}.thickness"] = min(max(foam[0] + mm, THINNEST), THICKEST)
    trial = preview(with_values(figure.sheet, changes), figure, advice=False)
    return trial.new_hip_girth, trial.verdict, trial.shell.cut_hip
