"""The page that shell and lining are cut by."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from silhouette.asked.lengths import format_length
from silhouette.cutting.job import Job
from silhouette.cutting.paper.ink import Canvas
from silhouette.cutting.paper.setting import Cell, Place, begin, largest_that_fits, put, table, words
from silhouette.cutting.shell_table import Row

WORD = {"in": "inches", "cm": "centimetres", "mm": "millimetres"}
SHORT = ("left front", "left back", "right front", "right back")


def shell_page(canvas: Canvas, place: Place, job: Job, number: int, last: int) -> None:
    """Girths by level with the panel gains, the half panels to cut, the side seam."""
    y = begin(canvas, place, "Shell and lining", job.heading.client, number, last)
    y = put(canvas, words(_opening(job), 3.0), place.left, y, place.width) - 2.5
    after = words(_closing(job), 3.0)
    _, closing = after.wrapOn(canvas, place.width, 1e4)
    room = (y - place.foot - closing - 16.0) / 2
    sizes = (3.0, 2.8, 2.6, 2.4, 2.2, 2.0)
    y = put(canvas, words("Girths", 4.0, bold=True), place.left, y, place.width) - 1.0
    y = put(
        canvas,
        largest_that_fits(canvas, _girths(job, place), place.width, room, sizes),
        place.left,
        y,
        place.width,
    )
    title = "Half panels to cut, centre line to side seam: a quarter of the ease and all allowances are in"
    y = put(canvas, words(title, 3.4, bold=True), place.left, y - 3.0, place.width) - 1.0
    y = put(
        canvas,
        largest_that_fits(canvas, _panels(job, place), place.width, room, sizes),
        place.left,
        y,
        place.width,
    )
    put(canvas, after, place.left, y - 3.0, place.width)
    canvas.showPage()


def _name(row: Row, unit: str) -> Cell:
    return (row.name, True) if row.name else ""


def _girths(job: Job, place: Place) -> Callable[[float], Any]:
    unit = job.heading.unit
    shown = (0, 1) if job.shell.same else (0, 1, 2, 3)
    names = ("front, each side", "back, each side") if job.shell.same else SHORT
    head = ["level", "below the waist", "body (lining)", "over the pads", "pads add",
            *(f"of that: {name}" for name in names), "shell", "tape over it"]  # fmt: skip

    def told(mm: float, sign: bool = False) -> str:
        return format_length(mm, unit, sign=sign, bare=True) if abs(mm) > 0.5 or not sign else "–"

    rows = [
        (
            _name(r, unit),
            told(r.drop),
            told(r.body),
            told(r.padded),
            told(r.added, True),
            *(told(r.gains[k], True) for k in shown),
            (told(r.shell), True),
            told(r.worn),
        )
        for r in job.shell.rows
    ]
    first = 24.0
    rest = (place.width - first) / (len(head) - 1)
    return lambda size: table(head, rows, [first, *[rest] * (len(head) - 1)], size, pad=0.45)


def panel_cut(job: Job, row: Row, panel: int, *, shell: bool) -> float:
    """Width to cut for one half panel at one level, mm: a quarter of the ease and its allowances included."""
    cloth = job.seen.sheet.cloth
    width = row.panels_shell[panel] if shell else row.panels_body[panel] + cloth.ease / 4
    opening = cloth.opening_allowance if panel % 2 else 0.0
    return width + cloth.seam_allowance + opening


def _panels(job: Job, place: Place) -> Callable[[float], Any]:
    unit = job.heading.unit
    shown = (0, 1) if job.shell.same else (0, 1, 2, 3)
    names = ("front half", "back half") if job.shell.same else SHORT
    head = ["level", "below the waist", *(f"lining, {n}" for n in names), *(f"shell, {n}" for n in names)]
    rows: list[tuple[Cell, ...]] = [
        (
            _name(r, unit),
            format_length(r.drop, unit, bare=True),
            *(format_length(panel_cut(job, r, k, shell=False), unit, bare=True) for k in shown),
            *((format_length(panel_cut(job, r, k, shell=True), unit, bare=True), True) for k in shown),
        )
        for r in job.shell.rows
    ]
    first = 24.0
    rest = (place.width - first) / (len(head) - 1)
    return lambda size: table(head, rows, [first, *[rest] * (len(head) - 1)], size, pad=0.45)


def _opening(job: Job) -> str:
    unit = job.heading.unit
    return (
        f"All lengths in {WORD[unit]}. Lining: to the body. Shell: what it is cut to, ease included. What the pads add "
        "is split at the side seams as the pads really lie, and goes in at the side seams only: centre front and "
        "centre back stay."
    )


def _closing(job: Job) -> str:
    unit = job.heading.unit
    cloth = job.seen.sheet.cloth

    def told(mm: float) -> str:
        return format_length(mm, unit, sixteenths=True)

    snug = ""
    if cloth.shell_hip is None and job.seen.pads:
        snug = f" over the close-fitting girth ({told(job.seen.shell.snug_hip)} at the hip)"
    parts = []
    seams = job.shell.seams[:1] if job.shell.same else job.shell.seams
    for seam in seams:
        which = "Each side seam" if job.shell.same else f"The {seam.side} side seam"
        parts.append(
            f"{which}, from the waist to {told(seam.end)} below it, is {told(seam.body_surface)} long over the body "
            f"and {told(seam.padded_surface)} over the pads. Pulled straight over hollows, as cloth hangs, the way "
            f"is {told(seam.rise)} longer: the hem would rise that much at the side. Raise the shell's waist edge "
            f"by {told(seam.rise)} at the side seam, running out to nothing at the centre front and back."
        )
    parts.append(
        f"In the panel widths: ease {told(cloth.ease)} in all{snug}, {told(cloth.seam_allowance)} at each side seam, "
        f"{told(cloth.opening_allowance)} at the centre back for the opening. Darts and hems come on top."
    )
    shell = job.seen.shell
    if shell.tight:
        parts.append(
            f"So cut, the shell lies close and presses out up to {100 * shell.squeeze:.0f} % of the foam "
            f"({shell.foam_words}); a tape over it reads {told(shell.worn_hip)} at the hip."
        )
    if cloth.nip > 0:
        parts.append(
            f"Nip: take {told(cloth.nip)} off the shell's back panel at the knee at each side seam, running out at "
            "the fullest level; leave a vent or slit so that she can walk and sit."
        )
    else:
        parts.append(
            "For a closer figure take ½ to 1 in (12 to 25 mm) off the shell's back panel at the knee at each side "
            "seam, running out at the fullest level, and leave a vent (common practice, no source; cloth.nip draws "
            "it)."
        )
    return " ".join(parts)
