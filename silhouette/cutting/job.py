"""Everything that goes to the cutting table for one preview, worked out before anything is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date as Date
from typing import Final

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import format_length
from silhouette.cutting.buying import FoamSheet, Item, buying_list, foam_sheets, garment_items, lay
from silhouette.cutting.cover_pieces import Cut, cover_pieces
from silhouette.cutting.edge import Edge, card
from silhouette.cutting.flatten import FoldOver
from silhouette.cutting.foam_pieces import Heading, both, foam_piece
from silhouette.cutting.garment_pieces import (
    Half,
    cloth_outlines,
    garment_piece,
    halves_of,
    waist_of,
    waistband,
    zip_length,
)
from silhouette.cutting.layout import Layout
from silhouette.cutting.panels import Panels, panels_of
from silhouette.cutting.paper.steps import Step, making_order
from silhouette.cutting.piece import Piece
from silhouette.cutting.side_strip import side_strips
from silhouette.cutting.unrolled import Template, templates_of
from silhouette.pipeline import Preview
from silhouette.shape.body import Body
from silhouette.shape.pads import Pad, lay_pads, mate_of
from silhouette.shape.refoamed import whole_pads

ROWS: Final = 121  #: points of the outlines that templates are drawn from; finer than a preview needs

#: Foam creases when it is squeezed by more than about 10 % (rise of the compression curve, from memory of
#: Gibson–Ashby); taking that as the limit of laying flat is this tool's convention.
FORGIVEN: Final = 0.10

NO_PIECES: Final = (
    "Shell and lining: the skirt over these pads turns so sharply that flat cloth with darts cannot follow it, so "
    "their pieces are left out. Table, panels and side-seam strip still hold; drape the cloth by them, or make "
    "the pads thinner or their bevel wider and print again."
)


@dataclass(frozen=True, eq=False)
class Job:
    """One client's cutting table: pieces, layouts, tables and words."""

    result: Preview
    heading: Heading
    templates: tuple[Template, ...]
    edges: tuple[Edge, ...]
    foam: tuple[Piece, ...]
    covers: tuple[Piece, ...]
    cards: tuple[Piece, ...]
    panels: Panels
    halves: tuple[Half, ...]
    strips: tuple[Piece, ...]
    garment: tuple[Piece, ...]
    sheets: tuple[FoamSheet, ...]
    cloth: Layout
    advice: tuple[str, ...]
    buying: tuple[Item, ...]
    steps: tuple[Step, ...]

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Everything to cut at full size: foam, covers, cards, side-seam strips, shell and lining."""
        return (*self.foam, *self.covers, *self.cards, *self.strips, *self.garment)


@dataclass(frozen=True, eq=False)
class PadWork:
    """What the pads alone come to: templates, pieces, and how they lie on foam and on cover cloth."""

    pads: tuple[Pad, ...]
    templates: tuple[Template, ...]
    edges: tuple[Edge, ...]  #: one for each pad
    foam: tuple[Piece, ...]
    covers: tuple[Piece, ...]
    sheets: tuple[FoamSheet, ...]
    cloth: Layout


def pad_work(result: Preview, heading: Heading) -> PadWork:
    """The pads laid flat and laid out.

    Raises `SheetError` when there is no pad, a pad cannot be laid flat, or a sheet is narrower than a piece.
    """
    sheet, unit = result.sheet, result.sheet.unit
    if not result.pads:
        raise SheetError([Fault("pads", "there is no pad on this sheet, so there is nothing to cut")])
    pads = lay_pads(sheet, result.body, ROWS)
    templates = _templates(pads, result.body)
    edges = tuple(Edge.of(p) for p in pads)
    foam = tuple(
        foam_piece(t, e, heading, twin=_twin(p, pads), sewn=mate_of(p, pads) is not None)
        for p, t, e in zip(pads, templates, edges, strict=True)
    )
    covers = _covers(pads, result, heading)
    layouts = foam_sheets([(t, e.foam) for t, e in zip(templates, edges, strict=True)], sheet.foam.sheet_width, unit)
    cloth = lay(
        [(c.name, c.outline * ([-1.0, 1.0] if k else [1.0, 1.0])) for c in covers for k in range(c.count)],
        sheet.cloth.cover_width,
        "cloth.cover_width",
        unit,
        turns=(0, 180),
    )
    return PadWork(pads, templates, edges, foam, covers, layouts, cloth)


def _covers(pads: tuple[Pad, ...], result: Preview, heading: Heading) -> tuple[Piece, ...]:
    cloth = result.sheet.cloth
    stretch = cloth.cover_stretch / 100
    try:
        cut = Cut(cloth.cover_allowance, stretch * cloth.cover_pull, stretch)
        return cover_pieces(whole_pads(pads), result.body, cut, heading)
    except (FoldOver, ValueError) as error:
        message = f"the cover of a pad cannot be laid flat: {error}; a wider bevel helps"
        raise SheetError([Fault("pads", message)]) from error


def heading_of(result: Preview, today: Date) -> Heading:
    """Client, date and unit as every piece carries them."""
    return Heading(_short(result.sheet.client.name), f"{today:%d %b %Y}".lstrip("0"), result.sheet.unit)


def prepare(result: Preview, today: Date) -> Job:
    """Work out everything for one preview.

    A skirt that cannot be laid flat leaves out its pieces and says so in `advice`.
    Raises `SheetError` when there is no pad, a pad cannot be laid flat, or a sheet is narrower than a piece.
    """
    sheet, unit = result.sheet, result.sheet.unit
    heading = heading_of(result, today)
    work = pad_work(result, heading)
    distinct = tuple(dict.fromkeys(work.edges))
    panels, halves, garment = _garment(result, heading)
    laid = bool(halves)
    cloths = {
        of: lay(
            cloth_outlines(garment, of), sheet.cloth.width, "cloth.width", unit, turns=(0, 180), cell=10.0, orders=3
        )
        for of in (("shell", "lining") if laid else ())
    }
    advice = stretch_advice(work.templates) + (() if laid else (NO_PIECES,))
    bought = buying_list(sheet, work.pads, work.templates, work.sheets, work.covers, work.cloth)
    return Job(
        result=result,
        heading=heading,
        templates=work.templates,
        edges=distinct,
        foam=work.foam,
        covers=work.covers,
        cards=tuple(card(e, _edge_words(e, unit)) for e in distinct if e.bevel > 0),
        panels=panels,
        halves=halves,
        strips=side_strips(panels, heading),
        garment=garment,
        sheets=work.sheets,
        cloth=work.cloth,
        advice=advice,
        buying=bought + (garment_items(cloths, zip_length(halves[1], unit), waist_of(halves), sheet) if laid else ()),
        steps=making_order(result, work.templates, distinct, advice, laid=laid),
    )


def _garment(result: Preview, heading: Heading) -> tuple[Panels, tuple[Half, ...], tuple[Piece, ...]]:
    """What shell and lining are cut by, their half panels and pieces; no panels where cloth cannot lie so."""
    panels, sheet = panels_of(result), result.sheet
    try:
        halves = halves_of(panels, sheet.cloth.dart_limit)
    except (FoldOver, ValueError):
        return panels, (), ()
    zipped = zip_length(halves[1], sheet.unit)
    pieces = [garment_piece(half, sheet, heading, zipped) for half in halves]
    at = sum(half.of == "shell" for half in halves)
    return panels, halves, (*pieces[:at], waistband(halves, sheet, heading), *pieces[at:])


def _short(name: str) -> str:
    """A client's name on one line that fits a piece."""
    name = " ".join(name.split())
    return name if len(name) <= 48 else name[:47].rstrip() + "…"


