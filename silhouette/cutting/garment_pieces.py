"""Shell and lining as pieces to cut: half panels with their allowances and marks, waistband, side-seam strip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import Sheet
from silhouette.cutting.foam_pieces import Heading, block, up_arrow, widest_place
from silhouette.cutting.half_panel import HalfPanel, half_panel
from silhouette.cutting.panels import PANELS, Cloth, Panels
from silhouette.cutting.piece import Line, Note, Piece
from silhouette.cutting.unrolled import length_of
from silhouette.shape.curves import Array

BAND: Final = 30.0  #: mm, the finished waistband; common practice, no source
UNDERLAP: Final = 30.0  #: mm of band under the opening
VENT: Final = (38.0, 200.0)  #: mm, width and height of the back vent (common practice, no source)
LINING_SHORTER: Final = 25.0  #: mm; a lining must not show (common practice, no source)
ZIPS: Final = {"in": (177.8, 203.2, 228.6, 254.0, 304.8), "cm": (180.0, 200.0, 220.0, 250.0, 300.0)}  #: as sold

Side = Literal["both", "left", "right"]


@dataclass(frozen=True, eq=False)
class Half:
    """One half panel of a layer: `of` it is cut, on which side, its sewing lines, and the drop of its hip line."""

    of: str
    side: Side
    panel: HalfPanel

    @property
    def name(self) -> str:
        return f"{self.of} {self.panel.part}" + (f", {self.side}" if self.side != "both" else "")


def halves_of(panels: Panels, limit: float) -> tuple[Half, ...]:
    """Front and back of shell and lining laid flat, left and right apart where they differ. Raises `FoldOver`.

    Both sides of a layer have as many darts as the one that needs more.
    """
    built = []
    for cloth, short in ((panels.shell, 0.0), (panels.lining, LINING_SHORTER)):
        same = bool(np.abs(cloth.widths[:, :2] - cloth.widths[:, 2:]).max() < 0.05)
        sides: tuple[tuple[int, Side], ...] = ((0, "both"),) if same else ((0, "left"), (2, "right"))

        def laid(panel: int, darts: int | None = None, cloth: Cloth = cloth, short: float = short) -> HalfPanel:
            part = PANELS[panel].split(" ")[1]
            return half_panel(cloth.half(panel), cloth.drops, cloth.hip, part, limit, short, darts)

        flat = {first + k: laid(first + k) for first, _ in sides for k in (0, 1)}
        for panel, one in flat.items():
            most = max(len(other.darts) for other in flat.values() if other.part == one.part)
            if len(one.darts) < most:
                flat[panel] = laid(panel, most)
        built += [Half(cloth.name, side, flat[first + k]) for first, side in sides for k in (0, 1)]
    return tuple(built)


def zip_length(half: Half, unit: str) -> float:
    """The zip to buy, mm: from the waist to about the fullest level, as sold."""
    stock = ZIPS["in" if unit == "in" else "cm"]
    need = length_of(half.panel.centre) - float(half.panel.hip[0, 1] - half.panel.centre[-1, 1]) - 25.0
    return next((z for z in stock if z >= need), stock[-1])


def garment_piece(half: Half, sheet: Sheet, heading: Heading, zipped: float) -> Piece:
    """One half panel as a piece: outside upward, as it is seen on the figure; a back that serves both sides as right.

    `zipped` is the length of the zip, mm.
    """
    panel, cloth = half.panel, sheet.cloth
    flip = np.array([-1.0, 1.0]) if half.name.endswith(("front, right", "back, left")) else np.ones(2)
    folded = panel.part == "front"
    vent = VENT if not folded and _vented(half, sheet) else None
    outline = _allowed(panel, sheet, 0.0 if folded else cloth.opening_allowance, vent)
    lines = [Line("cut", outline, closed=True)]
    lines += [Line("sew", line) for line in (panel.side, panel.hem, *panel.waist)]
    lines.append(Line("fold" if folded else "sew", panel.centre))
    lines.append(Line("hip", panel.hip))
    for dart in panel.darts:
        cross = np.array([[-2.5, 0.0], [2.5, 0.0]])
        lines += [Line("sew", np.stack([foot, dart.tip])) for foot in dart.feet]
        lines += [Line("notch", dart.tip + cross), Line("notch", dart.tip + cross[:, ::-1])]
        lines += [Line("notch", np.stack([foot, foot + np.array([0.0, 8.0])])) for foot in dart.feet]
    notches, notes = _notches(half, zipped if not folded else None, vent, cloth.seam_allowance)
    lines += notches
    x = 0.3 * float(panel.hip[-1, 0])
    low = float(panel.hem[0, 1]) + 40.0
    lines += up_arrow(x, low, min(220.0, 0.6 * (float(panel.hip[0, 1]) - low)))
    clear = _below_hip(panel)
    show = block(_words(half, sheet, heading, folded), *widest_place(clear))
    turned = tuple(Line(line.pen, line.points * flip, line.closed) for line in lines)
    words = tuple(Note(n.text, (n.at[0] * float(flip[0]), n.at[1]), n.height, n.bold, n.turn) for n in (*show, *notes))
    count = 1 if half.side != "both" or folded else 2
    return Piece(half.name, half.of, turned, words, count, "on the fold" if folded and half.side == "both" else "")


def _vented(half: Half, sheet: Sheet) -> bool:
    """A woven skirt that reaches well down the thigh needs a vent to walk in."""
    long = float(half.panel.hip[0, 1] - half.panel.hem[0, 1])
    return half.of == "shell" and sheet.cloth.below != "close" and long > VENT[1] + 80.0


def _below_hip(panel: HalfPanel) -> Any:
    import shapely

    x1, y0, y1 = float(panel.hip[-1, 0]), float(panel.hem[0, 1]), float(panel.hip[0, 1])
    inner = shapely.box(0.34 * x1, y0, x1 - 20.0, y1 - 8.0)
    return inner.intersection(shapely.Polygon(panel.outline)) or shapely.Polygon(panel.outline)


def _words(half: Half, sheet: Sheet, heading: Heading, folded: bool) -> list[tuple[str, float, bool]]:
    cloth, unit = sheet.cloth, heading.unit

    def show(mm: float) -> str:
        return format_length(mm, unit, sixteenths=True)

    layer = "shell cloth" if half.of == "shell" else "lining cloth"
    if half.side != "both":
        how = f"cut 1, {layer}, this face outside" + ("; join the two fronts at the centre line" if folded else "")
    else:
        how = f"cut 1 on the fold, {layer}" if folded else f"cut 2, {layer}: 1 as drawn, 1 turned over"
    opening = "" if folded else f", centre back {show(cloth.opening_allowance)}"
    sides = f"side and waist {show(cloth.seam_allowance)}"
    return [
        (half.name.upper(), 9.0, True),
        (how, 4.2, True),
        (f"in the outline: {sides}{opening}, hem {show(cloth.hem_allowance)}", 3.2, False),
        ("arrow: straight grain, upward", 3.2, False),
        (
            f"darts: {', '.join(f'{show(d.width)} wide, {show(d.length)} long' for d in half.panel.darts)}"
            if half.panel.darts
            else "no dart",
            3.2,
            False,
        ),
        (" · ".join(t for t in (heading.client, heading.date) if t), 3.2, False),
    ]


def _notches(half: Half, zipped: float | None, vent: Any, allowance: float) -> tuple[list[Line], list[Note]]:
    """On the side seam at the hip line and half-way up to the waist; on the centre back where zip and vent end."""
    panel = half.panel
    run = np.concatenate([[0.0], np.linalg.norm(np.diff(panel.side, axis=0), axis=1).cumsum()])
    at_hip = float(np.interp(-panel.hip[-1, 1], -panel.side[:, 1], run))
    lines, notes = [], []
    for s in (at_hip, at_hip / 2 - 2.5, at_hip / 2 + 2.5):
        foot = np.array([np.interp(s, run, panel.side[:, k]) for k in (0, 1)])
        lines.append(Line("notch", np.stack([foot, foot + np.array([max(allowance, 6.0), 0.0])])))
    hip, hem = float(panel.hip[0, 1]), float(panel.hem[0, 1])
    notes.append(Note("hip line", (0.5 * float(panel.hip[-1, 0]), hip + 1.5), 3.0))
    centre = "centre front" if panel.part == "front" else "centre back"
    notes.append(Note(centre, (5.0, hip - 60.0), 3.2, turn=90.0))
    if zipped is not None:
        lines.append(Line("notch", np.array([[0.0, -zipped], [10.0, -zipped]])))
        notes.append(Note("zip to here", (22.0, -zipped - 1.0), 3.0))
    if vent:
        y = hem + vent[1]
        lines += [Line("notch", np.array([[0.0, y], [10.0, y]])), Line("fold", np.array([[0.0, y], [0.0, hem]]))]
        notes.append(Note("vent from here down", (27.0, y - 1.0), 3.0))
    return lines, notes


def _allowed(panel: HalfPanel, sheet: Sheet, opening: float, vent: Any) -> Array:
    """Cut line round a half panel (N, 2): the sewing lines let out by their allowances, dart mouths peaked.

    Each line is moved out by its own allowance and carried on at both ends; neighbours are cut off where they cross.
    """
    import shapely

    seam, hem = sheet.cloth.seam_allowance, sheet.cloth.hem_allowance
    far = 4.0 * max(seam, hem, opening, VENT[0])
    corners = (panel.centre[0], panel.hem[0], panel.side[-1], panel.side[0])
    lines = (panel.hem, panel.side[::-1], _peaked(panel)[::-1])
    let_out = [
        _moved_out(_longer(line, far), allowance) for line, allowance in zip(lines, (hem, seam, seam), strict=True)
    ]
    out, (top, foot) = opening, panel.centre[[0, -1], 1]
    edge = [(-out, top + far), (-out, foot - far)]
    if vent:
        edge[1:] = [(-out, foot + vent[1]), (-vent[0], foot + vent[1]), (-vent[0], foot - far)]
    around = [shapely.LineString(edge), *let_out]
    starts = [_crossing(around[k - 1], around[k], corner) for k, corner in enumerate(corners)]
    ring = [_between(line, starts[k], starts[(k + 1) % 4])[:-1] for k, line in enumerate(around)]
    return np.asarray(shapely.get_coordinates(shapely.Polygon(np.concatenate(ring)).exterior.simplify(0.05))[:-1])


def _peaked(panel: HalfPanel) -> Array:
    """The waist from the centre line to the side seam (N, 2), over each dart's mouth the peak that meets it folded."""
    waist = [panel.waist[0]]
    for line, dart in zip(panel.waist[1:], panel.darts, strict=True):
        middle = dart.feet.mean(axis=0) - dart.tip
        leg = float(np.linalg.norm(dart.feet[0] - dart.tip))
        waist += [(dart.tip + middle * leg**2 / (middle @ middle))[None], line]
    return np.concatenate(waist)


