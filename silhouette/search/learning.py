"""What a fitting teaches: the foam thickness, foam firmness or cloth stiffness that explains what the tape read."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.fittings import Fitting
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import PARAMETERS, Sheet, value_at
from silhouette.asked.writing import with_values
from silhouette.cloth.shell import Shell
from silhouette.judged.finding import thickness_text
from silhouette.search.thickness import THICKEST, THINNEST
from silhouette.shape.figure import Figure, figure_like

#: mm; two careful readings of one tape differ by about this much (this tool's convention; ISO 20685 allows 9 mm
#: between a scanned and a taped large girth).
AGREES: Final = 3.0
LIKELY: Final = 2.5  #: a grade whose true firmness is this many times more or less was another grade (convention)


@dataclass(frozen=True)
class Lesson:
    """Prediction against tape: ``explains`` is a sheet key and value, or None with ``words`` saying why not."""

    predicted: float
    read: float
    explains: tuple[str, float] | None
    words: str


def used_keys(sheet: Sheet, fittings: Sequence[Fitting]) -> frozenset[str]:
    """Keys whose value in the sheet is what one of its fittings taught: these are not offered again.

    >>> import silhouette
    >>> used_keys(silhouette.read_sheet("demo"), [])
    frozenset()
    """
    return frozenset(record.explains[0] for record in fittings if record.explains and is_used(sheet, record))


def is_used(sheet: Sheet, record: Fitting) -> bool:
    """Whether what a fitting taught stands in the sheet."""
    if record.explains is None:
        return False
    key, taught = record.explains
    held = value_at(sheet, key)
    return held is not None and abs(held - taught) <= max(0.011, 1e-3 * abs(taught))


def learn(sheet: Sheet, level: str, read: float, over: str, used: Collection[str] = ()) -> Lesson:
    """Compare a tape reading (mm) over the ``cloth`` or over the ``pads`` with what this sheet predicts.

    ``used`` names keys that an earlier fitting has already set; none of them is offered again.

    Over pads, or where the shell hangs loose, the foam's thickness explains a difference. Under a tight shell that
    stretches, its firmness does; under a tight shell that does not, a larger reading means that the cloth gave.
    Raises ``SheetError`` for a reading that no padded figure can give.
    """
    figure = figure_like(sheet)
    shell = Shell(figure)
    unit = sheet.unit

    def show(mm: float) -> str:
        return format_length(mm, unit)

    own = _at(figure, figure.before.girth, level)
    place = f"read {level.replace('_', ' ')} = {show(read)}"
    if not figure.pads:
        raise SheetError([Fault("pads", "the sheet has no pads, so a fitting has nothing to teach")])
    if not np.isfinite(read) or read < own - AGREES:
        raise SheetError([Fault(place, f"below the body itself, which reads {show(own)}: was another level measured?")])
    if read > 1.6 * own:
        raise SheetError([Fault(place, f"far beyond the body ({show(own)}): inches and centimetres mixed up?")])
    predicted = reading_of(shell, level, over)
    if abs(read - predicted) <= AGREES:
        return Lesson(predicted, read, None, "tape and prediction agree as well as two tapes do; nothing to change")
    lesson = _explained(sheet, shell, level, read, predicted, over, used)
    if lesson.explains is not None and lesson.explains[0] in used:
        label = PARAMETERS[lesson.explains[0]].label
        return Lesson(predicted, read, None, f"the {label} already follows an earlier fitting: look for another cause")
    return lesson


def _explained(
    sheet: Sheet, shell: Shell, level: str, read: float, predicted: float, over: str, used: Collection[str]
) -> Lesson:
    """The lesson of a reading that differs, whichever parameter explains it best."""
    figure = shell.figure
    tight = over == "cloth" and shell.given and shell.tight
    if tight and np.isinf(shell.stiffness) and read > predicted:
        return _cloth_gave(sheet, shell, figure, level, read, predicted)
    if tight and np.isfinite(shell.stiffness) and "foam.firmness" not in used:
        return _firmness(sheet, figure, level, read, predicted)
    return _thickness(sheet, figure, level, read, predicted, over)


def reading_of(shell: Shell, level: str, over: str) -> float:
    """What a tape would read at a named level over the ``cloth`` or over the ``pads``, mm."""
    girth = shell.figure.after.girth if over == "pads" or not shell.given else shell.worn_girth
    return _at(shell.figure, girth, level)


def _at(figure: Figure, girth: np.ndarray[tuple[int], np.dtype[np.float64]], level: str) -> float:
    """A girth at a named level; the hip is read where it is largest, as a tape would be."""
    if level == "hip":
        return float(girth[figure.hip_zone].max())
    m = figure.measures
    drop = {"waist": 0.0, "high_hip": m.high_hip_drop, "under_seat": m.under_seat_drop}[level]
    return float(np.interp(drop, figure.body.drops, girth))


def _root(tried: Callable[[float], float], low: float, high: float, read: float) -> float | None:
    """Where a rising function of one parameter meets the reading, or None where it never does."""
    from scipy.optimize import brentq

    ends = tried(low) - read, tried(high) - read
    if ends[0] * ends[1] > 0 or abs(ends[0] - ends[1]) < 0.5:
        return None
    return float(np.exp(brentq(lambda u: tried(float(np.exp(u))) - read, np.log(low), np.log(high), xtol=1e-5)))


def _thickness(sheet: Sheet, figure: Figure, level: str, read: float, predicted: float, over: str) -> Lesson:
    def tried(foam: float) -> float:
        changed = with_values(sheet, {"foam.measured": foam})
        return reading_of(Shell(figure_like(changed, figure)), level, over)

    foam = _root(tried, THINNEST * 1.001, THICKEST * 0.999, read)
    if foam is None:
        return Lesson(predicted, read, None, "no foam thickness between 2 and 80 mm explains this reading here")
    took = max(pad.foam for pad in figure.pads)
    words = f"foam of {_foam_text(foam, sheet.unit)} instead of {thickness_text(took, sheet.unit)} explains it"
    return Lesson(predicted, read, ("foam.measured", foam), words)


def _firmness(sheet: Sheet, figure: Figure, level: str, read: float, predicted: float) -> Lesson:
    def tried(firmness: float) -> float:
        return reading_of(Shell(figure_like(with_values(sheet, {"foam.firmness": firmness}), figure)), level, "cloth")

    bounds = PARAMETERS["foam.firmness"]
    assert bounds.low is not None and bounds.high is not None
    firmness = _root(tried, bounds.low * 1.001, bounds.high * 0.999, read)
    took = Shell(figure).foam.firmness
    if firmness is None or not took / LIKELY <= firmness <= took * LIKELY:
        lesson = _thickness(sheet, figure, level, read, predicted, "cloth")
        return Lesson(predicted, read, lesson.explains, f"no likely firmness explains this reading; {lesson.words}")
    words = f"foam of {firmness:.1f} kPa at 40 % instead of {took:.1f} kPa explains it"
    return Lesson(predicted, read, ("foam.firmness", firmness), words)


def _cloth_gave(sheet: Sheet, shell: Shell, figure: Figure, level: str, read: float, predicted: float) -> Lesson:
    loose = _at(figure, figure.after.girth, level)
    if read > loose + AGREES:
        return _thickness(sheet, figure, level, read, predicted, "pads")

    def tried(give: float) -> float:
        changed = with_values(sheet, {"cloth.stiffness": 1 / give})
        return reading_of(Shell(figure_like(changed, figure)), level, "cloth")

    bounds = PARAMETERS["cloth.stiffness"]
    assert bounds.low is not None and bounds.high is not None
    give = _root(tried, 1.001 / bounds.high, 0.999 / bounds.low, read)
    if give is None:
        return Lesson(predicted, read, None, "the shell is larger than was written down, or its seams gave")
    words = f"the cloth gave: a stiffness of {1 / give:.0f} N/m ({600 * give:.1%} under the pull of the stretch test)"
    return Lesson(predicted, read, ("cloth.stiffness", 1 / give), words + " explains it")


def _foam_text(mm: float, unit: str) -> str:
    text = f"{mm:.1f} mm"
    return text if unit != "in" else f"{text} (about {format_length(mm, 'in', sixteenths=True)})"
