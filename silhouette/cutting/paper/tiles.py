"""Spreading a full-size piece over printer pages that overlap, with marks to join them again."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from silhouette.cutting.paper.ink import (
    PAPERS,
    POINTS_PER_MM,
    Canvas,
    draw_join,
    draw_piece,
    draw_points,
    start_page,
    use_pen,
    width_of,
    write,
)
from silhouette.cutting.piece import Piece, short_name, square
from silhouette.shape.curves import Array

MARGIN: Final = 10.0  #: mm no printer reaches
FOOT: Final = 9.0  #: mm below the frame for the page's name
OVERLAP: Final = 16.0  #: mm shared by neighbouring pages
ROOM: Final = 2.0  #: mm kept round a piece
SQUARE: Final = 101.6  #: mm; the larger of the two scale squares
PLACES: Final = 3  #: of a grid of pages under a piece that are tried along and across
TURNS: Final = (0, *sorted(range(-40, 46, 5), key=abs)[1:])  #: degrees a piece may be turned to save a page


@dataclass(frozen=True)
class Tile:
    """One page of a piece: `row` from the top, `column` from the left.

    `corner` tells where the frame's lower left corner lies on the piece (moved to the origin), mm.
    """

    row: int
    column: int
    corner: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Tiling:
    """A piece (lower left corner at the origin) and the pages that carry it."""

    piece: Piece
    paper: tuple[float, float]  #: page width and height as turned, mm
    rows: int
    columns: int

    @property
    def frame(self) -> tuple[float, float]:
        return _frame(self.paper)

    @cached_property
    def tiles(self) -> tuple[Tile, ...]:
        """The pages row by row; a page on which there is nothing that its neighbours do not show is left out."""
        w, h = self.frame
        step_x, step_y = w - OVERLAP, h - OVERLAP
        _, _, width, height = self.piece.bounds
        across, down = self.columns * step_x + OVERLAP, self.rows * step_y + OVERLAP
        # One page across or down: the piece in its middle. More: it starts at one end of the grid, at the other or
        # between, whichever cuts fewest of its words apart.
        lefts = [(width - w) / 2] if self.columns == 1 else np.linspace(-ROOM, width + ROOM - across, PLACES).tolist()
        feet = [(height - h) / 2] if self.rows == 1 else np.linspace(height + ROOM - down, -ROOM, PLACES).tolist()
        grids = [
            [
                Tile(r, c, (left + c * step_x, foot + (self.rows - 1 - r) * step_y))
                for r in range(self.rows)
                for c in range(self.columns)
            ]
            for left in lefts
            for foot in feet
        ]
        best = min(grids, key=lambda grid: _words_cut(grid, (w, h), self.piece))
        return _needed(best, (w, h), self.piece.outline)

    def number(self, row: int, column: int, first: int) -> int | None:
        """Page number of one place of the grid when the first page has number `first`; None if left out."""
        places = [(t.row, t.column) for t in self.tiles]
        return first + places.index((row, column)) if (row, column) in places else None


def _words_cut(grid: list[Tile], frame: tuple[float, float], piece: Piece) -> int:
    """How many lines of words lie whole on no page."""
    foot = np.array([note.at for note in piece.notes]).reshape(-1, 2)
    half = np.array([width_of(n.text, n.height, n.bold) / 2 for n in piece.notes])
    tall = np.array([note.height for note in piece.notes])
    turn = np.radians([note.turn for note in piece.notes])
    c, s = np.abs(np.cos(turn)), np.abs(np.sin(turn))
    reach = np.stack([half * c + tall * s, half * s + tall * c], axis=-1)
    low, high = foot - reach, foot + reach
    corners = np.array([t.corner for t in grid])[:, None]
    whole = ((low >= corners) & (high <= corners + np.array(frame))).all(axis=-1)
    return int((~whole.any(axis=0)).sum())


def _needed(every: list[Tile], frame: tuple[float, float], outline: Array) -> tuple[Tile, ...]:
    import shapely

    ink = shapely.Polygon(outline).simplify(0.3).buffer(1.3, quad_segs=2)
    boxes = {t: shapely.box(*t.corner, t.corner[0] + frame[0], t.corner[1] + frame[1]) for t in every}
    kept = list(every)
    for tile in sorted(every, key=lambda t: boxes[t].intersection(ink).area):
        others = shapely.union_all([boxes[t] for t in kept if t != tile])
        if len(kept) > 1 and others.buffer(-1.0).contains(ink):
            kept.remove(tile)
    return tuple(kept)


def _frame(paper: tuple[float, float]) -> tuple[float, float]:
    return paper[0] - 2 * MARGIN, paper[1] - 2 * MARGIN - FOOT


def tiling(piece: Piece, paper: str) -> Tiling:
    """The fewest pages for a piece, turned only where that saves one; `paper` is a key of `PAPERS`."""
    points = np.concatenate([line.points for line in piece.lines])

    def spread(degrees: int, size: tuple[float, float]) -> tuple[int, int, int, tuple[float, float]]:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        needs = np.ptp(points @ np.array([[s, c], [c, -s]]), axis=0)  # height and width, as it lies
        rows, columns = (
            max(1, math.ceil((need + 2 * ROOM - OVERLAP) / (have - OVERLAP)))
            for need, have in zip(needs.tolist(), _frame(size)[::-1], strict=True)
        )
        return rows, columns, degrees, size

    def lain(rows: int, columns: int, degrees: int, size: tuple[float, float]) -> Tiling:
        return Tiling((piece.turned(degrees) if degrees else piece).at_origin(), size, rows, columns)

    sizes = (PAPERS[paper], PAPERS[paper][::-1])
    best = min((lain(*spread(0, size)) for size in sizes), key=lambda t: len(t.tiles))
    if len(best.tiles) == 1:
        return best
    choices = sorted((spread(d, size) for d in TURNS[1:] for size in sizes), key=lambda c: c[0] * c[1])
    hopeful = [c for c in choices[:3] if c[0] * c[1] <= len(best.tiles)]
    return min([best, *(lain(*c) for c in hopeful)], key=lambda t: len(t.tiles))


def draw_tiles(canvas: Canvas, spread: Tiling, first_page: int, last_page: int, foot: str) -> None:
    """Draw every page of a piece; `first_page` numbers the first of them, `last_page` ends the document."""
    form = f"piece{first_page}"
    _, _, width, height = spread.piece.bounds
    edge = 30.0  # pens are drawn about the line, and notes may reach past it
    corners = (-edge, -edge, width + edge, height + edge)
    canvas.beginForm(form, *(v * POINTS_PER_MM for v in corners))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    draw_piece(canvas, spread.piece)
    canvas.endForm()
    for number, tile in enumerate(spread.tiles, start=first_page):
        start_page(canvas, spread.paper)
        _draw_tile(canvas, spread, tile, form, first_page, f"page {number} of {last_page} · {foot}")
        canvas.showPage()


def _draw_tile(canvas: Canvas, spread: Tiling, tile: Tile, form: str, first: int, foot: str) -> None:
    w, h = spread.frame
    x0, y0 = MARGIN, MARGIN + FOOT
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(x0, y0, w, h)
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.saveState()
    canvas.translate(x0 - tile.corner[0], y0 - tile.corner[1])
    canvas.scale(1 / POINTS_PER_MM, 1 / POINTS_PER_MM)  # the form brings its own millimetres
    canvas.doForm(form)
    canvas.restoreState()
    canvas.restoreState()
    corner = free_corner(spread, tile)
    if corner:
        _scale_square(canvas, x0 + corner[0], y0 + corner[1])
    use_pen(canvas, "note", 0.25)
    draw_points(canvas, np.array([[x0, y0], [x0 + w, y0], [x0 + w, y0 + h], [x0, y0 + h]]), closed=True)
    _joins(canvas, spread, tile, first, x0, y0)
    many = len(spread.tiles) > 1
    place = f" · row {tile.row + 1}, column {tile.column + 1}" if many else " · whole on this page"
    write(canvas, short_name(spread.piece.name) + place, x0, MARGIN + 3.5, 3.6, bold=True)
    write(canvas, foot, x0 + w, MARGIN + 3.5, 2.8, anchor="end")
    hint = "Blue square: 100 mm inside the dashed 4 in square. If yours differ, print again at 100 %."
    if not corner:
        hint = "Printed at 100 %, as the square on the first page shows."
    if many:
        hint += " Lay pages so that the lettered crosses meet."
    write(canvas, hint, x0, MARGIN - 0.5, 2.5)


def free_corner(spread: Tiling, tile: Tile) -> tuple[float, float] | None:
    """Lower left corner inside the frame where the scale square lies clear of the piece and the marks, if any."""
    import shapely

    w, h = spread.frame
    xs, ys = (3.0, w - 3.0 - SQUARE, (w - SQUARE) / 2), (17.0, h - 20.0 - SQUARE, (h - SQUARE) / 2)
    places = [(x, y) for x in xs for y in ys]
    boxes = shapely.box(
        *np.array([[x - 2.0, y - 2.0, x + SQUARE + 2.0, y + SQUARE + 2.0] for x, y in places]).T
        + np.tile(tile.corner, 2)[:, None]
    )
    ink = shapely.Polygon(spread.piece.outline)
    return next((place for place, taken in zip(places, shapely.intersects(boxes, ink), strict=True) if not taken), None)


def _scale_square(canvas: Canvas, x: float, y: float) -> None:
    use_pen(canvas, "scale", 0.2)
    draw_points(canvas, square(100.0, x, y), closed=True)
    canvas.setDash([0.8, 1.2])
    canvas.setLineWidth(0.12)
    draw_points(canvas, square(SQUARE, x, y), closed=True)


def _joins(canvas: Canvas, spread: Tiling, tile: Tile, first: int, x0: float, y0: float) -> None:
    """Lettered crosses in the corners of the overlaps, and where the neighbours' edges come to lie."""
    w, h = spread.frame
    half = OVERLAP / 2
    right, left = (spread.number(tile.row, tile.column + k, first) for k in (1, -1))
    below, above = (spread.number(tile.row + k, tile.column, first) for k in (1, -1))
    if right:
        draw_join(canvas, (x0 + w - OVERLAP, y0), (x0 + w - OVERLAP, y0 + h))
        write(canvas, f"page {right} ›", x0 + w - 1.5, y0 + h - OVERLAP - 2.0, 3, anchor="end")
    if left:
        write(canvas, f"‹ page {left}", x0 + 1.5, y0 + h - OVERLAP - 2.0, 3)
    if below:
        draw_join(canvas, (x0, y0 + OVERLAP), (x0 + w, y0 + OVERLAP))
        write(canvas, f"page {below} below", x0 + OVERLAP + 1.0, y0 + 2, 3)
    if above:
        write(canvas, f"page {above} above", x0 + OVERLAP + 1.0, y0 + h - 4, 3)
    for down, y in ((0, y0 + h - half), (1, y0 + half)):
        for along, x in ((0, x0 + half), (1, x0 + w - half)):
            use_pen(canvas, "cut", 0.25)
            draw_points(canvas, np.array([[x - 4, y], [x + 4, y]]))
            draw_points(canvas, np.array([[x, y - 4], [x, y + 4]]))
            canvas.circle(x, y, 1.5, stroke=1, fill=0)
            name = f"{chr(ord('A') + (tile.row + down) % 26)}{tile.column + along + 1}"
            write(canvas, name, x + 1.8, y + 1.8, 2.8)
