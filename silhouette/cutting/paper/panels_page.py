"""Both panels before and after, to scale."""

from __future__ import annotations

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.job import Job
from silhouette.cutting.paper.ink import Canvas, draw_points, use_pen, write
from silhouette.cutting.paper.setting import Place, begin, put, scale_for, words
from silhouette.shape.curves import Array


def panels_page(canvas: Canvas, place: Place, job: Job, number: int, last: int) -> None:
    """Front and back half panel to scale, block and shell laid on each other at the centre lines."""
    y = begin(canvas, place, "Panels before and after", job.heading.client, number, last)
    text = (
        "Half panels from waist to hem, darts closed, without allowances; levels are straight drops below the waist. "
        "Dashed: her own block, the same skirt over the body. Solid: the shell over the pads. Shaded: what the pads "
        "add, all of it at the side seam. Widths are those of the table and of the full-size pieces."
    )
    y = put(canvas, words(text, 3.0), place.left, y, place.width) - 4.0
    sides = (0,) if job.panels.same else (0, 1)
    each = (y - place.foot) / len(sides)
    for side in sides:
        name = "left and right alike" if job.panels.same else ("left side", "right side")[side]
        _panels(canvas, job, side, name, (place.left, y - each), (place.width, each - 3.0))
        y -= each
    canvas.showPage()


def _panels(
    canvas: Canvas, job: Job, side: int, name: str, corner: tuple[float, float], room: tuple[float, float]
) -> None:
    shell, bare, unit = job.panels.shell, job.panels.bare, job.heading.unit
    hem, rise = float(shell.drops[-1]), max(0.0, job.panels.rises[side])
    widest = shell.widths[:, 2 * side : 2 * side + 2].max(axis=0)
    n = scale_for((float(widest.sum()) + 110.0, hem + rise + 20.0), (room[0] - 4.0, room[1] - 18.0))
    x, top = corner[0], corner[1] + room[1]
    write(canvas, f"{name} (1 : {n:g})", x, top - 3.5, 3.6, bold=True)
    zero = top - 8.0 - rise / n
    for k, (centre, way, label) in enumerate(((x, 1.0, "front"), (x + room[0], -1.0, "back"))):
        panel = 2 * side + k
        anchor = "start" if way > 0 else "end"
        to_page, start = np.array([way / n, -1.0 / n]), np.array([centre, zero])
        block = np.stack([bare.widths[:, panel], bare.drops], axis=-1)
        over = np.stack([shell.widths[:, panel], shell.drops - rise * np.clip(1 - shell.drops / shell.hip, 0, 1)], -1)
        use_pen(canvas, "note", 0.1)
        canvas.setFillColorRGB(0.88, 0.92, 0.98)
        canvas.setStrokeColorRGB(0.88, 0.92, 0.98)
        draw_points(canvas, np.concatenate([block, over[::-1]]) * to_page + start, closed=True, fill=True)
        use_pen(canvas, "sew")
        draw_points(canvas, np.concatenate([[[0.0, 0.0]], block]) * to_page + start)
        use_pen(canvas, "cut", 0.4)
        draw_points(canvas, _round(over, hem) * to_page + start)
        middle = float(start[0] + way * 0.45 * widest.max() / n)
        size = min(5.0, 0.1 * float(widest.max()) / n)
        write(canvas, f"{label} half", middle, zero - 0.72 * hem / n, size, bold=True, anchor="middle")
        write(canvas, f"centre {label}", float(start[0] + way * 2.0), zero - 0.9 * hem / n, 2.6, anchor=anchor)
        _gains(canvas, job, panel, way, start, n)
    if rise > 0.5:
        texts = f"side waist raised {format_length(rise, unit, sixteenths=True)}"
        write(canvas, texts, x + room[0] / 2, zero + rise / n + 1.0, 2.6, anchor="middle")
    _bar(canvas, x + room[0] / 2, zero - hem / n - 6.0, n, unit)


def _round(over: Array, hem: float) -> Array:
    """The shell's half: down the centre, along the hem, up the side seam, back along the risen waist."""
    share = np.linspace(1.0, 0.0, 25)
    waist = np.stack([share * over[0, 0], over[0, 1] * share**2], axis=-1)
    return np.concatenate([[[0.0, 0.0], [0.0, hem]], over[::-1], waist])


def _gains(canvas: Canvas, job: Job, panel: int, way: float, start: Array, n: float) -> None:
    """Level lines with the gain of this panel written at its side seam."""
    unit = job.heading.unit
    anchor, written = "start" if way > 0 else "end", list[float]()
    for row in sorted(job.panels.rows, key=lambda r: not r.name):  # named levels first
        y, wide = float(start[1] - row.drop / n), row.panels_shell[panel] / n
        use_pen(canvas, "carve")
        draw_points(canvas, np.array([[start[0], y], [start[0] + way * wide, y]]))
        if row.name:
            write(canvas, row.name, float(start[0] + way * 2.0), y + 0.8, 2.3, anchor=anchor)
        if row.gains[panel] > 0.5 and all(abs(other - y) > 2.8 for other in written):
            written.append(y)
            texts = format_length(row.gains[panel], unit, sixteenths=True, sign=True)
            write(canvas, texts, float(start[0] + way * (wide + 1.5)), y - 0.8, 2.3, anchor=anchor)


def _bar(canvas: Canvas, x: float, y: float, n: float, unit: str) -> None:
    length, texts = (101.6, "4 in") if unit == "in" else (100.0, "10 cm")
    use_pen(canvas, "cut", 0.4)
    draw_points(canvas, np.array([[x - length / n / 2, y], [x + length / n / 2, y]]))
    write(canvas, texts, x, y + 1.0, 2.6, anchor="middle")
