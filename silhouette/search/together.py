"""All the advice of a preview taken at once."""

from __future__ import annotations

from typing import Any

from silhouette.asked.faults import SheetError
from silhouette.asked.writing import with_values
from silhouette.judged.limits import stock
from silhouette.pipeline import Preview, preview

#: Of several values advised for one key, the one that satisfies every check that asked for it.
_GENTLEST = {"thickness": min, "front_reach": min}


def together(shown_result: Preview, tries: int = 5) -> tuple[dict[str, Any], Preview] | None:
    """All the advice taken at once, and what comes of it: sheet changes and the preview with them.

    Each finding looks at itself alone; here the values that satisfy all of them are taken, seen again, and
    advice that then arises is taken too. None when there is no advice that comes down to sheet keys.
    """
    changes: dict[str, Any] = {}
    result = shown_result
    for _ in range(tries):
        wanted: dict[str, Any] = {}
        at_fault = (finding for finding in result.findings if finding.severity != "fine")
        for key, value in (change for finding in at_fault for change in finding.changes):
            choose = _GENTLEST.get(key.rpartition(".")[2], max)
            held = wanted.get(key)
            wanted[key] = value if held is None or value is None else choose(held, value)
        if any(key.endswith("thickness") for key in wanted):  # thinner foam may need no wider edge
            wanted = {key: value for key, value in wanted.items() if not key.endswith("bevel")}
        wanted |= _kept_even(result, wanted)
        if not wanted:
            break
        try:
            result = preview(with_values(shown_result.sheet, changes | wanted))
        except SheetError:
            break
        changes |= wanted
    return (changes, result) if changes else None


def _kept_even(result: Preview, wanted: dict[str, Any]) -> dict[str, Any]:
    """Thicknesses for both sides where pads of different foam even out her own hips: thinner foam keeps their
    difference, to the nearest foam on sale."""
    if result.body.even:
        return {}
    foam = {pad.side: pad.foam for pad in result.pads}
    caps = [value for key, value in wanted.items() if key.endswith("thickness") and value is not None]
    if not caps or len(foam) < 2 or foam["left"] == foam["right"]:
        return {}
    thick, thin = sorted(foam, key=lambda side: -foam[side])
    cap = min(caps)
    left_over = cap - (foam[thick] - foam[thin])
    sheets = stock(result.sheet.unit)
    return {f"pads.{thick}.thickness": cap, f"pads.{thin}.thickness": min(sheets, key=lambda t: abs(t - left_over))}
