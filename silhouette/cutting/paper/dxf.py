"""Pieces as a DXF drawing in millimetres, one named layer per kind of line (through ezdxf)."""

from __future__ import annotations

import io
from collections.abc import Sequence

from silhouette.cutting.piece import PENS, Piece, side_by_side


def dxf_text(pieces: Sequence[Piece], width: float = 900.0) -> str:
    """A DXF document (AC1024, units: millimetres). Layers carry the pens' names; words: `note`."""
    from ezdxf.document import Drawing
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.units import MM

    document = Drawing.new("R2010")
    document.units = MM
    document.header["$MEASUREMENT"] = 1
    for pen in PENS.values():
        layer = document.layers.add(pen.name)
        red, green, blue = (round(255 * c) for c in pen.colour)
        layer.rgb = (red, green, blue)
        layer.description = pen.meaning
    space = document.modelspace()
    placed, _, _ = side_by_side(list(pieces), width)
    for piece in placed:
        for line in piece.lines:
            space.add_lwpolyline(line.points.tolist(), close=line.closed, dxfattribs={"layer": line.pen})
        for note in piece.notes:
            words = space.add_text(
                note.text, height=note.height * 0.72, rotation=note.turn, dxfattribs={"layer": "note"}
            )
            words.set_placement(note.at, align=TextEntityAlignment.CENTER)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()
