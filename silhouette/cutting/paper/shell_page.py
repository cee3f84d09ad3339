"""The page that shell and lining are cut by."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from silhouette.asked.lengths import format_length
from silhouette.cutting.job import Job
from silhouette.cutting.panels import Row
from silhouette.cutting.paper.ink import Canvas
from silhouette.cutting.paper.setting import Cell, Place, begin, largest_that_fits, put, table, words

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
    title = "Half panels, centre line to side seam, darts closed: ease is in, allowances are not"
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
    shown = (0, 1) if job.panels.same else (0, 1, 2, 3)
    names = ("front, each side", "back, each side") if job.panels.same else SHORT
    head = [
        "level",
        "below the waist",
        "body",
        "over the pads",
        "lining, cut",
        "shell, cut",
        *(f"shell gains: {name}" for name in names),
        "shows",
    ]

    def show(mm: float, sign: bool = False) -> str:
        return format_length(mm, unit, sign=sign, bare=True) if abs(mm) > 1.0 or not sign else "–"

    rows = [
        (
            _name(r, unit),
            show(r.drop),
            show(r.body),
            show(r.padded),
            show(r.lining),
            (show(r.shell), True),
            *(show(r.gains[k], True) for k in shown),
            show(r.shows),
        )
        for r in job.panels.rows
    ]
    first = 24.0
    rest = (place.width - first) / (len(head) - 1)
    return lambda size: table(head, rows, [first, *[rest] * (len(head) - 1)], size, pad=0.45)


def _panels(job: Job, place: Place) -> Callable[[float], Any]:
    unit = job.heading.unit
    shown = (0, 1) if job.panels.same else (0, 1, 2, 3)
    names = ("front half", "back half") if job.panels.same else SHORT
    head = ["level", "below the waist", *(f"lining, {n}" for n in names), *(f"shell, {n}" for n in names)]
    rows: list[tuple[Cell, ...]] = [
        (
            _name(r, unit),
            format_length(r.drop, unit, bare=True),
            *(format_length(r.panels_lining[k], unit, bare=True) for k in shown),
            *((format_length(r.panels_shell[k], unit, bare=True), True) for k in shown),
        )
        for r in job.panels.rows
    ]
    first = 24.0
    rest = (place.width - first) / (len(head) - 1)
    return lambda size: table(head, rows, [first, *[rest] * (len(head) - 1)], size, pad=0.45)


def _opening(job: Job) -> str:
    unit = job.heading.unit
    return (
        f"All lengths in {WORD[unit]}, as the full-size pieces are drawn. Lining: to the body. Shell: what it is cut "
        "to, ease included; “shows” is a tape over it when worn. What the pads add goes in at the side seams only, "
        "front and back as the pads really lie (the side-seam strip has it at full size): centre lines stay."
    )


def _closing(job: Job) -> str:
    unit = job.heading.unit
    cloth = job.result.sheet.cloth

    def show(mm: float) -> str:
        return format_length(mm, unit, sixteenths=True)

    parts = []
    sides = ("Each",) if job.panels.same else ("The left", "The right")
    for which, rise in zip(sides, job.panels.rises, strict=False):
        parts.append(
            f"{which} side seam is {show(rise)} longer over the pads, waist to hip: without that the hem would rise at "
            f"the side. Raise the waist edge by {show(rise)} at the side seam, running out to nothing at the centre "
            "lines; the pieces and the strip have it."
        )
    parts.append(
        f"Ease: shell {format_length(cloth.ease, unit)}, lining {format_length(cloth.lining_ease, unit)} in all. On "
        f"the pieces are allowances of {show(cloth.seam_allowance)} at waist and side seams, "
        f"{show(cloth.opening_allowance)} at the centre back for the zip and {show(cloth.hem_allowance)} at the hem."
    )
    shell = job.result.shell
    if shell.tight:
        parts.append(
            f"So cut, the shell lies close and presses out up to {100 * shell.squeeze:.0f} % of the foam "
            f"({shell.foam_words}); a tape over it reads {show(shell.worn_hip)} at the hip."
        )
    if job.result.dressed.after.cut.below == "straight":
        parts.append(
            "For a closer figure peg the skirt (below, under [cloth] in the sheet): 1 in (25 mm) off the back panel at "
            "the knee at each side seam, running out at the fullest level (common practice, no source)."
        )
    return " ".join(parts)
