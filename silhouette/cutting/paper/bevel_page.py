"""Bevel guide: edges in section with their carving steps, and how well each piece lies flat."""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.edge import Edge, profile_line, steps
from silhouette.cutting.foam_pieces import both
from silhouette.cutting.job import FORGIVEN, Job
from silhouette.cutting.paper.ink import Canvas, draw_points, use_pen, write
from silhouette.cutting.paper.setting import Place, begin, put, table, words
from silhouette.shape.curves import Array


def bevel_page(canvas: Canvas, place: Place, job: Job, number: int, last: int) -> None:
    """Edges in section at full size with the carving steps, and what laying flat did to each piece."""
    unit = job.heading.unit
    y = begin(canvas, place, "Bevel guide and fit of the pieces", job.heading.client, number, last)
    for edge in job.edges:
        y = _edge_guide(canvas, edge, unit, place, y)
    if any(edge.bevel > 0 for edge in job.edges):
        sewn = any(line.pen == "seam" for piece in job.foam for line in piece.lines)
        texts = _CARVING.format(where="face only, and never on the side seam" if sewn else "face only")
        y = put(canvas, words(texts, 3.1), place.left, y, place.width)
    y -= 6.0
    y = put(canvas, words("How well the pieces lie flat", 4.0, bold=True), place.left, y, place.width) - 2.0
    columns = (
        "piece",
        "largest length change",
        "mean length change",
        "area change",
        "outer face when worn",
        "side-seam edge",
        "",
    )
    parts = (0.16, 0.14, 0.14, 0.12, 0.15, 0.13, 0.16)
    built = table(columns, stretch_rows(job), [place.width * p for p in parts], 2.7)
    y = put(canvas, built, place.left, y, place.width) - 2.5
    y = put(canvas, words(_FLAT.format(limit=100 * FORGIVEN), 2.8), place.left, y, place.width) - 2.0
    for line in job.advice:
        y = put(canvas, words(line, 3.0, bold=True), place.left, y, place.width) - 1.5
    canvas.showPage()


_CARVING: Final = (
    "The dotted lines on each piece are these depths. At the first line from the edge a quarter of the thickness "
    "stays, at the second a half, at the third three quarters; from the blue dashed line inward the foam stays full. "
    "Cut a step to each line, then take off the corners of the steps, then smooth. Work on the outside {where}. Stand "
    "the edge card on the table against the foam: where light shows, leave; where the card rocks, carve."
)
_FLAT: Final = (
    "Each piece is the body side of the pad laid flat with as little stretch as can be, so that bent round the figure "
    "it meets the body edge to edge. Length changes are those of about 6 mm (¼ in) steps on its surface; up to "
    "{limit:.0f} % foam takes up by itself (this tool's convention). The outer face is larger when worn: the foam has "
    "to give that much as it bends, most where the body curves most. The middle of a rounded pad is drawn small "
    "for the same reason: the foam stretches there, and flat it holds up to 3 % less than worn."
)


def _edge_guide(canvas: Canvas, edge: Edge, unit: str, place: Place, y: float) -> float:
    """One edge in section with its carving steps drawn and tabled; returns the foot."""
    if edge.bevel <= 0:
        square = words(f"Foam {both(edge.foam, unit)}: square edge, nothing to carve.", 3.4)
        return put(canvas, square, place.left, y, place.width)
    body = min(30.0, max(12.0, 0.4 * edge.bevel))
    n = max(1.0, (edge.bevel + body) / (place.width * 0.62))
    said = "full size" if n == 1.0 else f"1 : {n:.2f}"
    y -= 4.0
    head = f"Foam {both(edge.foam, unit)}, bevel {format_length(edge.bevel, unit)}, {edge.shape} ({said})"
    write(canvas, head, place.left, y, 3.6, bold=True)
    foot = y - 6.0 - edge.foam / n
    _section(canvas, edge_line=profile_line(edge) / n, body=body / n, x=place.left, y=foot)
    for left, inward in steps(edge):
        use_pen(canvas, "carve")
        draw_points(
            canvas,
            np.array([[inward / n, -2.0], [inward / n, left / n]]) + np.array([place.left, foot]),
        )
    rows = [
        (
            f"{k}/4" if k < 4 else "full",
            format_length(left, unit, sixteenths=True),
            format_length(inward, unit, sixteenths=True),
        )
        for k, (left, inward) in enumerate(steps(edge), start=1)
    ]
    beside = place.left + place.width * 0.66
    low = put(
        canvas,
        table(("depth", "foam left", "in from the edge"), rows, (14.0, 20.0, 26.0), 2.7),
        beside,
        y - 3.0,
        60.0,
    )
    return _three_cuts(canvas, edge, place, min(low, foot) - 6.0)


def _three_cuts(canvas: Canvas, edge: Edge, place: Place, y: float) -> float:
    """The edge after each of the three cuts, half size where there is room; returns the foot."""
    run = profile_line(edge)
    body = max(10.0, 0.3 * edge.bevel)
    n = max(2.0, (edge.bevel + body) / (place.width / 3 - 8.0))
    corners = [(inward, left) for left, inward in steps(edge)]
    stairs, before = [[0.0, edge.foam / 4]], 0.0
    for inward, left in corners:
        stairs += [[before, left], [inward, left]]
        before = inward
    bevelled = [[0.0, 0.0], *[[inward, left] for inward, left in corners]]
    foot = y - 5.0 - edge.foam / n
    for k, (line, name) in enumerate(
        ((stairs, "1  steps"), (bevelled, "2  corners off"), (run, "3  smooth, to the card"))
    ):
        x = place.left + k * place.width / 3
        write(canvas, name, x, y - 3.0, 2.9, bold=True)
        _section(canvas, edge_line=np.asarray(line, dtype=np.float64) / n, body=body / n, x=x, y=foot)
        use_pen(canvas, "bevel", 0.2)
        draw_points(canvas, run / n + np.array([x, foot]))
    return foot - 6.0


def _section(canvas: Canvas, edge_line: Array, body: float, x: float, y: float) -> None:
    end = edge_line[-1]
    closed = np.concatenate([edge_line, [[end[0] + body, end[1]], [end[0] + body, 0.0], [0.0, 0.0]]]) + np.array([x, y])
    use_pen(canvas, "section")
    canvas.setFillColorRGB(0.95, 0.92, 0.8)
    draw_points(canvas, closed, closed=True, fill=True)


def stretch_rows(job: Job) -> list[tuple[str, ...]]:
    """Per foam piece: largest and mean length change, area change, side-seam lengths, outer face."""
    unit = job.heading.unit
    return [
        (
            t.name,
            f"{100 * t.stretch.largest_length:.1f} %",
            f"{100 * t.stretch.mean_length:.1f} %",
            f"{100 * t.stretch.total_area:+.1f} %",
            f"{100 * t.outer_stretch:+.0f} %",
            format_length(t.seam_length, unit, sixteenths=True),
            "dart or split" if t.stretch.largest_length > FORGIVEN else "foam forgives it",
        )
        for t in job.templates
    ]
