"""Pieces as an SVG drawing in true millimetres, one group per kind of line."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from silhouette.cutting.piece import PENS, Line, Piece, side_by_side


def svg_text(pieces: Sequence[Piece], title: str, width: float = 900.0) -> str:
    """An SVG document: `width` and `height` in mm and a viewBox of the same numbers, so one unit is 1 mm.

    Every piece is a group with its name; inside it every line carries the name of its pen as class.
    """
    placed, wide, high = side_by_side(list(pieces), width)
    style = "".join(
        f".{p.name}{{stroke:rgb({','.join(str(round(255 * c)) for c in p.colour)});stroke-width:{p.width}"
        + (f";stroke-dasharray:{' '.join(str(d) for d in p.dash)}" if p.dash else "")
        + "}"
        for p in PENS.values()
    )
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
        f'viewBox="0 0 {wide:.3f} {high:.3f}">',
        f"<title>{escape(title)}</title>",
        f"<style>path{{fill:none;stroke-linecap:round;stroke-linejoin:round}}text{{font-family:sans-serif;text-anchor:middle}}{style}</style>",
    ]
    for piece in placed:
        parts.append(f"<g id={quoteattr(piece.name)}>")
        parts += [_path(line, high) for line in piece.lines]
        parts += [
            f'<text x="{n.at[0]:.3f}" y="{high - n.at[1]:.3f}" font-size="{n.height}"'
            + (' font-weight="bold"' if n.bold else "")
            + (f' transform="rotate({-n.turn:.3f} {n.at[0]:.3f} {high - n.at[1]:.3f})"' if n.turn else "")
            + f">{escape(n.text)}</text>"
            for n in piece.notes
        ]
        parts.append("</g>")
    parts.append("</svg>")
    return "\n".join(parts) + "\n"


def _path(line: Line, high: float) -> str:
    points = " ".join(f"{x:.3f},{high - y:.3f}" for x, y in line.points.tolist())
    return f'<path class="{line.pen}" d="M{points}{" Z" if line.closed else ""}"/>'
