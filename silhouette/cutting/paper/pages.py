"""Workroom pages that are mostly words: first page with the square to measure, making order."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.job import Job
from silhouette.cutting.paper.ink import Canvas, draw_join, draw_line, draw_points, use_pen, width_of, write
from silhouette.cutting.paper.setting import (
    Place,
    begin,
    largest_that_fits,
    lead_words,
    put,
    table,
    words,
)
from silhouette.cutting.paper.tiles import OVERLAP, Tiling
from silhouette.cutting.piece import PENS, Line, short_name, square
from silhouette.shown.sentences import CAUTIONS


def first_page(
    canvas: Canvas,
    place: Place,
    job: Job,
    spreads: Sequence[tuple[Tiling, int]],
    contents: Sequence[tuple[str, int]],
    last: int,
) -> None:
    """Square to measure, contents, meaning of the lines, page map.

    `spreads` pairs each tiling with the number of its first page.
    """
    name = job.heading.client or "hip pads"
    y = begin(canvas, place, f"Templates: {name}", f"{job.heading.date} · {_summary(job)}", 1, last)
    x = place.left
    y -= 101.6
    for side in (101.6, 100.0):
        draw_line(canvas, Line("scale", square(side, x, y), closed=True))
    write(canvas, "Print at 100 %", x + 50, y + 78, 6, bold=True, anchor="middle")
    write(canvas, "(“actual size”, not “fit to page”)", x + 50, y + 71, 3.4, anchor="middle")
    write(canvas, "Measure this square.", x + 50, y + 56, 5, bold=True, anchor="middle")
    write(canvas, "inner square: 100 mm each way", x + 50, y + 48, 3.4, anchor="middle")
    write(canvas, "outer square: 4 in each way", x + 50, y + 42, 3.4, anchor="middle")
    write(canvas, "Cut nothing if yours reads otherwise.", x + 50, y + 30, 3.4, bold=True, anchor="middle")
    write(canvas, "Pages with pieces carry it too, where a corner is free.", x + 50, y + 24, 3, anchor="middle")
    beside, wide = x + 108.0, place.width - 108.0
    top = put(canvas, words("In this set", 3.6, bold=True), beside, y + 101.6, wide) - 1.0
    top = put(canvas, table((), [(t, f"{n}") for t, n in contents], (wide - 14, 14), 2.8), beside, top, wide) - 4.0
    top = put(canvas, words("Lines on the pieces", 3.6, bold=True), beside, top, wide) - 1.0
    y = min(y - 7.0, _legend(canvas, job, beside, top, wide) - 5.0)
    write(canvas, "Page map", x, y, 4, bold=True)
    write(canvas, "numbers are pages of this set; dotted: overlap", x + 24, y, 2.8)
    _page_map(canvas, spreads, x, place.foot, place.width, y - 3.0 - place.foot)
    canvas.showPage()


def _summary(job: Job) -> str:
    unit = job.heading.unit
    before, after = (format_length(mm, unit) for mm in (job.result.body.measures.hip, job.result.new_hip_girth))
    wanted = job.result.sheet.aim.hip
    given = f", wanted {format_length(wanted, unit)}" if wanted is not None else ""
    return f"hip {before}, {after} over the pads{given}"


def _legend(canvas: Canvas, job: Job, x: float, y: float, width: float) -> float:
    used = {"join"} | {line.pen for piece in job.pieces for line in piece.lines}
    for pen in PENS.values():
        if pen.name not in used or pen.name in ("note", "section"):
            continue
        use_pen(canvas, pen.name)
        if pen.name == "join":
            draw_join(canvas, (x, y - 2.0), (x + 13.0, y - 2.0))
        draw_points(canvas, np.array([[x, y - 2.0], [x + 13.0, y - 2.0]]))
        y = put(canvas, words(pen.meaning, 2.5), x + 15.5, y, width - 15.5) - 0.7
    return y


def _page_map(
    canvas: Canvas, spreads: Sequence[tuple[Tiling, int]], x: float, y: float, width: float, room: float
) -> None:
    """Every piece small, with the frames of its pages and their numbers."""
    sizes = []
    for spread, _ in spreads:
        w, h = spread.frame
        sizes.append(
            (
                spread.columns * (w - OVERLAP) + OVERLAP,
                spread.rows * (h - OVERLAP) + OVERLAP,
            )
        )
    names = [width_of(short_name(spread.piece.name), 2.4, False) for spread, _ in spreads]
    scale = 0.2
    while scale > 0.02:
        wide = [max(w * scale, name) for (w, _), name in zip(sizes, names, strict=True)]
        rows = _rows(wide, width)
        if sum(max(sizes[k][1] * scale for k in row) + 6.0 for row in rows) <= room:
            break
        scale *= 0.95
    top = y + room
    for row in rows:
        high = max(sizes[k][1] * scale for k in row)
        left = x
        for k in row:
            _mini(canvas, *spreads[k], left, top - high, scale)
            left += wide[k] + 5.0
        top -= high + 6.0


def _rows(wide: Sequence[float], width: float) -> list[list[int]]:
    rows: list[list[int]] = [[]]
    used = 0.0
    for k, w in enumerate(wide):
        if rows[-1] and used + w > width:
            rows.append([])
            used = 0.0
        rows[-1].append(k)
        used += w + 5.0
    return rows


def _mini(canvas: Canvas, spread: Tiling, first: int, x: float, y: float, scale: float) -> None:
    tiles = spread.tiles
    origin = np.array([tiles[0].corner[0], min(t.corner[1] for t in tiles)])
    w, h = spread.frame
    for k, tile in enumerate(tiles):
        corner = (np.array(tile.corner) - origin) * scale + [x, y]
        box = np.array([[0, 0], [w, 0], [w, h], [0, h]]) * scale + corner
        use_pen(canvas, "note", 0.15)
        canvas.setDash([0.6, 0.6])
        draw_points(canvas, box, closed=True)
        write(canvas, str(first + k), corner[0] + 1.0, corner[1] + h * scale - 4.0, 3.2, bold=True)
    use_pen(canvas, "cut", 0.3)
    draw_points(canvas, (spread.piece.outline - origin) * scale + [x, y], closed=True)
    write(canvas, short_name(spread.piece.name), x, y - 3.2, 2.4)


def order_page(canvas: Canvas, place: Place, job: Job, number: int, last: int) -> None:
    """The making order on one page, cautions beside their steps."""
    y = begin(canvas, place, "Making order", who(job), number, last)
    narrow = 50.0
    wide = place.width - narrow - 8.0

    def make(size: float) -> object:
        from reportlab.platypus import Table, TableStyle

        rows = []
        for k, step in enumerate(job.steps, start=1):
            texts = [lead_words(f"{step.title}.", step.words, size)]
            if step.fill:
                texts.append(words("   ".join(f"{name}: ____________" for name in step.fill), size))
            care = [lead_words("⚠ Take care.", step.caution, size * 0.92)] if step.caution else ""
            rows.append([words(f"{k}", size * 1.15, bold=True), texts, care])
        style = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 0), (-1, -1), 0.1, (0.6, 0.6, 0.6)),
            ("TOPPADDING", (0, 0), (-1, -1), 0.9),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.3),
            ("LEFTPADDING", (0, 0), (-1, -1), 0.8),
            ("RIGHTPADDING", (0, 0), (-1, -1), 1.5),
        ]
        style += [("BACKGROUND", (2, k), (2, k), (1.0, 0.95, 0.85)) for k, s in enumerate(job.steps) if s.caution]
        return Table(rows, colWidths=[8.0, wide, narrow], style=TableStyle(style))

    general = words("Always: " + " ".join(CAUTIONS[:4]), 2.5)
    below = 16.0
    built = largest_that_fits(canvas, make, place.width, y - place.foot - below, (3.2, 3.0, 2.85, 2.7, 2.55, 2.4, 2.2))
    y = put(canvas, built, place.left, y, place.width)
    put(canvas, general, place.left, y - 2.5, place.width)
    canvas.showPage()


def who(job: Job) -> str:
    return " · ".join(t for t in (job.heading.client, job.heading.date) if t)
