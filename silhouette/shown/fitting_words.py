"""A fitting in sentences."""

from __future__ import annotations

from silhouette.asked.fittings import Fitting
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import PARAMETERS


def fitting_lines(record: Fitting, unit: str, words: str = "", *, used: bool = False) -> list[str]:
    """A fitting in two lines: tape against prediction, and what would explain the difference.

    ``used`` says that the sheet already follows it: then it is not offered again.
    """
    over = "the finished garment" if record.over == "cloth" else "the pads"
    lines = [
        f"Fitting of {record.date.isoformat()}: the tape over {over} read {format_length(record.girth, unit)}, "
        f"{format_length(record.predicted, unit)} was predicted "
        f"({format_length(record.difference, unit, sign=True)})."
    ]
    if words:
        lines.append(f"  {words}")
    elif record.explains is not None:
        key, value = record.explains
        text = foam_words(value, unit) if key == "foam.measured" else f"{value:.1f} {PARAMETERS[key].symbol}"
        offered = "would explain it; this preview goes by the sheet's own choices."
        lines.append(
            f"  {PARAMETERS[key].label} {text} {'was taken from it; the sheet follows it.' if used else offered}"
        )
    return lines


def foam_words(mm: float, unit: str) -> str:
    """Foam to a tenth of a millimetre, with the nearest mark on an inch rule."""
    text = f"{mm:.1f} mm"
    return text if unit != "in" else f"{text} (about {format_length(mm, 'in', sixteenths=True)})"
