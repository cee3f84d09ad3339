"""All the advice of a preview taken at once."""

from __future__ import annotations

from typing import Any

from silhouette.asked.faults import SheetError
from silhouette.asked.writing import with_values
from silhouette.pipeline import Preview, preview

#: Of several values advised for one key, the one that satisfies every check that asked for it.
_GENTLEST = {"thickness": min, "front_reach": min}


def together(seen: Preview, tries: int = 5) -> tuple[dict[str, Any], Preview] | None:
    """All the advice taken at once, and what comes of it: sheet changes and the preview with them.

    Each finding looks at itself alone; here the values that satisfy all of them are taken, seen again, and
    advice that then arises is taken too. None when there is no advice that comes down to sheet keys.
    """
    changes: dict[str, Any] = {}
    result = seen
    for _ in range(tries):
        wanted: dict[str, Any] = {}
        for key, value in (change for finding in result.findings for change in finding.changes):
            choose = _GENTLEST.get(key.rpartition(".")[2], max)
            held = wanted.get(key)
            wanted[key] = value if held is None or value is None else choose(held, value)
        if any(key.endswith("thickness") for key in wanted):  # thinner foam may need no wider edge
            wanted = {key: value for key, value in wanted.items() if not key.endswith("bevel")}
        if not wanted:
            break
        try:
            result = preview(with_values(seen.sheet, changes | wanted))
        except SheetError:
            break
        changes |= wanted
    return (changes, result) if changes else None
