"""The buying list with the foam and cloth layouts drawn to scale."""

from __future__ import annotations

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.foam_pieces import both
from silhouette.cutting.job import Job
from silhouette.cutting.layout import Layout
from silhouette.cutting.paper.ink import Canvas, draw_points, use_pen, write
from silhouette.cutting.paper.pages import who
from silhouette.cutting.paper.setting import Place, begin, put, scale_for, table


def buying_page(canvas: Canvas, place: Place, job: Job, number: int, last: int) -> None:
    """Buying list with the foam and cloth layouts to scale."""
    y = begin(canvas, place, "Buying list and layouts", who(job), number, last)
    widths = (place.width * 0.27, place.width * 0.31, place.width * 0.42)
    rows = [((i.what, True), i.amount, i.remark) for i in job.buying]
    y = put(canvas, table(("what", "how much", ""), rows, widths, 3.0, left_columns=3), place.left, y, place.width)
    drawings = [(f"Foam {both(s.foam, job.heading.unit)}, laid on the sheet", s.layout, s.ask) for s in job.sheets]
    drawings.append(("Cover cloth, stretch across; turned-over pieces are drawn turned over", job.cloth, 0.0))
    each = (y - place.foot) / len(drawings)
    for title, layout, ask in drawings:
        draw_layout(canvas, title, layout, ask, job.heading.unit, (place.left, y - each), (place.width, each - 4.0))
        y -= each
    canvas.showPage()


def draw_layout(
    canvas: Canvas,
    title: str,
    layout: Layout,
    ask: float,
    unit: str,
    corner: tuple[float, float],
    room: tuple[float, float],
) -> None:
    """A filled sheet, its width across the page and its length upward."""
    x, y = corner
    top = y + room[1]
    length = max(ask, layout.length)
    n = scale_for((layout.width, length), (room[0] - 28.0, room[1] - 18.0))
    write(canvas, f"{title} (1 : {n:g})", x, top - 4.0, 3.6, bold=True)
    w, h = layout.width / n, length / n
    foot = top - 8.0 - h
    use_pen(canvas, "note", 0.3)
    draw_points(canvas, np.array([[x, foot], [x + w, foot], [x + w, foot + h], [x, foot + h]]), closed=True)
    for placed in layout.placed:
        outline = placed.outline / n + np.array([x, foot])
        use_pen(canvas, "cut", 0.3)
        canvas.setFillColorRGB(0.92, 0.92, 0.92)
        draw_points(canvas, outline, closed=True, fill=True)
        low, high = outline.min(axis=0), outline.max(axis=0)
        middle = (low + high) / 2
        size = min(3.0, 1.5 * float(high[0] - low[0]) / max(len(placed.name), 1))
        write(canvas, placed.name, float(middle[0]), float(middle[1]), size, anchor="middle")
        way = {0: "up ↑", 90: "up ←", 180: "up ↓", 270: "up →"}[placed.turn]
        write(canvas, way, float(middle[0]), float(middle[1]) - 1.4 * size, size, anchor="middle")
    write(canvas, f"width {format_length(layout.width, unit)}", x + w / 2, foot - 4.0, 2.8, anchor="middle")
    words = f"length {format_length(length, unit)}"
    write(canvas, words, x + w + 2.0, foot + h / 2, 2.8)
