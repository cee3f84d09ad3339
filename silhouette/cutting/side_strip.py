"""The side-seam strip: what to add at the side seam of her own block, full size."""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.foam_pieces import Heading, block
from silhouette.cutting.panels import Panels
from silhouette.cutting.piece import Line, Note, Piece

ENDS_BELOW: Final = 40.0  #: mm below the fullest level at which a side-seam strip ends


def side_strips(panels: Panels, heading: Heading) -> tuple[Piece, ...]:
    """What to add at the side seam of her own block, full size: back to the left of the line, front to the right."""
    return tuple(
        _strip(panels, k, "" if panels.same else f", {('left', 'right')[k]}", heading)
        for k in ((0,) if panels.same else (0, 1))
    )


def _strip(panels: Panels, side: int, which: str, heading: Heading) -> Piece:
    shell, bare, unit = panels.shell, panels.bare, heading.unit
    rise = max(panels.rises[side], 0.0)
    end = min(max(shell.hip, bare.hip) + ENDS_BELOW, float(shell.drops[-1]))
    drops = np.linspace(0.0, end, 61)
    seam = np.interp(drops, bare.drops, bare.seams[:, side])
    lifted = -seam + rise * np.clip(1.0 - drops / shell.hip, 0.0, 1.0)
    front, back = (
        np.interp(drops, shell.drops, shell.widths[:, k] - bare.widths[:, k]) for k in (2 * side, 2 * side + 1)
    )
    front, back = np.maximum(front, 0.0), np.maximum(back, 0.0)
    right, left = np.stack([front, lifted], -1), np.stack([-back, lifted], -1)
    lines = [Line("cut", np.concatenate([left[::-1], [[0.0, lifted[0]]], right]), closed=True)]
    lines.append(Line("fold", np.array([[0.0, lifted[0]], [0.0, -seam[-1]]])))
    notes = []
    for row in panels.rows:
        if 0.0 < row.drop < end:
            y = float(np.interp(row.drop, drops, -seam))
            ends = [float(np.interp(row.drop, drops, g)) for g in (back, front)]
            lines.append(Line("hip" if row.name == "hip" else "carve", np.array([[-ends[0], y], [ends[1], y]])))
            if row.name and min(ends) > 12.0:
                texts = [format_length(e, unit, sixteenths=True) for e in ends]
                notes += [Note(t, (x, y + 1.2), 2.6) for t, x in zip(texts, (-ends[0] / 2, ends[1] / 2), strict=True)]
    y, wide = -0.5 * float(seam[-1]), float(min(front.max(), back.max()))
    size = float(np.clip(wide / 9.0, 1.6, 3.4))
    half = max(0.5 * wide, 4.0)
    notes += [
        Note(t, (s * half, y), size * 1.4, bold=True, turn=90.0)
        for t, s in (("ADD TO THE BACK", -1), ("ADD TO THE FRONT", 1))
    ]
    name = f"side-seam strip{which}"
    raised = format_length(rise, unit, sixteenths=True)
    x, room = float(front.max()) + 8.0, 62.0
    lines.append(Line("note", np.array([[x, y - room], [x + room, y - room], [x + room, y], [x, y]]), closed=True))
    last_girths = " and ".join(format_length(float(g[-1]), unit, sixteenths=True) for g in (back, front))
    words = [
        (name.upper(), 4.4, True),
        (
            "For her own block. Cut the strip out and apart on the middle line; lay that line on the block's side "
            "seam, waist to waist. The outer edges are the new side seams.",
            2.8,
            False,
        ),
        (f"At the side seam the waist rises {raised}, running out to nothing at the centre lines.", 2.8, True),
        (f"Below the strip go on down to the hem with {last_girths} (back and front).", 2.8, False),
        (f"{heading.client} · {heading.date}".strip(" ·"), 2.4, False),
    ]
    notes += block(words, (x + room / 2, y - room / 2), 0.52 * room)
    return Piece(name, "strip", tuple(lines), tuple(notes), 1 if which else 2)