def _templates(pads: Sequence[Pad], body: Body) -> tuple[Template, ...]:
    faults, built = [], []
    try:
        return templates_of(pads, body)
    except (FoldOver, ValueError):
        pass
    for pad in pads:  # once more, one by one, so that every pad at fault is named
        try:
            built.append(templates_of([pad], body))
        except (FoldOver, ValueError) as error:
            faults.append(Fault(f"pads, {pad.name}", f"cannot be cut from a flat sheet: {error}"))
    raise SheetError(faults)


def stretch_advice(templates: Sequence[Template]) -> tuple[str, ...]:
    """What to do about pads that foam alone cannot shape; empty where it forgives the difference."""
    over = [t for t in templates if t.stretch.largest_length > FORGIVEN]
    if not over:
        return ()
    names = " and ".join(t.name for t in over).capitalize()
    worst = sorted({f"{100 * t.stretch.largest_length:.0f} %" for t in over})
    return (
        f"{names}: laying flat changes lengths by up to {worst[-1]}, more than foam forgives "
        f"({100 * FORGIVEN:.0f} %). Slash the paper from the free edge at the fullest place to the middle, "
        "lay it on the figure and let it overlap: that wedge is the dart to cut from the foam and whip together. "
        "Or cut the piece in two along the hip line and sew it.",
    )


def _twin(pad: Pad, pads: Sequence[Pad]) -> str | None:
    from silhouette.cutting.unrolled import mirror_images

    return next((other.name for other in pads if mirror_images(pad, other)), None)


def _edge_words(edge: Edge, unit: str) -> str:
    return f"{both(edge.foam, unit)}, bevel {format_length(edge.bevel, unit)}, {edge.shape}"
