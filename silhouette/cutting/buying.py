"""What to buy: foam with its layout, cover cloth, thread, tape; and what the pads weigh."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import INCH, format_length
from silhouette.asked.materials import read_grade
from silhouette.asked.sheet import Sheet
from silhouette.asked.supplies import Foam as FoamAsked
from silhouette.cutting.cover_pieces import FIRM
from silhouette.cutting.foam_pieces import both
from silhouette.cutting.garment_pieces import BAND, metres
from silhouette.cutting.layout import Layout, TooNarrow, nest
from silhouette.cutting.piece import Piece
from silhouette.cutting.unrolled import Template, length_of
from silhouette.shape.curves import Array
from silhouette.shape.pads import Pad

USUAL_DENSITY: Final = (25.0, 40.0)  #: kg/m³ when no grade is given; ordinary upholstery foam, from memory
HAND: Final = 4.0  #: thread per length of hand seam; common practice, no source
MACHINE: Final = 3.0  #: thread per length of machine seam; common practice, no source


@dataclass(frozen=True)
class Item:
    """One line of the buying list."""

    what: str
    amount: str
    remark: str = ""


@dataclass(frozen=True, eq=False)
class FoamSheet:
    """The foam of one thickness: how its pieces lie, and the length to ask for (mm, rounded up)."""

    foam: float
    layout: Layout
    ask: float


def foam_sheets(templates: Sequence[tuple[Template, float]], width: float, unit: str) -> tuple[FoamSheet, ...]:
    """Lay all pieces of each foam thickness on a sheet `width` mm wide.

    Raises `SheetError` when a piece is wider than the sheet.
    """
    sheets = []
    for foam in sorted({foam for _, foam in templates}):
        outlines = [(t.name, t.outline) for t, thickness in templates if thickness == foam]
        sheets.append(FoamSheet(foam, lay(outlines, width, "foam.sheet_width", unit), 0.0))
    return tuple(FoamSheet(s.foam, s.layout, rounded_up(s.layout.length, unit)) for s in sheets)


def lay(
    outlines: Sequence[tuple[str, Array]],
    width: float,
    key: str,
    unit: str,
    turns: tuple[int, ...] = (0, 90, 180, 270),
    **finer: Any,
) -> Layout:
    """`nest` (with its further choices), with a sheet that is too narrow told as a fault of the sheet key `key`."""
    try:
        return nest(outlines, width, turns, **finer)
    except TooNarrow as error:
        show = format_length(width, unit)
        needed = format_length(rounded_up(error.needed, unit), unit)
        message = f"narrower than the piece {error.name}, which needs at least {needed}"
        raise SheetError([Fault(f"{key} = {show}", message)]) from error


def rounded_up(mm: float, unit: str) -> float:
    """A length to ask for in a shop: the next whole inch or centimetre."""
    step = INCH if unit == "in" else 10.0
    return math.ceil(mm / step - 1e-9) * step


def weight_words(volume: float, given: FoamAsked) -> tuple[str, str]:
    """Weight of the pads (volume in mm³) and what it rests on.

    >>> weight_words(1e6, FoamAsked(grade="35/50"))
    ('35 g', 'foam of 35 kg/m³, covers not counted')
    """
    if given.grade:
        density = read_grade(given.grade).density
        return f"{volume * density * 1e-6:.0f} g", f"foam of {density:g} kg/m³, covers not counted"
    low, high = (volume * d * 1e-6 for d in USUAL_DENSITY)
    words = f"no grade on the sheet: ordinary foam of {USUAL_DENSITY[0]:.0f} to {USUAL_DENSITY[1]:.0f} kg/m³"
    return f"{low:.0f} to {high:.0f} g", words


def buying_list(
    sheet: Sheet,
    pads: Sequence[Pad],
    templates: Sequence[Template],
    foam: Sequence[FoamSheet],
    covers: Sequence[Piece],
    cloth: Layout | None,
) -> tuple[Item, ...]:
    """Everything to buy for the pads, in the sheet's unit."""
    unit = sheet.unit

    def show(mm: float) -> str:
        return format_length(mm, unit)

    items = []
    grade = f", grade {sheet.foam.grade}" if sheet.foam.grade else ""
    for part in foam:
        sold = "measured" if sheet.foam.measured == part.foam else "as sold"
        items.append(
            Item(
                f"foam sheet {both(part.foam, unit)} {sold}{grade}",
                f"{show(part.ask)} of a sheet {show(part.layout.width)} wide",
                f"pieces {area_words(part.layout.area, unit)}, {100 * part.layout.waste:.0f} % left over",
            )
        )
    volume = sum(t.volume for t in templates)
    weight, basis = weight_words(volume, sheet.foam)
    items.append(Item("the pads will weigh", weight, basis))
    if cloth is not None:
        firm = sheet.cloth.cover_stretch < FIRM
        stretch = "closely woven" if firm else f"stretches across by {sheet.cloth.cover_stretch:.0f} % or more"
        items.append(
            Item(
                "cover cloth, firm" if firm else "cover cloth, two-way or across stretch",
                f"{show(rounded_up(cloth.length, unit))} of cloth {show(cloth.width)} wide",
                f"{stretch}; soft, washable; {100 * cloth.waste:.0f} % left over",
            )
        )
    items.append(_thread(templates, covers))
    tape = sum(2 * (start + 60.0) for start in {p.side: float(p.outline[0, 1]) for p in pads}.values())
    items.append(
        Item(
            "cotton tape, about ½ in" if unit == "in" else "cotton tape, about 12 mm",
            show(rounded_up(tape, unit)),
            "two loops on each hip, to hang the pads from the waistband",
        )
    )
    if any(t.carve for t in templates):
        items.append(Item("stiff card", "1 sheet", "for the edge card: a cereal box will do"))
    return tuple(items)


