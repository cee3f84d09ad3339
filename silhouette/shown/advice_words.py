"""The verdict, and advice taken all at once, in words."""

from __future__ import annotations

from typing import Any

from silhouette.asked.declared import LENGTH
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import SIDES, parameter_for
from silhouette.judged.finding import thickness_text
from silhouette.pipeline import Preview

VERDICTS = {
    "fine": "FINE: nothing gives the pads away",
    "watch": "WATCH: wearable; look at the points below before cutting foam",
    "obvious": "OBVIOUS: this would show; change the points marked obvious",
}


def together_sentence(changes: dict[str, Any], result: Preview, unit: str) -> str:
    """All advice taken at once, in words: what to change and what the figure then is."""
    parts = []
    for key, value in changes.items():
        parameter = parameter_for(key)
        side = next((f" ({s})" for s in SIDES if f".{s}." in key), "")
        if value is None:
            parts.append(f"{parameter.label}{side} left out")
        elif key.endswith("thickness"):
            parts.append(f"{thickness_text(value, unit)} foam{side}")
        else:
            shown = format_length(value, unit) if parameter.kind == LENGTH else str(value)
            parts.append(f"{parameter.label}{side} {shown}")
    return f"{', '.join(parts)}: {result.verdict}, new hip girth {format_length(result.new_hip_girth, unit)}"
