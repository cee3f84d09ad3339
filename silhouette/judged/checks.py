"""The look checks on the pads as drafted and on the girths they give. Each is ``check(figure) -> Finding | None``.

A check compares after with before: a client whose own body lies outside a statistic is not warned of that,
only of what the pads add.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.judged.advice import thinner, tried
from silhouette.judged.finding import NOTHING, Finding, handy, set_all, thickness_text
from silhouette.judged.limits import (
    CONVENTION,
    LIMITS,
    THIGH_HIP_P50,
    WAIST_HIP_P50,
    Limit,
)
from silhouette.judged.outline_checks import OUTLINE_CHECKS
from silhouette.shape.figure import Figure

Check = Callable[[Figure], Finding | None]


def thickness(figure: Figure) -> Finding | None:
    """Foam that is thicker than the trade trusts shows, however well it is carved."""
    if not figure.pads:
        return None
    pad = max(figure.pads, key=lambda p: p.foam)
    limit, unit = LIMITS["thickness"], figure.sheet.unit
    severity = limit.severity(pad.foam)
    advice, changes = NOTHING if severity == "fine" else thinner(figure, 25.4, thickness)
    return Finding(
        "thickness", severity, pad.foam, 25.4, "mm",
        f"the foam is {thickness_text(pad.foam, unit)} thick; the trade stops at {thickness_text(25.4, unit)}",
        advice, limit.basis, figure.measures.hip_drop, 0.0, changes,
    )  # fmt: skip


def start(figure: Figure) -> Finding | None:
    """Pads that start at the waist read as a full belly, not as hips."""
    if not figure.pads:
        return None
    pad = min(figure.pads, key=lambda p: p.outline[0, 1])
    top = float(pad.outline[0, 1])
    limit, unit = LIMITS["start"], figure.sheet.unit
    severity = limit.severity(top)
    lower = handy(25.4 - top, unit)
    drafted = getattr(figure.sheet.pads_on("left" if pad.side > 0 else "right"), f"{pad.part}_outline") is None
    return Finding(
        "start", severity, top, 25.4, "mm",
        f"the pad starts {format_length(top, unit)} below the waist; "
        f"{format_length(25.4, unit)} to {format_length(50.8, unit)} reads as hips rather than belly",
        "" if severity == "fine" else f"start the pad {format_length(lower, unit)} lower",
        limit.basis, top, 0.0,
        set_all(figure.sheet, "start", top + lower) if severity != "fine" and drafted else (),
    )  # fmt: skip


def bevel(figure: Figure) -> Finding | None:
    """An edge carved too steeply shows as a step."""
    if not figure.pads:
        return None

    def slope(pad: Any) -> float:
        return math.degrees(math.atan2(pad.foam, pad.bevel))

    pad = max(figure.pads, key=slope)
    limit, unit = LIMITS["bevel"], figure.sheet.unit
    steep = slope(pad)
    severity = limit.severity(steep)
    advice, changes = NOTHING
    if severity != "fine":
        wide = handy(max(p.foam for p in figure.pads) / math.tan(math.radians(limit.watch)), unit)
        if wide <= min(abs(p.outline[:, 0]).max() for p in figure.pads) * 0.6:
            advice = f"carve the edge over {format_length(wide, unit)} instead of {format_length(pad.bevel, unit)}"
            advice, changes = tried(figure, advice, set_all(figure.sheet, "bevel", wide), bevel)
        else:
            advice, changes = thinner(figure, pad.bevel * math.tan(math.radians(limit.watch)), bevel)
    return Finding(
        "bevel", severity, steep, limit.watch, "degrees",
        f"the edge falls {thickness_text(pad.foam, unit)} over {format_length(pad.bevel, unit)}: {steep:.0f}°",
        advice, limit.basis, float(pad.outline[-1, 1]), 0.0, changes,
    )  # fmt: skip


def waist_to_hip(figure: Figure) -> Finding | None:
    """Waist over new hip girth against the women of an open table."""
    m = figure.measures
    return _ratio(figure, "waist to hip", "waist over hip", m.waist, WAIST_HIP_P50, waist_to_hip)


def thigh_to_hip(figure: Figure) -> Finding | None:
    """Thigh over new hip girth: full hips on slim thighs look put on."""
    guess = "" if "girths.thigh" in figure.measures.measured else " (thigh estimated)"
    return _ratio(figure, "thigh to hip", f"thigh over hip{guess}", figure.measures.thigh, THIGH_HIP_P50, thigh_to_hip)


def _ratio(figure: Figure, name: str, words: str, part: float, middle: float, check: Check) -> Finding | None:
    if not figure.pads:
        return None
    own, padded = part / figure.measures.hip, part / figure.new_hip_girth
    table = LIMITS[name]
    # a body that already lies low may fall by the same share as an average one, no further
    shift = min(1.0, own / middle)
    limit = Limit(table.watch * shift, table.obvious * shift, table.basis)
    severity = limit.severity(padded)
    advice, changes = NOTHING
    if severity != "fine":
        room = part / limit.watch - figure.body_girth_there
        advice, changes = thinner(figure, _foam_for(figure, room), check)
    return Finding(
        name, severity, padded, limit.watch, "",
        f"{words} goes from {own:.3f} to {padded:.3f}; below {limit.watch:.3f} is rare"
        + ("" if shift == 1.0 else " for this body"),
        advice, limit.basis, figure.new_hip_drop, 0.0, changes,
    )  # fmt: skip


def _foam_for(figure: Figure, room: float) -> float:
    """Foam that adds ``room`` mm at most. The tape's gain grows faster than the foam, so a share is safe."""
    foam = max(pad.foam for pad in figure.pads)
    return foam * max(room, 0.0) / max(figure.added, 1e-9) if figure.added > 0 else foam


