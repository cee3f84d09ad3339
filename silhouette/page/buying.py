"""How much of a foam sheet the pads need, for the line beside the picture."""

from __future__ import annotations

from silhouette.asked.lengths import format_length
from silhouette.pipeline import Preview


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
    parts = [format_length(part.ask, unit) for part in foam_sheets(pairs, result.sheet.foam.sheet_width, unit)]
    return f"{' and '.join(parts)} of a sheet {format_length(result.sheet.foam.sheet_width, unit)} wide"