def garment_items(cloths: Mapping[str, Layout], zipped: float, waist: float, sheet: Sheet) -> tuple[Item, ...]:
    """Shell and lining cloth, zip and band. `waist` is that of the shell, mm."""
    unit = sheet.unit
    items = [
        Item(
            f"{of} cloth",
            f"{metres(layout.length, unit)} of cloth {format_length(layout.width, unit)} wide",
            "pieces laid one way up; more for a nap, a check or a pattern",
        )
        for of, layout in cloths.items()
    ]
    band = format_length(rounded_up(waist + 60.0, unit), unit)
    return (
        *items,
        Item("concealed zip", format_length(zipped, unit), "at the centre back, waist to the hip"),
        Item("waistband stiffening", f"{band}, {format_length(BAND, unit)} wide", "with a hook and bar"),
    )


def _thread(templates: Sequence[Template], covers: Sequence[Piece]) -> Item:
    by_hand = sum(length_of(t.seam) for t in templates)  # each edge once: the seam is sewn on both faces
    stay = sum(p.count * _around(p, "stay") for p in covers) / 2  # inner and outer face are caught together
    machine = sum(p.count * _around(p, "sew") for p in covers) / 2
    metres = (HAND * (by_hand + stay) + MACHINE * machine) / 1000.0
    return Item(
        "strong polyester thread",
        f"{max(10, 5 * math.ceil(metres / 5)):.0f} m",
        "hand seams take four times their length, machine seams three (common practice, no source)",
    )


def _around(piece: Piece, pen: str) -> float:
    closed = [line.points for line in piece.lines if line.pen == pen and line.closed]
    return sum(length_of(points) for points in closed)


def area_words(mm2: float, unit: str) -> str:
    """An area in square feet or square metres' hundredths, as foam is priced.

    >>> area_words(185806.08, "in"), area_words(200000.0, "cm")
    ('2.0 sq ft', '0.20 m²')
    """
    return f"{mm2 / 304.8**2:.1f} sq ft" if unit == "in" else f"{mm2 / 1e6:.2f} m²"