def _moved_out(line: Array, out: float) -> Any:
    """A line (N, 2) moved to its right, which is outward for those who go round with the panel on the left."""
    import shapely

    step = np.diff(line, axis=0)
    right = np.stack([step[:, 1], -step[:, 0]], axis=-1) / np.linalg.norm(step, axis=1)[:, None]
    mitre = np.concatenate([right[:1], right[:-1] + right[1:], right[-1:]])
    mitre /= (mitre * np.concatenate([right[:1], right])).sum(axis=1, keepdims=True)
    return shapely.LineString(line + out * mitre)


def _crossing(one: Any, two: Any, corner: Array) -> Any:
    """Where two lines cross, nearest to a corner of the sewing lines."""
    import shapely

    points = shapely.get_parts(shapely.intersection(one, two))
    return min(points, key=lambda p: shapely.distance(p, shapely.Point(corner))).centroid


def _between(line: Any, one: Any, two: Any) -> Array:
    """The part of a line between two points on it (N, 2)."""
    import shapely
    from shapely.ops import substring

    return np.asarray(shapely.get_coordinates(substring(line, line.project(one), line.project(two))))


def _longer(line: Array, by: float) -> Array:
    """A line (N, 2) carried on straight at both ends."""
    first, last = line[0] - line[1], line[-1] - line[-2]
    return np.concatenate(
        [
            [line[0] + by * first / np.linalg.norm(first)],
            line[1:-1],
            [line[-1] + by * last / np.linalg.norm(last)],
        ]
    )


