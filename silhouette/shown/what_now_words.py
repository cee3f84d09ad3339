"""What now, after a fitting, in sentences: causes with sizes, remedies in order of labour, the maker's habit."""

from __future__ import annotations

from typing import Final

from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import Sheet
from silhouette.judged.finding import thickness_text
from silhouette.search.learning import AGREES, Lesson
from silhouette.search.maker import Habit
from silhouette.search.what_now import Cause, Remedy, WhatNow
from silhouette.shape.known_body import hip_of
from silhouette.shape.pads import foam_thickness
from silhouette.shown.fitting_words import foam_words

_CHECK: Final = {
    "foam": "Lay a caliper on an offcut.",
    "hung low": "Measure from the waist down to the pad's upper end.",
    "hung high": "Measure from the waist down to the pad's upper end.",
    "tape": "Read it again, the tape just touching.",
    "cloth pressing": "Read it again over the bare pads, and write down what the shell was cut to.",
    "body": "Measure the hip again without pads.",
}


def what_now_lines(now: WhatNow, lesson: Lesson, sheet: Sheet) -> list[str]:
    """Causes, the likeliest first, then remedies, the least labour first; a line each."""
    unit = sheet.unit

    def show(mm: float) -> str:
        return format_length(mm, unit)

    lines = []
    if now.causes:
        less = "less" if lesson.read < lesson.predicted else "more"
        lines.append(
            f"What would explain {show(abs(lesson.read - lesson.predicted))} {less} than predicted, likeliest first:"
        )
        lines += [f"  {cause_words(cause, lesson, sheet)}" for cause in now.causes]
    if now.remedies:
        way = "short of" if now.short > 0 else "above"
        lines.append(f"{show(abs(now.short))} {way} the {show(now.wanted)} wanted. What to do, the least labour first:")
        lines += [f"  {remedy_words(remedy, sheet)}" for remedy in now.remedies]
    elif abs(now.short) <= AGREES:
        lines.append(f"That is the {show(now.wanted)} wanted, as well as two tapes agree: nothing to do.")
    return lines


def cause_words(cause: Cause, lesson: Lesson, sheet: Sheet) -> str:
    """One cause: the size that explains all, what its usual size explains, and how to check it."""
    unit, less = sheet.unit, lesson.read < lesson.predicted

    def show(mm: float) -> str:
        return format_length(abs(mm), unit)

    part = f"explains {show(cause.explains)}" if abs(cause.explains) >= 1.5 else "explains next to nothing"
    if cause.name == "foam":
        taken = thickness_text(max(foam_thickness(sheet, sheet.pads_on(side)) for side in ("left", "right")), unit)
        words = f"foam {'thinner' if less else 'thicker'} than taken"
        all_of_it = "no thickness explains all" if cause.needed is None else foam_words(cause.needed, unit)
        if cause.needed is not None:
            all_of_it += f" instead of {taken} explains all"
        usual = f"the {format_length(cause.usual, unit, sixteenths=True)} that sheets of foam may be off {part}"
    elif cause.name in ("hung low", "hung high"):
        words = f"pads {cause.name}"
        all_of_it = "no height explains all" if cause.needed is None else f"{show(cause.needed)} off explains all"
        usual = f"{show(cause.usual)} off {part}"
    elif cause.name == "tape":
        words = "tape drawn tight" if less else "tape slack"
        all_of_it = f"slack of {show(cause.needed or 0.0)} explains all"
        if less:
            all_of_it = "no tape could press foam so flat"
            if cause.needed is not None:
                all_of_it = f"pressing out {cause.needed:.0%} of the foam explains all"
        usual = f"two careful readings differ by {show(cause.usual)}"
    elif cause.name == "cloth pressing":
        words, usual = "cloth pressing", "one that only lies on explains nothing"
        all_of_it = "no cloth could press foam so flat"
        if cause.needed is not None:
            all_of_it = f"a shell of {show(lesson.read)} that presses out {cause.needed:.0%} of the foam explains all"
    else:
        words = "body changed"
        all_of_it = f"a hip of {show(cause.needed or 0.0)} instead of {show(hip_of(sheet))} explains all"
        usual = f"{show(cause.usual)} of change {part}"
    return f"{words}: {all_of_it}; {usual}. {_CHECK[cause.name]}"


def remedy_words(remedy: Remedy, sheet: Sheet) -> str:
    """One remedy: how much, and what comes of it."""
    unit = sheet.unit

    def show(mm: float) -> str:
        return format_length(mm, unit)

    given = sheet.cloth.shell_hip
    if remedy.name in ("let out", "take in"):
        worn = " It holds the foam down now." if remedy.size == remedy.hip else ""
        was = "" if given is None else f" from {show(given)}"
        words = f"{remedy.name} the shell{was} to {show(remedy.size)} at the hip, pads as they are"
        return f"{words}: hip {show(remedy.hip)}.{worn}"
    assert remedy.slab is not None
    came = f"hip {show(remedy.hip)}, {remedy.verdict}, shell cut to {show(remedy.cut_hip)}"
    slab = thickness_text(remedy.slab, unit)
    if remedy.name == "add a layer":
        return f"add a layer of {foam_words(remedy.size, unit)} to every pad; the nearest as sold, {slab}: {came}."
    return f"recut from foam of {foam_words(remedy.size, unit)} by the caliper; the nearest as sold, {slab}: {came}."


def habit_lines(habit: Habit, sheet: Sheet) -> list[str]:
    """What the maker's own fittings teach together, offered for this sheet."""
    unit = sheet.unit
    count = f"Your {habit.clients} fitted clients"
    lines = []
    if habit.foam_counts:
        way = "thinner" if habit.foam < 0 else "thicker"
        lines.append(
            f"{count}: your foam comes out {abs(habit.foam):.0%} {way} than sold (± {2 * habit.foam_spread:.0%}). "
            f"For this sheet that is foam.measured = {foam_words(habit.measured(sheet), unit)}; offered, not applied."
        )
    if habit.tape_counts:
        way = "less" if habit.tape < 0 else "more"
        lines.append(
            f"{count}: your tape reads {format_length(abs(habit.tape), unit)} {way} than the foam explains "
            f"(± {format_length(2 * habit.tape_spread, unit)}): read on the slack side of that."
        )
    if not lines and habit.shift_counts(sheet):
        shift, spread = habit.shift(sheet)
        lines.append(
            f"{count}: your fittings read {format_length(abs(shift), unit)} {'less' if shift < 0 else 'more'} than "
            f"predicted (± {format_length(2 * spread, unit)}); which of foam and tape is open yet: measure the foam."
        )
    return lines
