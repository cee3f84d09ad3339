"""Cover pieces: inner and outer face of each hip's pads in stretch cloth, or of each pad by itself in firm cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from silhouette.asked.sheet import SIDES
from silhouette.cutting.foam_pieces import Heading, block, up_arrow, widest_place
from silhouette.cutting.patch import Patch, patch_of
from silhouette.cutting.piece import Line, Note, Piece
from silhouette.cutting.unrolled import LaidFlat, mirror_images
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.pads import Pad, mate_of
from silhouette.shape.sides import SIGN

COVER_SPACING: Final = 9.0  #: mm; cloth forgives more than foam, so a coarser mesh will do
STAY: Final = 6.0  #: mm inside the sewing line
OPEN_EDGE: Final = 1.0  #: mm of foam at an edge above which a strip is needed to cover it
FIRM: Final = 10.0  #: percent of stretch below which front and back are wrapped apart (common practice, no source)
OPENING: Final = 100.0  #: mm left open at the lower end, a hand's breadth
LOOPS: Final = 30.0  #: mm from the upper end to each loop, along the edge


@dataclass(frozen=True)
class Cut:
    """How covers are cut: seam allowance in mm, and by how much the cloth is pulled across (0.1 = 10 %)."""

    allowance: float
    pull: float
    stretch: float  #: of the cloth, for the words on the piece

    @property
    def firm(self) -> bool:
        """Whether the cloth gives so little that each pad is wrapped by itself, before the side seam is sewn."""
        return self.stretch < FIRM / 100


def cover_pieces(pads: Sequence[Pad], body: Body, cut: Cut, heading: Heading) -> tuple[Piece, ...]:
    """Inner and outer face for each side; one pattern serves both sides when they mirror each other."""
    left, right = (tuple(p for p in pads if p.side == side) for side in SIDES)
    same = len(left) == len(right) > 0 and all(mirror_images(a, b) for a, b in zip(left, right, strict=True))
    pieces: list[Piece] = []
    for group, name in ((left, "left"), (right, "right")):
        if group and not (same and name == "right"):
            lead, count = "" if same else f"{name} ", 2 if same else 1
            sewn = [tuple(p for p in group if p.label == label) for label in dict.fromkeys(p.label for p in group)]
            for part in [(pad,) for pad in group] if cut.firm else sewn:
                mate = mate_of(part[0], group) if cut.firm else None
                patch = patch_of(part, body, COVER_SPACING, mate=mate)
                words = (f"{lead}{part[0].label}".rstrip(), part[0].part if cut.firm else "", "cover")
                title = " ".join(word for word in words if word)
                pieces += [_face(patch, part, face, title, count, cut, heading) for face in ("inner", "outer")]
                pieces += _strip(patch, title, count, cut)
    return tuple(pieces)


def _face(patch: Patch, pads: tuple[Pad, ...], face: str, title: str, count: int, cut: Cut, heading: Heading) -> Piece:
    import shapely

    name, laid = f"{title}, {face} face", LaidFlat(patch, pads[0].side, outer=face == "outer")
    points = laid.points * [1.0 / (1.0 + cut.pull), 1.0]
    seam = points[patch.seam].copy()
    if cut.firm and face == "outer" and pads[0].bevel > 0:
        points[patch.seam] += _over_the_edge(seam, patch.thickness[patch.seam], points[: patch.rim])
    sewing = points[: patch.rim]
    polygon = shapely.Polygon(sewing)
    outline = _ring(shapely.buffer(polygon, cut.allowance, quad_segs=12, join_style="round"))
    lines = [Line("cut", outline, closed=True), Line("sew", sewing, closed=True), Line("place", seam)]
    inside = shapely.buffer(polygon, -STAY, quad_segs=12)
    lines += [Line("stay", _ring(part), closed=True) for part in shapely.get_parts(inside) if part.area > 100.0]
    lines += _seam_marks(seam, cut.allowance)
    more, notes = _openings(polygon, seam, cut.allowance)
    lines += more
    notes += _sides(polygon, seam, pads)
    (x, y), room = widest_place(polygon.difference(shapely.LineString(seam).buffer(3.0)))
    head = f"cut {count}" + (": 1 as drawn, 1 turned over" if count == 2 else "")
    narrowed = f"already narrowed across for {100 * cut.pull:.0f} % pull ({100 * cut.stretch:.0f} % cloth)"
    words: list[tuple[str, float, bool]] = [
        (name.upper(), 6.0, True),
        (f"{head}, {'firm' if cut.firm else 'stretch'} cloth", 3.4, True),
        ("as seen from outside the body", 2.8, False),
        ("wraps over the side-seam edge" if cut.firm and face == "outer" else "" if cut.firm else narrowed, 2.8, False),
        ("seam allowance included", 2.8, False),
        (" · ".join(t for t in (heading.client, heading.date) if t), 2.8, False),
    ]
    texts = block([w for w in words if w[0]], (x, y), 0.8 * room)
    if not cut.firm:
        foot = texts[-1].at[1]
        texts.append(Note("stretchiest direction, across the body", (x, foot - 8.0), 2.8))
        lines += _double_arrow(x, foot - 10.5, min(70.0, 1.2 * room))
    lines += up_arrow(x, texts[0].at[1] + 9.0, 0.3 * room)
    notes.append(Note("up", (x + 6.0, texts[0].at[1] + 9.0 + 0.1 * room), 3.4, bold=True))
    remark = "cut 1 as drawn (left hip) and 1 turned over (right hip)" if count == 2 else ""
    return Piece(name, "cover", tuple(lines), (*texts, *notes), count, remark)


def _over_the_edge(seam: Array, thickness: Array, rim: Array) -> Array:
    """How far an outer face goes on past the side seam (S, 2), over the upright edge of the foam."""
    along = np.gradient(seam, axis=0)
    across = np.stack([-along[:, 1], along[:, 0]], axis=-1) / np.linalg.norm(along, axis=1)[:, None]
    way = np.sign(float((across * (seam - rim.mean(axis=0))).sum()))
    return np.asarray(way * across * thickness[:, None])


def _openings(polygon: Any, seam: Array, allowance: float) -> tuple[list[Line], list[Note]]:
    """Marks across the sewing line: what stays open at the lower end, and the two loops at the upper one."""
    import shapely

    ring = polygon.exterior
    lines, notes = [], []
    for end, away, text in ((seam[-1], OPENING / 2, "leave open"), (seam[0], LOOPS, "loop")):
        at = float(shapely.line_locate_point(ring, shapely.Point(end)))
        for k in (-1.0, 1.0):
            here, near = (
                shapely.get_coordinates(ring.interpolate((at + k * d) % ring.length))[0] for d in (away, away - 2.0)
            )
            out = np.array([[0.0, -1.0], [1.0, 0.0]]) @ (here - near) / np.linalg.norm(here - near)
            out = -out if polygon.contains(shapely.Point(here + out)) else out
            lines.append(Line("place", np.stack([here - 8.0 * out, here + allowance * out])))
            if k > 0 or text == "loop":
                x, y = here - 14.0 * out
                notes.append(Note(text, (float(x), float(y)), 2.8))
    return lines, notes


def _sides(polygon: Any, seam: Array, pads: tuple[Pad, ...]) -> list[Note]:
    """FRONT, BACK and the side seam, each where it lies."""
    import shapely

    low, high = polygon.bounds[1], polygon.bounds[3]
    notes = []
    for pad in pads:
        y = low + 0.3 * (high - low)
        x = float(np.interp(-y, -seam[:, 1], seam[:, 0]))
        front = -float(SIGN[pad.side])
        way = front if pad.part == "front" else -front
        half = polygon.intersection(shapely.LineString([(x, y), (x + way * 1e3, y)]))
        middle = x + way * min(0.5 * half.length, half.length - 14.0)
        notes.append(Note(pad.part.upper(), (middle, y), 4.0, bold=True))
    at = seam[int(0.86 * len(seam))]
    dx, dy = seam[int(0.8 * len(seam))] - seam[int(0.92 * len(seam))]
    tilt = float(np.degrees(np.arctan2(dy, dx)))
    side = 3.0 if polygon.centroid.x > at[0] else -1.0
    return [*notes, Note("side seam", (float(at[0]) + side, float(at[1])), 2.8, turn=tilt)]


def _ring(polygon: Any) -> Array:
    import shapely

    return np.asarray(shapely.get_coordinates(shapely.get_exterior_ring(polygon.simplify(0.02)))[:-1])


def _seam_marks(seam: Array, allowance: float) -> list[Line]:
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


def _strip(patch: Patch, title: str, count: int, cut: Cut) -> list[Piece]:
    """Where the edge is left thick, a strip goes between the two faces."""
    thick = float(patch.thickness[np.setdiff1d(np.arange(patch.rim), patch.seam)].max())
    if thick < OPEN_EDGE:
        return []
    rim = patch.inner[: patch.rim]
    length = float(np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1).sum())
    w, h = length / (1.0 + cut.pull) + 2 * cut.allowance, thick + 2 * cut.allowance
    a = cut.allowance
    box = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
    inner = np.array([[a, a], [w - a, a], [w - a, h - a], [a, h - a]])
    name = f"{title}, edge strip"
    notes = (Note(f"{name}: cut {count}, stretch along the strip", (w / 2, h / 2 - 1.2), min(3.2, h / 4), bold=True),)
    return [Piece(name, "cover", (Line("cut", box, closed=True), Line("sew", inner, closed=True)), notes, count)]