def waist_of(halves: tuple[Half, ...]) -> float:
    """Waist of the shell with its darts closed, mm."""
    return sum(h.panel.waist_length * (2.0 if h.side == "both" else 1.0) for h in halves if h.of == "shell")


def waistband(halves: tuple[Half, ...], sheet: Sheet, heading: Heading) -> Piece:
    """Half of the band, its middle on the fold; the underlap is cut off at the end that laps over."""
    shell, waist = [h for h in halves if h.of == "shell"], waist_of(halves)
    seam, x = sheet.cloth.seam_allowance, waist / 2
    w, h = x + UNDERLAP + seam, 2 * (BAND + seam)
    box = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
    front = float(np.mean([p.panel.waist_length for p in shell if p.panel.part == "front"]))
    lines = [Line("cut", box, closed=True), Line("fold", np.array([[0.0, 0.0], [0.0, h]]))]
    lines += [Line("sew", np.array([[0.0, y], [w - seam, y]])) for y in (seam, h - seam)]
    lines += [
        Line("notch", np.array([[at, y], [at, y + way]])) for at in (front, x) for y, way in ((0.0, seam), (h, -seam))
    ]
    lines.append(Line("sew", np.array([[w - seam, seam], [w - seam, h - seam]])))
    lines.append(Line("place", np.array([[0.0, h / 2], [w - seam, h / 2]])))
    show = format_length(waist, heading.unit)
    notes = (
        Note("WAISTBAND", (0.4 * w, h / 2 + 6.0), 6.0, bold=True),
        Note(f"cut 1 on the fold, shell cloth and stiffening; waist {show}", (0.4 * w, h / 2 - 7.0), 3.4),
        Note(
            "notches: side seam, centre back; beyond it the underlap, cut off at one end", (0.4 * w, h / 2 - 13.0), 2.8
        ),
        Note("centre front", (4.5, h / 2), 2.8, turn=90.0),
    )
    return Piece("waistband", "shell", tuple(lines), notes, 1, "on the fold")


