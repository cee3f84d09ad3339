"""How much of a foam sheet the pads need, for the line beside the picture."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from silhouette.asked.lengths import format_length
from silhouette.asked.readings import Client
from silhouette.asked.sheet import Aim, Sheet
from silhouette.pipeline import Preview, preview

_KEPT = 64  #: sheets whose foam is remembered: steps back and forth, variants, this tool's convention


def foam_words_for(sheet: Sheet) -> str:
    """:func:`foam_words` of a sheet, remembered where nothing but the sheet counts: a scan's file may change."""
    bare = replace(sheet, client=Client(size=sheet.client.size), aim=Aim())  # no name and no wish changes foam
    return _words_for.__wrapped__(bare) if sheet.body.scan else _words_for(bare)


@lru_cache(_KEPT)
def _words_for(sheet: Sheet) -> str:
    return foam_words(preview(sheet, advice=False))


def foam_words(result: Preview) -> str:
    """Such as ``12 in of a sheet 24 in wide``; one part for each thickness. Raises ``SheetError`` like the templates.

    >>> import silhouette
    >>> foam_words(silhouette.preview(silhouette.read_sheet("demo"))).endswith("of a sheet 24 in wide")
    True
    """
    from silhouette.cutting.buying import foam_sheets
    from silhouette.cutting.flatten import FoldOver
    from silhouette.cutting.unrolled import templates_of

    if not result.pads:
        return ""
    try:
        templates = templates_of(result.pads, result.body)
    except (FoldOver, ValueError):
        return ""  # the templates say which pad cannot be cut from a flat sheet
    unit = result.sheet.unit
    pairs = [(template, pad.foam) for template, pad in zip(templates, result.pads, strict=True)]
    parts = [_round(part.ask, unit) for part in foam_sheets(pairs, result.sheet.foam.sheet_width, unit)]
    return f"{' and '.join(parts)} of a sheet {_round(result.sheet.foam.sheet_width, unit)} wide"


def _round(mm: float, unit: str) -> str:
    """A length as it is asked for over a counter: 60 cm, not 60.0 cm."""
    return format_length(mm, unit).replace(".0 ", " ")
