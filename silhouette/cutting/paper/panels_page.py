"""Both panels before and after, to scale."""

from __future__ import annotations

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.job import Job
from silhouette.cutting.paper.ink import Canvas, draw_points, use_pen, write
from silhouette.cutting.paper.setting import Place, begin, put, scale_for, words
from silhouette.cutting.piece import Floats


def panels_page(canvas: Canvas, place: Place, job: Job, number: int, last: int) -> None:
    """Front and back half panel to scale, lining and shell laid on each other at the centre lines."""
    unit = job.heading.unit
    y = begin(canvas, place, "Panels before and after", job.heading.client, number, last)
    text = (
        "Half panels on the figure, without ease, darts or allowances; levels are straight drops below the waist. "
        "Dashed: over the body (lining). Solid: over the pads (shell). Shaded: what the pads add, all of it at the "
        "side seam. Below the fullest level both are drawn plumb, as a straight skirt hangs."
    )
    y = put(canvas, words(text, 3.0), place.left, y, place.width) - 4.0
    sides = (0,) if job.shell.same else (0, 1)
    each = (y - place.foot) / len(sides)
    for side in sides:
        name = "left and right alike" if job.shell.same else ("left side", "right side")[side]
        _panels(canvas, job, side, name, (place.left, y - each), (place.width, each - 3.0), unit)
        y -= each
    canvas.showPage()


def _panels(
    canvas: Canvas,
    job: Job,
    side: int,
    name: str,
    corner: tuple[float, float],
    room: tuple[float, float],
    unit: str,
) -> None:
    curve, knee = job.shell.curve, job.seen.body.measures.knee_drop
    knee = max(knee, float(curve.drops[-1]))
    rise = max(0.0, job.shell.seams[side].rise)
    front, back = (side * 2, side * 2 + 1)
    widest = float(curve.padded[:, [front, back]].max())
    across = float(curve.padded[:, [front, back]].max(axis=0).sum()) + 110.0
    n = scale_for((across, knee + rise + 20.0), (room[0] - 4.0, room[1] - 12.0))
    x, top = corner[0], corner[1] + room[1]
    write(canvas, f"{name} (1 : {n:g})", x, top - 3.5, 3.6, bold=True)
    zero = top - 8.0 - rise / n
    for panel, centre, way, label in (
        (front, x, 1.0, "front"),
        (back, x + room[0], -1.0, "back"),
    ):
        body, padded = (_with_tail(curve.drops, widths[:, panel], knee) for widths in (curve.body, curve.padded))
        place_of = np.array([way / n, -1.0 / n])
        start = np.array([centre, zero])
        band = np.concatenate([body, padded[::-1]])[:, ::-1] * place_of + start
        use_pen(canvas, "note", 0.1)
        canvas.setFillColorRGB(0.88, 0.92, 0.98)
        canvas.setStrokeColorRGB(0.88, 0.92, 0.98)
        draw_points(canvas, band, closed=True, fill=True)
        use_pen(canvas, "sew")
        draw_points(canvas, body[:, ::-1] * place_of + start)
        use_pen(canvas, "cut", 0.45)
        shell = _risen(padded, rise, curve.drops)
        draw_points(canvas, shell[:, ::-1] * place_of + start)
        _frame(canvas, start, place_of, body, shell, knee)
        if label == "back" and job.seen.sheet.cloth.nip > 0:
            _nip(canvas, padded, knee, job.seen.sheet.cloth.nip, place_of, start, unit)
        heavy = float(start[0] + way * 0.45 * widest / n)
        write(
            canvas,
            f"{label} half",
            heavy,
            zero - 0.72 * knee / n,
            min(5.0, 0.1 * widest / n),
            bold=True,
            anchor="middle",
        )
        write(canvas, f"centre {label}", float(start[0] + way * 2.0), zero - 0.9 * knee / n, 2.6,
              anchor="start" if way > 0 else "end")  # fmt: skip
        _gains(canvas, job, panel, padded, way, start, n)
    if rise > 0.5:
        told = f"side waist raised {format_length(rise, unit, sixteenths=True)}"
        write(canvas, told, x + room[0] / 2, zero + rise / n + 1.0, 2.6, anchor="middle")
    _bar(canvas, x + room[0] / 2, zero - knee / n, n, unit)


