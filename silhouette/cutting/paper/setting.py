"""Setting words and tables on a workroom page, in millimetres (through reportlab's platypus)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final
from xml.sax.saxutils import escape

from silhouette.cutting.paper.ink import Canvas, letters, start_page, write

MARGIN: Final = 14.0
SCALES: Final = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0)
GREY: Final = (0.93, 0.93, 0.93)
Cell = str | tuple[str, bool]  #: words, and whether they are bold


@dataclass(frozen=True)
class Place:
    """A page being filled from the top: paper size, left edge, width of the words, all mm."""

    paper: tuple[float, float]

    @property
    def left(self) -> float:
        return MARGIN

    @property
    def width(self) -> float:
        return self.paper[0] - 2 * MARGIN

    @property
    def top(self) -> float:
        return self.paper[1] - MARGIN

    @property
    def foot(self) -> float:
        return MARGIN + 4.0


def begin(canvas: Canvas, place: Place, title: str, subtitle: str, number: int, last: int) -> float:
    """Start a page with its heading and number; returns the height left to fill from."""
    start_page(canvas, place.paper)
    write(canvas, title, place.left, place.top - 6.0, 6.5, bold=True)
    write(canvas, f"page {number} of {last}", place.left + place.width, MARGIN - 3.0, 2.8, anchor="end")
    if subtitle:
        write(canvas, subtitle, place.left, place.top - 11.5, 3.2)
    return place.top - 17.0


def words(text: str, height: float = 3.2, *, bold: bool = False, align: int = 0) -> Any:
    """A paragraph that wraps; `text` is plain."""
    return _paragraph(escape(text), height, bold, align)


def lead_words(lead: str, text: str, height: float = 3.2) -> Any:
    """A paragraph that opens in bold."""
    return _paragraph(f"<b>{escape(lead)}</b> {escape(text)}", height, False, 0)


def _paragraph(markup: str, height: float, bold: bool, align: int) -> Any:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(
        "w",
        fontName=letters()[int(bold)],
        fontSize=height,
        leading=height * 1.32,
        alignment=align,
        splitLongWords=1,
    )
    return Paragraph(markup, style)


def put(canvas: Canvas, flowable: Any, x: float, y: float, width: float) -> float:
    """Draw something that wraps with its top at `y`; returns its foot."""
    canvas.setDash()
    _, height = flowable.wrapOn(canvas, width, 1e4)
    flowable.drawOn(canvas, x, y - height)
    return y - float(height)


def height_of(canvas: Canvas, flowable: Any, width: float) -> float:
    return float(flowable.wrapOn(canvas, width, 1e4)[1])


def table(
    head: Sequence[str],
    rows: Sequence[Sequence[Cell]],
    widths: Sequence[float],
    height: float = 2.9,
    *,
    left_columns: int = 1,
    pad: float = 0.7,
) -> Any:
    """A ruled table; the first `left_columns` columns are set left, the others right.

    Left-set cells and the head wrap; the others are numbers.
    """
    from reportlab.platypus import Table, TableStyle

    style: list[tuple[Any, ...]] = []
    upright, heavy = letters()

    def cell(value: Cell, column: int, row: int) -> Any:
        text, bold = value if isinstance(value, tuple) else (value, False)
        if column >= left_columns and row > 0:  # a number: set as it stands, which is far quicker
            if bold:
                at = (column, row if head else row - 1)
                style.append(("FONTNAME", at, at, heavy))
            return text
        return words(text, height, bold=bold or (row == 0 and bool(head)), align=0 if column < left_columns else 2)

    every = [*([head] if head else []), *rows]
    body = [[cell(v, k, r if head else r + 1) for k, v in enumerate(row)] for r, row in enumerate(every)]
    style = [
        ("FONT", (0, 0), (-1, -1), upright, height, height * 1.32),
        ("ALIGN", (left_columns, 0), (-1, -1), "RIGHT"),
        *style,
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, -1), 0.1, (0.6, 0.6, 0.6)),
        ("TOPPADDING", (0, 0), (-1, -1), pad),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad + 0.3),
        ("LEFTPADDING", (0, 0), (-1, -1), 0.8),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0.8),
    ]
    if head:
        style += [("BACKGROUND", (0, 0), (-1, 0), GREY), ("VALIGN", (0, 0), (-1, 0), "BOTTOM")]
    built = Table(body, colWidths=list(widths), style=TableStyle(style))
    built.hAlign = "LEFT"
    return built


def largest_that_fits(canvas: Canvas, make: Any, width: float, room: float, sizes: Sequence[float]) -> Any:
    """The first of `make(size)` for descending letter `sizes` that fits into `room`, else the last."""
    built, low, high = None, 0, len(sizes) - 1  # halving: the smaller the letters, the less room they take
    while low < high:
        middle = (low + high) // 2
        tried = make(sizes[middle])
        if height_of(canvas, tried, width) <= room:
            built, high = tried, middle
        else:
            built, low = None, middle + 1
    return make(sizes[low]) if built is None else built


def scale_for(need: tuple[float, float], room: tuple[float, float]) -> float:
    """The largest plain scale (1 : n) at which `need` fits into `room`, both mm."""
    fitting = (n for n in SCALES if need[0] / n <= room[0] and need[1] / n <= room[1])
    return next(fitting, max(need[0] / room[0], need[1] / room[1]))
