"""The PDF sets: workroom pages and tiled pieces for a home printer, one large sheet for a plotter."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Final

from silhouette.cutting.job import Job
from silhouette.cutting.paper.bevel_page import bevel_page
from silhouette.cutting.paper.buying_page import buying_page
from silhouette.cutting.paper.card_page import card_page
from silhouette.cutting.paper.ink import PAPERS, Canvas, draw_piece, new_canvas, start_page, write
from silhouette.cutting.paper.pages import first_page, order_page
from silhouette.cutting.paper.panels_page import panels_page
from silhouette.cutting.paper.setting import Place
from silhouette.cutting.paper.shell_page import shell_page
from silhouette.cutting.paper.tiles import draw_tiles, tiling
from silhouette.cutting.piece import scale_piece, side_by_side

Draw = Callable[[Canvas, Place, Job, int, int], None]

WORKROOM: Final[tuple[tuple[str, Draw], ...]] = (
    ("Workroom card", card_page),
    ("Making order", order_page),
    ("Shell and lining", shell_page),
    ("Panels before and after", panels_page),
    ("Buying list and layouts", buying_page),
    ("Bevel guide and fit", bevel_page),
)
ROLL: Final = 914.0  #: width of an ordinary plotter roll (36 in), mm
TOP: Final = 24.0  #: mm kept for the heading of the large sheet


def tiled_pdf(job: Job, paper: str) -> bytes:
    """The whole set on `paper`, a key of `PAPERS`: first page, workroom pages, then every piece."""
    spreads = [tiling(piece, paper) for piece in job.pieces]
    first = 2 + len(WORKROOM)
    starts = []
    for spread in spreads:
        starts.append(first)
        first += len(spread.tiles)
    last = first - 1
    target = io.BytesIO()
    place = Place(PAPERS[paper])
    canvas = new_canvas(target, place.paper, f"Templates: {job.heading.client or 'hip pads'}")
    contents = [(title, k) for k, (title, _) in enumerate(WORKROOM, start=2)]
    contents.append(("Pieces at full size", 2 + len(WORKROOM)))
    first_page(canvas, place, job, list(zip(spreads, starts, strict=True)), contents, last)
    for number, (_, draw) in enumerate(WORKROOM, start=2):
        draw(canvas, place, job, number, last)
    foot = " · ".join(t for t in (job.heading.client, job.heading.date) if t)
    for spread, start in zip(spreads, starts, strict=True):
        draw_tiles(canvas, spread, start, last, foot)
    canvas.save()
    return target.getvalue()


def sheet_pdf(job: Job, width: float = ROLL) -> bytes:
    """Every piece and a scale square on one large sheet, for a plotter with a roll `width` mm wide."""
    placed, wide, high = side_by_side([scale_piece(), *job.pieces], width)
    size = (max(wide, 400.0), high + TOP)
    target = io.BytesIO()
    canvas = new_canvas(target, size, f"Templates: {job.heading.client or 'hip pads'}")
    start_page(canvas, size)
    name = " · ".join(t for t in (job.heading.client or "hip pads", job.heading.date) if t)
    write(canvas, f"{name}: print at 100 % and measure the square", 12.0, high + 8.0, 8.0, bold=True)
    for piece in placed:
        draw_piece(canvas, piece)
    canvas.showPage()
    canvas.save()
    return target.getvalue()
