"""Cover pieces: inner and outer face of each hip's pads, cut from stretch cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from silhouette.cutting.foam_pieces import Heading, block, up_arrow, widest_place
from silhouette.cutting.patch import Patch, patch_of
from silhouette.cutting.piece import Floats, Line, Note, Piece
from silhouette.cutting.unrolled import LaidFlat, mirror_images
from silhouette.shape.body import Body
from silhouette.shape.pads import Pad

COVER_SPACING: Final = 9.0  #: mm; cloth forgives more than foam, so a coarser mesh will do
STAY: Final = 6.0  #: mm inside the sewing line
OPEN_EDGE: Final = 1.0  #: mm of foam at an edge above which a strip is needed to cover it


@dataclass(frozen=True)
class Cut:
    """How covers are cut: seam allowance in mm, and by how much the cloth is pulled across (0.1 = 10 %)."""

    allowance: float
    pull: float
    stretch: float  #: of the cloth, for the words on the piece


def cover_pieces(pads: Sequence[Pad], body: Body, cut: Cut, heading: Heading) -> tuple[Piece, ...]:
    """Inner and outer face for each side; one pattern serves both sides when they mirror each other."""
    sides = [tuple(p for p in pads if p.side == side) for side in (1, -1)]
    left, right = sides
    same = len(left) == len(right) > 0 and all(mirror_images(a, b) for a, b in zip(left, right, strict=True))
    pieces: list[Piece] = []
    for group, name in ((left, "left"), (right, "right")):
        if group and not (same and name == "right"):
            pieces += _side(group, body, "" if same else f"{name} ", 2 if same else 1, cut, heading)
    return tuple(pieces)


def _side(group: tuple[Pad, ...], body: Body, prefix: str, count: int, cut: Cut, heading: Heading) -> list[Piece]:
    patch = patch_of(group, body, COVER_SPACING)
    pieces = []
    for face in ("inner", "outer"):
        laid = LaidFlat(patch, group[0].side, outer=face == "outer")
        remark = "cut 1 as drawn (left hip) and 1 turned over (right hip)" if count == 2 else ""
        pieces.append(_face(laid, patch, f"{prefix}cover, {face} face", count, remark, cut, heading))
    return pieces + _strip(patch, prefix, count, cut)


def _face(laid: LaidFlat, patch: Patch, name: str, count: int, remark: str, cut: Cut, heading: Heading) -> Piece:
    import shapely

    across = np.array([1.0 / (1.0 + cut.pull), 1.0])
    sewing = laid.points[: patch.rim] * across
    polygon = shapely.Polygon(sewing)
    outline = _ring(shapely.buffer(polygon, cut.allowance, quad_segs=12, join_style="round"))
    lines = [Line("cut", outline, closed=True), Line("sew", sewing, closed=True)]
    inside = shapely.buffer(polygon, -STAY, quad_segs=12)
    lines += [Line("stay", _ring(part), closed=True) for part in shapely.get_parts(inside) if part.area > 100.0]
    seam = laid.points[patch.seam] * across
    lines += _seam_marks(seam, cut.allowance)
    (x, y), room = widest_place(polygon)
    head = f"cut {count}" + (": 1 as drawn, 1 turned over" if count == 2 else "")
    words: list[tuple[str, float, bool]] = [
        (name.upper(), 6.0, True),
        (f"{head}, stretch cloth", 3.4, True),
        ("as seen from outside the body", 2.8, False),
        (
            f"already narrowed across for {100 * cut.pull:.0f} % pull ({100 * cut.stretch:.0f} % cloth)",
            2.8,
            False,
        ),
        ("seam allowance included", 2.8, False),
        (" · ".join(t for t in (heading.client, heading.date) if t), 2.8, False),
    ]
    notes = block(words, (x, y), 0.8 * room)
    foot = notes[-1].at[1]
    notes.append(Note("stretchiest direction, across the body", (x, foot - 8.0), 2.8))
    lines += _double_arrow(x, foot - 10.5, min(70.0, 1.2 * room))
    lines += up_arrow(x, notes[0].at[1] + 9.0, 0.3 * room)
    return Piece(name, "cover", tuple(lines), tuple(notes), count, remark)


def _ring(polygon: Any) -> Floats:
    import shapely

    return np.asarray(shapely.get_coordinates(shapely.get_exterior_ring(polygon.simplify(0.02)))[:-1])


def _seam_marks(seam: Floats, allowance: float) -> list[Line]:
    """Notches in the allowance at both ends of the side seam, so that inner and outer face meet straight."""
    marks = []
    for end, before in ((seam[0], seam[2]), (seam[-1], seam[-3])):
        out = (end - before) / np.linalg.norm(end - before)
        marks.append(Line("notch", np.stack([end, end + out * allowance])))
    return marks


def _double_arrow(x: float, y: float, length: float) -> list[Line]:
    h, half = 3.0, length / 2
    return [
        Line("arrow", np.array([[x - half, y], [x + half, y]])),
        Line("arrow", np.array([[x - half + h, y - h / 2], [x - half, y], [x - half + h, y + h / 2]])),
        Line("arrow", np.array([[x + half - h, y - h / 2], [x + half, y], [x + half - h, y + h / 2]])),
    ]


def _strip(patch: Patch, prefix: str, count: int, cut: Cut) -> list[Piece]:
    """Where the edge is left thick, a strip goes between the two faces."""
    thick = float(patch.thickness[: patch.rim].max())
    if thick < OPEN_EDGE:
        return []
    rim = patch.inner[: patch.rim]
    length = float(np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1).sum())
    w, h = length / (1.0 + cut.pull) + 2 * cut.allowance, thick + 2 * cut.allowance
    a = cut.allowance
    box = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
    inner = np.array([[a, a], [w - a, a], [w - a, h - a], [a, h - a]])
    name = f"{prefix}cover, edge strip"
    notes = (Note(f"{name}: cut {count}, stretch along the strip", (w / 2, h / 2 - 1.2), min(3.2, h / 4), bold=True),)
    return [Piece(name, "cover", (Line("cut", box, closed=True), Line("sew", inner, closed=True)), notes, count)]
