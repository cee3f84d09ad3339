"""Numbers as JSON (the contract that scripts read) and as sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from silhouette.asked.fittings import Fitting
from silhouette.asked.lengths import format_length
from silhouette.judged.finding import Finding
from silhouette.pipeline import Preview
from silhouette.shape.solids import Solid, solids_of
from silhouette.shown.cloth_words import add_worn
from silhouette.shown.fitting_words import fitting_plain

LEVEL_NAMES: Final = {
    "waist": "waist",
    "high_hip": "high hip",
    "hip": "hip",
    "under_seat": "under the seat, both legs",
    "thigh": "thigh, one leg",
    "knee": "knee, one leg",
}

#: Printed with every preview. Local rules come first; none of this replaces them.
CAUTIONS: Final = (
    "Foam burns fast and smokes: keep it from flames, cigarettes and hot lamps; no treatment makes it safe. "
    "Local rules on flammability and labelling come first.",
    "Foam warms and holds sweat; elastic, glue and rubber can carry latex or accelerators that irritate skin.",
    "A pad is not a hip protector and must not be sold as one.",
    "Over broken skin, after surgery, in pregnancy or with numbness: ask the treating clinician first.",
    "Carve away from the body and the fingers; sand or glue only with good ventilation.",
)


def report(
    seen: Preview, fittings: Sequence[Fitting] = (), *, solids: bool = True, cloth: bool = True
) -> dict[str, Any]:
    """Everything that was found, and the sheet's fittings, as one JSON-ready object; all lengths in mm.

    ``solids`` False leaves the list of solids empty: closing and weighing them takes longer than all the rest.
    ``cloth`` False leaves out what the shell does, for an answer while a control is still moving.
    """
    figure = seen.figure
    plain: dict[str, Any] = {
        "client": seen.sheet.client.name,
        "new_hip_girth_mm": _mm(figure.new_hip_girth),
        "new_hip_drop_mm": _mm(figure.new_hip_drop),
        "new_hip_tolerance_mm": _mm(figure.sheet_tolerance),
        "added_mm": _mm(figure.added),
        "rule_of_thumb_mm": _mm(figure.rule_of_thumb),
        "girths": [
            {
                "level": r.level,
                "drop_mm": _mm(r.drop),
                "before_mm": _mm(r.before),
                "after_mm": _mm(r.after),
                "added_mm": _mm(r.added),
                "measured": r.measured,
            }
            for r in figure.levels
        ],
        "estimated": estimated(seen),
        "curve": {
            "drop_mm": _list(figure.before.drops),
            "before_mm": _list(figure.before.girth),
            "after_mm": _list(figure.after.girth),
        },
        "silhouette": {
            "drop_mm": _list(figure.before.drops),
            "front": {"before": _list(figure.before.seen(0.0)), "after": _list(figure.after.seen(0.0))},
            "side": {"before": _list(figure.before.seen(np.pi / 2)), "after": _list(figure.after.seen(np.pi / 2))},
        },
        "findings": [finding_plain(f) for f in seen.findings],
        "verdict": seen.verdict,
        "solids": [solid_plain(s) for s in solids_of(figure.body, figure.pads)] if solids else [],
        "cautions": list(CAUTIONS),
    }
    plain["fitted"] = [fitting_plain(record) for record in fittings]
    return add_worn(plain, seen) if cloth else plain


def finding_plain(finding: Finding) -> dict[str, Any]:
    """One finding as plain values."""
    return {
        "check": finding.check,
        "severity": finding.severity,
        "measured": round(finding.measured, 4),
        "limit": round(finding.limit, 4),
        "unit": finding.unit,
        "message": finding.message,
        "advice": finding.advice,
        "basis": finding.basis,
        "drop_mm": None if finding.drop is None else _mm(finding.drop),
        "angle": None if finding.angle is None else round(finding.angle, 4),
        "changes": dict(finding.changes),
    }


def solid_plain(solid: Solid) -> dict[str, Any]:
    """One solid's summary as plain values."""
    return {
        "name": solid.name,
        "watertight": solid.watertight,
        "volume_mm3": round(solid.volume, 1),
        "triangles": len(solid.triangles),
    }


def estimated(seen: Preview) -> list[str]:
    """Sheet keys of measurements that were estimated, in the sheet's order."""
    measured = seen.figure.measures.measured
    keys = [f"girths.{n}" for n in ("high_hip", "thigh", "knee")]
    keys += [f"drops.{n}" for n in ("high_hip", "hip", "under_seat", "knee")]
    keys = [key for key in keys if key not in measured]
    for level in ("waist", "hip"):
        if not {f"widths.{level}_breadth", f"widths.{level}_depth"} & measured:
            keys.append(f"widths.{level}_depth")
    return keys


def rule_sentence(seen: Preview, unit: str) -> str:
    """Why the rule of thumb and the tape differ, in one sentence."""
    figure = seen.figure
    if not figure.pads:
        return "There are no pads."
    difference = figure.new_hip_girth - figure.rule_of_thumb
    way = "more" if difference >= 0 else "less"
    pads = "one pad" if len(figure.pads) == 1 else f"each of {len(figure.pads)} pads"
    return (
        f"The tape over loose foam reads {format_length(abs(difference), unit)} {way} than the rule of thumb, "
        f"which counts one thickness for {pads}, while the tape runs round the outside of the "
        "foam: a pad all round would add 2π thicknesses, and bevels, gaps and reach take part of that away."
    )


def _mm(value: float) -> float:
    return round(float(value), 3)


def _list(values: Any) -> Any:
    return np.round(values, 3).tolist()