def _with_tail(drops: Floats, widths: Floats, knee: float) -> Floats:
    """Drop and width (N, 2) of a panel's side edge, plumb below its fullest level."""
    hung = np.where(np.arange(len(widths)) > widths.argmax(), widths.max(), widths)
    return np.concatenate([np.stack([drops, hung], axis=-1), [[knee, hung[-1]]]])


def _risen(padded: Floats, rise: float, drops: Floats) -> Floats:
    """The shell's side edge with its top raised, so that the way over the pad does not lift the hem."""
    raised = padded.copy()
    raised[0, 0] -= rise
    return raised


def _frame(canvas: Canvas, start: Floats, place_of: Floats, body: Floats, shell: Floats, knee: float) -> None:
    """Centre line, waist and hem of both halves."""
    use_pen(canvas, "cut", 0.3)
    draw_points(canvas, np.array([[0.0, 0.0], [0.0, knee]]) * place_of + start)
    draw_points(canvas, np.array([[0.0, knee], [shell[-1, 1], knee]]) * place_of + start)
    share = np.linspace(0.0, 1.0, 25)
    waist = np.stack([share * shell[0, 1], shell[0, 0] * share**2], axis=-1)
    draw_points(canvas, waist * place_of + start)
    use_pen(canvas, "sew")
    draw_points(canvas, np.array([[0.0, 0.0], [body[0, 1], 0.0]]) * place_of + start)


def _nip(canvas: Canvas, padded: Floats, knee: float, nip: float, place_of: Floats, start: Floats, unit: str) -> None:
    full = padded[padded[:, 1].argmax()]
    line = np.array([[full[1], full[0]], [padded[-1, 1] - nip, knee]]) * place_of + start
    use_pen(canvas, "hip")
    draw_points(canvas, line)
    told = f"nip {format_length(nip, unit, sixteenths=True)}"
    write(canvas, told, float(line[1, 0]), float(line[1, 1]) - 3.5, 2.6, anchor="middle")


def _gains(canvas: Canvas, job: Job, panel: int, hung: Floats, way: float, start: Floats, n: float) -> None:
    """Level lines with the gain of this panel written at its side seam."""
    unit = job.heading.unit
    free = float("inf")
    for row in job.shell.rows:
        y = float(start[1] - row.drop / n)
        wide = float(np.interp(row.drop, hung[:, 0], hung[:, 1])) / n
        use_pen(canvas, "carve")
        draw_points(canvas, np.array([[start[0], y], [start[0] + way * wide, y]]))
        gain = row.gains[panel]
        if row.name:
            write(
                canvas,
                row.name,
                float(start[0] + way * 2.0),
                y + 0.8,
                2.3,
                anchor="start" if way > 0 else "end",
            )
        if gain > 0.5 and (row.name or free - y > 2.8):
            free = y
            told = format_length(gain, unit, sixteenths=True, sign=True)
            write(canvas, told, float(start[0] + way * (wide + 1.5)), y - 0.8, 2.3,
                  anchor="start" if way > 0 else "end")  # fmt: skip


def _bar(canvas: Canvas, x: float, y: float, n: float, unit: str) -> None:
    length, told = (101.6, "4 in") if unit == "in" else (100.0, "10 cm")
    use_pen(canvas, "cut", 0.4)
    draw_points(canvas, np.array([[x - length / n / 2, y], [x + length / n / 2, y]]))
    write(canvas, told, x, y + 1.0, 2.6, anchor="middle")
