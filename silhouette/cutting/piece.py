"""A piece to cut, as plain data in millimetres: named lines and notes. Every writer draws the same pieces.

Coordinates: x to the right, y up, as the piece lies on the table with its *outside* (the face away from the
body) upward and its upper end away from you.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from silhouette.shape.curves import Array

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Pen:
    """How one kind of line is drawn, and what it means on the cutting table."""

    name: str  #: layer name in DXF and SVG
    meaning: str
    width: float  #: mm
    colour: Colour = (0.0, 0.0, 0.0)
    dash: tuple[float, ...] = ()  #: mm on, mm off …


PENS: Final = {
    pen.name: pen
    for pen in (
        Pen("cut", "cut here", 0.5),
        Pen("seam", "side seam: cut square, no bevel, sewn front to back", 1.1),
        Pen("bevel", "inside this line the foam stays full", 0.35, (0.0, 0.25, 0.6), (4.0, 2.0)),
        Pen(
            "carve",
            "carve in steps: a quarter, half, three quarters of the thickness left",
            0.2,
            (0.45, 0.45, 0.45),
            (1.0, 1.2),
        ),
        Pen("hip", "hip line: level on the figure", 0.25, (0.6, 0.0, 0.1), (8.0, 2.0, 1.5, 2.0)),
        Pen("notch", "notches that must meet", 0.5),
        Pen("sew", "sewing line", 0.3, (0.0, 0.0, 0.0), (3.0, 1.5)),
        Pen("fold", "centre line: on the fold where the piece says so", 0.5, (0.0, 0.35, 0.0), (10.0, 2.0, 2.0, 2.0)),
        Pen(
            "stay",
            "stay stitch through cover and foam, so that the cover cannot creep",
            0.3,
            (0.0, 0.4, 0.25),
            (1.5, 1.5),
        ),
        Pen("place", "where the side seam, the opening and the loops come", 0.3, (0.5, 0.25, 0.0), (6.0, 1.5)),
        Pen("arrow", "up, and for cloth the stretchiest direction", 0.4),
        Pen("section", "section through the edge", 0.3),
        Pen("note", "words", 0.2),
        Pen("join", "fine line with ticks: the next page's edge comes to lie here", 0.15, (0.45, 0.45, 0.45)),
        Pen("scale", "check of the printed size", 0.25, (0.0, 0.35, 0.9)),
    )
}


@dataclass(frozen=True, eq=False)
class Line:
    """A polyline `points` (N, 2) in mm drawn with the pen of that name."""

    pen: str
    points: Array
    closed: bool = False

    def moved(self, turn: Array, shift: Array) -> Line:
        return replace(self, points=self.points @ turn.T + shift)


@dataclass(frozen=True)
class Note:
    """One line of words; `at` is the middle of its foot line, `height` the letter size in mm, `turn` in degrees."""

    text: str
    at: tuple[float, float]
    height: float = 3.5
    bold: bool = False
    turn: float = 0.0


@dataclass(frozen=True, eq=False)
class Piece:
    """One thing to cut. The first closed `cut` line is its outline."""

    name: str
    kind: str  #: "foam", "cover", "card", "shell", "lining", "strip" or "scale"
    lines: tuple[Line, ...]
    notes: tuple[Note, ...] = ()
    count: int = 1
    remark: str = ""

    @property
    def outline(self) -> Array:
        """Outline (N, 2), not repeating its first point."""
        return next(line.points for line in self.lines if line.pen == "cut" and line.closed)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest x, smallest y, largest x, largest y over all lines, mm."""
        points = np.concatenate([line.points for line in self.lines])
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    @property
    def area(self) -> float:
        """Area inside the outline, mm²."""
        x, y = self.outline.T
        return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)

    def moved(self, dx: float, dy: float) -> Piece:
        """The same piece shifted; notes and lines alike."""
        return self._laid(np.eye(2), np.array([dx, dy]), 0.0)

    def turned(self, degrees: float) -> Piece:
        """The same piece turned to the left about (0, 0), its words with it."""
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        return self._laid(np.array([[c, -s], [s, c]]), np.zeros(2), degrees)

    def _laid(self, turn: Array, shift: Array, degrees: float) -> Piece:
        def place(note: Note) -> Note:
            x, y = turn @ np.array(note.at) + shift
            return replace(note, at=(float(x), float(y)), turn=note.turn + degrees)

        lines, notes = (line.moved(turn, shift) for line in self.lines), map(place, self.notes)
        return replace(self, lines=tuple(lines), notes=tuple(notes))

    def at_origin(self) -> Piece:
        """The same piece with its lower left corner at (0, 0)."""
        x0, y0, _, _ = self.bounds
        return self.moved(-x0, -y0)


def square(side: float, x: float, y: float) -> Array:
    """Corners (4, 2) of a square with its lower left corner at (x, y)."""
    return np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]], dtype=np.float64)


def scale_piece() -> Piece:
    """The square to measure on a sheet that is printed in one go: 100 mm, and 4 in round it."""
    return Piece(
        name="scale square",
        kind="scale",
        lines=(
            Line("scale", square(100.0, 0, 0), closed=True),
            Line("scale", square(101.6, 0, 0), closed=True),
        ),
        notes=(
            Note("Measure before cutting", (50, 60), 5, bold=True),
            Note("inner square: 100 mm each way", (50, 50), 3.5),
            Note("outer square: 4 in each way", (50, 43), 3.5),
        ),
    )


def side_by_side(pieces: list[Piece], width: float, gap: float = 12.0) -> tuple[list[Piece], float, float]:
    """Set pieces in rows on a roll `width` mm wide, upright, tallest first in reading order.

    Returns the moved pieces with the sheet's true width and height in mm; the roll is widened when a single
    piece is wider. Lower left corner of the sheet is (0, 0).
    """
    rows: list[list[Piece]] = [[]]
    used = gap
    for piece in (p.at_origin() for p in pieces):
        w = piece.bounds[2]
        if rows[-1] and used + w + gap > width:
            rows.append([])
            used = gap
        rows[-1].append(piece)
        used += w + gap
    widest = max(sum(p.bounds[2] + gap for p in row) + gap for row in rows)
    total = sum(max(p.bounds[3] for p in row) + gap for row in rows) + gap
    placed: list[Piece] = []
    top = total - gap
    for row in rows:
        height = max(p.bounds[3] for p in row)
        x = gap
        for piece in row:
            placed.append(piece.moved(x, top - height))
            x += piece.bounds[2] + gap
        top -= height + gap
    return placed, widest, total


def short_name(name: str) -> str:
    """A piece's name without the sizes of an edge card."""
    return name.split(",")[0] if name.startswith("edge card") else name
