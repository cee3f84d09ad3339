"""The look checks on girths: waist to hip, thigh to hip, and the share that the pads add."""

from __future__ import annotations

from typing import Final

from silhouette.asked.lengths import format_length
from silhouette.judged.advice import thinner
from silhouette.judged.finding import Advice, Check, Finding
from silhouette.judged.limits import LIMITS, THIGH_HIP_P50, WAIST_HIP_P50, Limit
from silhouette.shape.figure import Figure


def _waist_to_hip(figure: Figure) -> Finding | None:
    """Waist over new hip girth against the women of an open table."""
    return _ratio(figure, "waist to hip", "waist over hip", figure.measures.waist, WAIST_HIP_P50)


def _thigh_to_hip(figure: Figure) -> Finding | None:
    """Thigh over new hip girth: full hips on slim thighs look put on."""
    guess = "" if "girths.thigh" in figure.measures.measured else " (thigh estimated)"
    return _ratio(figure, "thigh to hip", f"thigh over hip{guess}", figure.measures.thigh, THIGH_HIP_P50)


def _ratio(figure: Figure, name: str, words: str, part: float, middle: float) -> Finding | None:
    if not figure.pads:
        return None
    own, padded = part / figure.measures.hip, part / figure.new_hip_girth
    table = LIMITS[name]
    # a body that already lies low may fall by the same share as an average one, no further
    shift = min(1.0, own / middle)
    limit = Limit(table.watch * shift, table.obvious * shift, table.basis)
    rare = f"{words} goes from {own:.3f} to {padded:.3f}; below {limit.watch:.3f} is rare"
    return Finding(
        check=name,
        severity=limit.severity(padded),
        measured=padded,
        limit=limit.watch,
        unit="",
        message=rare + ("" if shift == 1.0 else " for this body"),
        basis=limit.basis,
        drop=figure.new_hip_drop,
        angle=0.0,
    )


def _foam_for(figure: Figure, room: float) -> float:
    """Foam that adds ``room`` mm at most. The tape's gain grows faster than the foam, so a share is safe."""
    foam = max(pad.foam for pad in figure.pads)
    return foam * max(room, 0.0) / max(figure.added, 1e-9) if figure.added > 0 else foam


def _less_waist_to_hip(figure: Figure, finding: Finding) -> Advice:
    room = figure.measures.waist / finding.limit - figure.body_girth_there
    return thinner(figure, _foam_for(figure, room), WAIST_TO_HIP)


def _less_thigh_to_hip(figure: Figure, finding: Finding) -> Advice:
    room = figure.measures.thigh / finding.limit - figure.body_girth_there
    return thinner(figure, _foam_for(figure, room), THIGH_TO_HIP)


WAIST_TO_HIP: Final[Check[Figure]] = Check("waist to hip", _waist_to_hip, _less_waist_to_hip)
THIGH_TO_HIP: Final[Check[Figure]] = Check("thigh to hip", _thigh_to_hip, _less_thigh_to_hip)


def _added_girth(figure: Figure) -> Finding | None:
    """Added girth as a share of the body's own."""
    if not figure.pads:
        return None
    limit, unit = LIMITS["added girth"], figure.sheet.unit
    share = figure.added / figure.body_girth_there
    return Finding(
        check="added girth",
        severity=limit.severity(share),
        measured=share,
        limit=limit.watch,
        unit="",
        message=f"the pads add {format_length(figure.added, unit)} to {format_length(figure.body_girth_there, unit)}, "
        f"{share:.0%}",
        basis=limit.basis,
        drop=figure.new_hip_drop,
        angle=0.0,
    )


def _add_less(figure: Figure, finding: Finding) -> Advice:
    return thinner(figure, _foam_for(figure, finding.limit * figure.body_girth_there), ADDED_GIRTH)


ADDED_GIRTH: Final[Check[Figure]] = Check("added girth", _added_girth, _add_less)
