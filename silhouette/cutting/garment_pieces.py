"""Shell and lining as pieces to cut: half panels with their allowances and marks, waistband, side-seam strip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import Sheet
from silhouette.cutting.cut_line import VENT, cut_line
from silhouette.cutting.foam_pieces import Heading, block, up_arrow, widest_place
from silhouette.cutting.half_panel import HalfPanel, half_panel
from silhouette.cutting.panels import PANELS, Cloth, Panels
from silhouette.cutting.piece import Line, Note, Piece
from silhouette.cutting.unrolled import length_of
from silhouette.shape.curves import Array

BAND: Final = 30.0  #: mm, the finished waistband; common practice, no source
UNDERLAP: Final = 30.0  #: mm of band under the opening
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
    vent = not folded and _vented(half, sheet)
    outline = cut_line(panel, cloth, 0.0 if folded else cloth.opening_allowance, vent)
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
        (darts_described(half.panel, unit), 3.2, False),
        (" · ".join(t for t in (heading.client, heading.date) if t), 3.2, False),
    ]


def darts_described(panel: HalfPanel, unit: str) -> str:
    """Number, width and lengths of the darts of a half panel, from the centre line on."""
    if not panel.darts:
        return "no dart: shaped at the side seam alone"
    lengths = [format_length(d.length, unit, bare=True) for d in panel.darts]
    number = "1 dart" if len(lengths) == 1 else f"{len(lengths)} darts"
    last = f"{lengths[-1]} {unit}"
    long = f"{', '.join(lengths[:-1])} and {last}" if len(set(lengths)) > 1 else last
    return f"{number}, {format_length(panel.darts[0].width, unit, sixteenths=True)} wide, {long} long"


def _notches(half: Half, zipped: float | None, vent: bool, allowance: float) -> tuple[list[Line], list[Note]]:
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
        y = hem + VENT[1]
        lines += [Line("notch", np.array([[0.0, y], [10.0, y]])), Line("fold", np.array([[0.0, y], [0.0, hem]]))]
        notes.append(Note("vent from here down", (27.0, y - 1.0), 3.0))
    return lines, notes


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