def added_girth(figure: Figure) -> Finding | None:
    """Added girth as a share of the body's own."""
    if not figure.pads:
        return None
    limit, unit = LIMITS["added girth"], figure.sheet.unit
    share = figure.added / figure.body_girth_there
    severity = limit.severity(share)
    advice, changes = NOTHING
    if severity != "fine":
        advice, changes = thinner(figure, _foam_for(figure, limit.watch * figure.body_girth_there), added_girth)
    return Finding(
        "added girth", severity, share, limit.watch, "",
        f"the pads add {format_length(figure.added, unit)} to {format_length(figure.body_girth_there, unit)}, "
        f"{share:.0%}",
        advice, limit.basis, figure.new_hip_drop, 0.0, changes,
    )  # fmt: skip


def left_and_right(figure: Figure) -> Finding | None:
    """One hip standing out further than the other."""
    if not figure.pads:
        return None
    seen = figure.after.seen(0.0)
    difference = seen[:, 1] + seen[:, 0]
    row = int(np.argmax(np.abs(difference)))
    size = float(abs(difference[row]))
    limit, unit = LIMITS["left and right"], figure.sheet.unit
    severity = limit.severity(size)
    side, angle = ("left", 0.0) if difference[row] > 0 else ("right", math.pi)
    advice = ""
    if severity != "fine":
        advice = (
            f"unless it evens out the client's own hips, take {format_length(size, unit)} "
            f"off the {side} side or give both sides the same pad"
        )
    same = "both hips stand out alike"
    return Finding(
        "left and right", severity, size, limit.watch, "mm",
        f"the {side} hip stands out {format_length(size, unit)} further" if size > 0.5 else same,
        advice, limit.basis, float(figure.body.drops[row]), angle,
        tuple((f"pads.{s}.{name}", None) for s in ("left", "right") for name, _ in getattr(figure.sheet, s))
        if severity != "fine" else (),
    )  # fmt: skip


def centre_front(figure: Figure) -> Finding | None:
    """Front pads that run up to, or past, the centre front."""
    return _centre(figure, "centre front", "front", "the centre front", 25.4)


def back_opening(figure: Figure) -> Finding | None:
    """Back pads that run up to, or past, the centre-back opening."""
    return _centre(figure, "back opening", "back", "the centre-back opening", 25.4)


def _centre(figure: Figure, name: str, part: str, words: str, wanted: float) -> Finding | None:
    pads = [p for p in figure.pads if p.part == part]
    if not pads:
        return None
    pad = min(pads, key=lambda p: p.clearance)
    limit, unit = LIMITS[name], figure.sheet.unit
    severity = limit.severity(pad.clearance)
    mates = {p.side: p.clearance for p in pads}
    overlap = -sum(mates.values()) if len(mates) == 2 else 0.0
    if overlap > 0:
        message = f"the two {part} pads overlap by {format_length(overlap, unit)} at {words}"
    elif pad.clearance < 0:
        message = f"the {pad.name} pad runs {format_length(-pad.clearance, unit)} past {words}"
    else:
        message = f"the {part} pad stops {format_length(pad.clearance, unit)} before {words}"
    advice, changes = NOTHING
    if severity != "fine":
        cut = handy(wanted - pad.clearance, unit)
        side = "left" if pad.side > 0 else "right"
        pads_there = figure.sheet.pads_on(side)
        if part == "back" and pads_there.back_outline is None:
            advice = f"stop the back pad {format_length(cut, unit)} earlier"
            changes = set_all(figure.sheet, "back_gap", pads_there.back_gap + cut)
        else:
            widest = float(np.abs(pad.outline[:, 0]).max())
            advice = f"shorten the {part} reach by {format_length(cut, unit)}"
            if pads_there.front_outline is None and part == "front" and widest - cut > 20:
                changes = set_all(figure.sheet, "front_reach", widest - cut)
    return Finding(
        name, severity, pad.clearance, limit.watch, "mm", message, advice, limit.basis,
        figure.measures.hip_drop, math.pi / 2 if part == "front" else -math.pi / 2, changes,
    )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    thickness, start, bevel, *OUTLINE_CHECKS, waist_to_hip, thigh_to_hip, added_girth,
    left_and_right, centre_front, back_opening,
)  # fmt: skip


def findings_of(figure: Figure) -> tuple[Finding, ...]:
    """Every check in order; those that do not apply (no pads, say) are left out."""
    return tuple(finding for check in CHECKS if (finding := check(figure)) is not None)


__all__ = ["CHECKS", "CONVENTION", "Check", "findings_of"]