def pieces_numbers(halves: tuple[Half, ...]) -> list[dict[str, Any]]:
    """The half panels as plain values, without allowances, mm."""
    return [
        {
            "name": h.name,
            "of": h.of,
            "side": h.side,
            "hip_mm": round(length_of(h.panel.hip), 2),
            "waist_mm": round(h.panel.waist_length, 2),
            "side_seam_mm": round(length_of(h.panel.side), 2),
            "darts": [{"width_mm": round(d.width, 2), "length_mm": round(d.length, 2)} for d in h.panel.darts],
        }
        for h in halves
    ]


def cloth_outlines(pieces: tuple[Piece, ...], of: str) -> list[tuple[str, Array]]:
    """Outlines as they lie on opened cloth: pieces on the fold opened, pairs turned over."""
    import shapely

    laid = []
    for piece in pieces:
        if piece.kind != of:
            continue
        outline = piece.outline
        if piece.remark == "on the fold":
            whole = shapely.Polygon(outline).union(shapely.Polygon(outline * [-1.0, 1.0]).buffer(0.3))
            laid.append((piece.name, np.asarray(shapely.get_coordinates(whole.exterior)[:-1])))
        else:
            laid += [(piece.name, outline * ([-1.0, 1.0] if k else [1.0, 1.0])) for k in range(piece.count)]
    return laid


def metres(length: float, unit: str) -> str:
    """Cloth as it is asked for: to the next tenth of a metre, or eighth of a yard.

    >>> metres(1234.0, "cm"), metres(1234.0, "in")
    ('1.3 m', '1 3/8 yd')
    """
    if unit != "in":
        return f"{math.ceil(length / 100 - 1e-9) / 10:.1f} m"
    whole, rest = divmod(math.ceil(length / 114.3 - 1e-9), 8)
    from fractions import Fraction

    return f"{whole} {Fraction(rest, 8)} yd" if rest and whole else f"{Fraction(rest, 8) if rest else whole} yd"
