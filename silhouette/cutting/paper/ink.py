"""Drawing pieces and words on PDF pages, in millimetres. The only module that knows reportlab's canvas."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

import numpy as np

from silhouette.asked.lengths import INCH
from silhouette.cutting.piece import PENS, Line, Note, Piece
from silhouette.shape.curves import Array

POINTS_PER_MM: Final = 72 / INCH
PAPERS: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  #: width and height upright, mm
Canvas = Any  # reportlab carries no types


@cache
def letters() -> tuple[str, str]:
    """Names of the upright and the bold typeface, both embedded so that fractions print everywhere."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    names = ("Workroom", "Workroom-Bold")
    for name, file in zip(names, _font_files(), strict=True):
        pdfmetrics.registerFont(TTFont(name, str(file)))
    pdfmetrics.registerFontFamily(names[0], normal=names[0], bold=names[1], italic=names[0], boldItalic=names[1])
    return names


def _font_files() -> tuple[Path, Path]:
    """DejaVu comes inside matplotlib; its folder is found without importing it."""
    found = find_spec("matplotlib")
    if found is not None and found.origin is not None:
        folder = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"
        pair = folder / "DejaVuSans.ttf", folder / "DejaVuSans-Bold.ttf"
        if all(file.exists() for file in pair):
            return pair
    import reportlab

    folder = Path(reportlab.__file__).parent / "fonts"
    return folder / "Vera.ttf", folder / "VeraBd.ttf"


def new_canvas(target: Any, size: tuple[float, float], title: str) -> Canvas:
    """A PDF canvas for pages of `size` mm; the same drawing gives the same bytes on every run."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas as Pdf

    rl_config.useA85 = 0  # plain binary streams: smaller, and no time lost on turning them into letters
    letters()
    canvas = Pdf(target, pagesize=(size[0] * POINTS_PER_MM, size[1] * POINTS_PER_MM), invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("silhouette")
    canvas.setViewerPreference("PrintScaling", "None")  # asks the printing window for 100 %
    return canvas


def start_page(canvas: Canvas, size: tuple[float, float]) -> None:
    """Set the size of the page to come and work in millimetres from its lower left corner."""
    canvas.setPageSize((size[0] * POINTS_PER_MM, size[1] * POINTS_PER_MM))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)


def use_pen(canvas: Canvas, pen: str, width: float | None = None) -> None:
    """Take the pen of that name; `width` in mm overrides its own."""
    kind = PENS[pen]
    canvas.setStrokeColorRGB(*kind.colour)
    canvas.setFillColorRGB(*kind.colour)
    canvas.setLineWidth(kind.width if width is None else width)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    canvas.setDash(list(kind.dash)) if kind.dash else canvas.setDash()


def draw_points(canvas: Canvas, points: Array, closed: bool = False, fill: bool = False) -> None:
    """A polyline with the pen in hand."""
    from reportlab.pdfgen.pathobject import PDFPathObject

    numbers = points.round(3).tolist()  # the page is in millimetres; ready-made code, as reportlab is slow at numbers
    code = [f"{x} {y} {'l' if k else 'm'}" for k, (x, y) in enumerate(numbers)] + ["h"] * closed
    canvas.drawPath(PDFPathObject(code), stroke=1, fill=int(fill))


def draw_join(canvas: Canvas, a: tuple[float, float], b: tuple[float, float]) -> None:
    """Where the next page's edge comes to lie: a fine line with short ticks across, unlike anything on a piece."""
    use_pen(canvas, "join")
    across, along = (b[1] - a[1], a[0] - b[0]), (b[0] - a[0], b[1] - a[1])
    long = float(np.hypot(*along))
    at = np.arange(5.0, long, 10.0)[:, None] / long * along + a
    tick = np.array(across) / long * 1.2
    canvas.lines([(*a, *b), *np.hstack([at - tick, at + tick]).tolist()])


def draw_line(canvas: Canvas, line: Line) -> None:
    use_pen(canvas, line.pen)
    draw_points(canvas, line.points, line.closed)


def write(
    canvas: Canvas,
    text: str,
    x: float,
    y: float,
    height: float = 3.5,
    *,
    bold: bool = False,
    anchor: str = "start",
) -> None:
    """One line of words, `height` mm letters; anchor is "start", "middle" or "end"."""
    canvas.setFillColorRGB(0, 0, 0)
    canvas.setFont(letters()[int(bold)], height)
    {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[anchor](x, y, text)


def draw_note(canvas: Canvas, note: Note) -> None:
    canvas.saveState()
    canvas.translate(*note.at)
    canvas.rotate(note.turn)
    write(canvas, note.text, 0.0, 0.0, note.height, bold=note.bold, anchor="middle")
    canvas.restoreState()


def draw_piece(canvas: Canvas, piece: Piece, *, words: bool = True) -> None:
    """All lines of a piece, then its notes."""
    for line in piece.lines:
        draw_line(canvas, line)
    if words:
        for note in piece.notes:
            draw_note(canvas, note)


@cache
def width_of(text: str, height: float, bold: bool = False) -> float:
    """Width of a line of words in mm."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(text, letters()[int(bold)], height))
