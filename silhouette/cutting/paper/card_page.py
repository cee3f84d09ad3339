"""The workroom card: one page that says everything about one client's pads and skirt."""

from __future__ import annotations

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.foam_pieces import both
from silhouette.cutting.garment_pieces import darts_described
from silhouette.cutting.job import Job
from silhouette.cutting.paper.ink import Canvas, draw_points, use_pen, write
from silhouette.cutting.paper.pages import who
from silhouette.cutting.paper.setting import Cell, Place, begin, put, table, words
from silhouette.cutting.paper.steps import places_described
from silhouette.shape.curves import Array


def card_page(canvas: Canvas, place: Place, job: Job, number: int, last: int) -> None:
    """Client, foam and its place, girths, what shell and lining are cut to, side-seam strip, the dressed figure."""
    unit = job.heading.unit
    y = begin(canvas, place, "Workroom card", who(job), number, last)
    half = (place.width - 6.0) / 2

    def show(mm: float) -> str:
        return format_length(mm, unit, sixteenths=unit == "in" and mm < 300.0)

    y = put(canvas, table((), _facts(job), (38.0, place.width - 38.0), 3.3, left_columns=2), place.left, y, place.width)
    y -= 5.0
    named = [r for r in job.panels.rows if r.name]
    girths: list[tuple[Cell, ...]] = [
        ((r.name, True), *(show(v) for v in (r.drop, r.body, r.padded, r.lining, r.shell, r.shows))) for r in named
    ]
    head = ("level", "below the waist", "body", "over the pads", "lining, cut", "shell, cut", "shows")
    y = put(canvas, words("Girths", 4.0, bold=True), place.left, y, place.width) - 1.0
    y = put(canvas, table(head, girths, [place.width / 7] * 7, 3.0), place.left, y, place.width) - 5.0
    y = put(canvas, words("Side-seam strip: add to her own block", 4.0, bold=True), place.left, y, place.width) - 1.0
    low = put(canvas, table(*_strip(job), [half / len(_strip(job)[0])] * len(_strip(job)[0]), 3.0), place.left, y, half)
    beside = put(canvas, words("Darts of each half panel", 3.3, bold=True), place.left + half + 6.0, y, half) - 1.0
    darts = [((h.name, True), darts_described(h.panel, unit)) for h in job.halves]
    darts = darts or [(("no pieces", True), "see the making order")]
    built = table((), darts, (34.0, half - 34.0), 2.8, left_columns=2)
    low = min(low, put(canvas, built, place.left + half + 6.0, beside, half)) - 5.0
    use_pen(canvas, "note", 0.2)
    _figures(canvas, job, place.left, place.foot, place.width, low - place.foot)
    canvas.showPage()


def _facts(job: Job) -> list[tuple[Cell, ...]]:
    result, unit = job.result, job.heading.unit
    dressed, cloth = result.dressed.after.cut, result.sheet.cloth

    def show(mm: float) -> str:
        return format_length(mm, unit, sixteenths=unit == "in" and mm < 300.0)

    edges = ", ".join(f"{both(e.foam, unit)}, bevel {show(e.bevel)} {e.profile}" for e in job.edges)
    grade = f"; grade {result.sheet.foam.grade}" if result.sheet.foam.grade else ""
    hip = result.figure
    facts: list[tuple[Cell, ...]] = [
        (("foam and edge", True), edges + grade),
        (("place", True), places_described(result)),
        (
            ("hip", True),
            f"her own {show(result.body.measures.hip)}; {show(hip.new_hip_girth)} over loose pads, fullest "
            f"{show(hip.new_hip_drop)} below the waist",
        ),
        (
            ("shell", True),
            f"close-fitting {show(result.shell.snug_hip)}, cut to {show(result.shell.hip)} with ease "
            f"{format_length(cloth.ease, unit)}; {dressed.below} to the hem {show(dressed.hem_drop)} below the waist",
        ),
        (
            ("lining", True),
            f"cut to {show(float(job.panels.lining.girth.max()))} at its fullest, with ease "
            f"{format_length(cloth.lining_ease, unit)}",
        ),
    ]
    if result.sheet.aim.hip is not None:
        facts.insert(2, (("wanted hip", True), show(result.sheet.aim.hip)))
    if result.body.scan is not None and (own := [n for n in ("waist", "hip") if n in result.body.scan.taken]):
        facts.append((("body", True), f"{' and '.join(own)} from the scan {result.body.scan.file}, not taped"))
    if result.sheet.client.notes:
        facts.append((("notes", True), " ".join(result.sheet.client.notes.split())[:200]))
    return facts


def _strip(job: Job) -> tuple[tuple[str, ...], list[tuple[Cell, ...]]]:
    unit = job.heading.unit
    shown = (0, 1) if job.panels.same else (0, 1, 2, 3)
    head = (
        "level",
        *(("front", "back") if job.panels.same else ("left front", "left back", "right front", "right back")),
    )
    rows: list[tuple[Cell, ...]] = [
        ((r.name, True), *(format_length(r.gains[k], unit, sixteenths=True, sign=True) for k in shown))
        for r in job.panels.rows
        if r.name
    ]
    rises = job.panels.rises[:1] if job.panels.same else job.panels.rises
    raised = [format_length(r, unit, sixteenths=True) for r in rises]
    rows.append((("waist raised at the side", True), *(t for t in raised for _ in (0, 1))))
    return head, rows


def _figures(canvas: Canvas, job: Job, x: float, y: float, width: float, room: float) -> None:
    """Front and side outline: the body dashed, the skirt over it solid, the pads' share shaded."""
    pair, body = job.result.dressed, job.result.tape_before
    drops = pair.after.drops
    n = max((float(drops[-1]) + 30.0) / (room - 10.0), 500.0 / (width / 2))
    for k, (angle, title) in enumerate(((0.0, "from the front"), (np.pi / 2, "from her left"))):
        middle = x + width * (0.25 + 0.5 * k)
        # seen from the front her left is on the right of the page; from her left, the front is on the left
        flip = 1.0 if k == 0 else -1.0

        def side(drops: Array, edge: Array, flip: float = flip, middle: float = middle) -> Array:
            return np.stack([middle + flip * edge / n, y + room - 8.0 - drops / n], axis=-1)

        bare, over = pair.before.outline.outline_from(angle), pair.after.outline.outline_from(angle)
        for edge in (0, 1):
            use_pen(canvas, "note", 0.1)
            canvas.setFillColorRGB(0.88, 0.92, 0.98)
            canvas.setStrokeColorRGB(0.88, 0.92, 0.98)
            band = np.concatenate([side(pair.before.drops, bare[:, edge]), side(drops, over[:, edge])[::-1]])
            draw_points(canvas, band, closed=True, fill=True)
            use_pen(canvas, "sew", 0.25)
            draw_points(canvas, side(body.drops, body.outline_from(angle)[:, edge]))
        use_pen(canvas, "cut", 0.5)
        skirt = np.concatenate([side(drops, over[:, 0]), side(drops, over[:, 1])[::-1]])
        draw_points(canvas, skirt, closed=True)
        write(canvas, f"{title} (1 : {n:.1f})", middle, y + room - 4.0, 3.2, bold=True, anchor="middle")
    write(canvas, "dashed: body; shaded: what the pads add to the dressed outline", x, y - 0.5, 2.6)
