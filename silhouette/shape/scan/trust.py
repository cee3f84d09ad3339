"""Whether a scan can be trusted: what is refused, and what is said beside it.

Limits are this tool's convention. Of 30 sampled women without clothes (``tests/learn_shape``) the mean way from skin
to a taut outline was at most 1.1 mm from the waist to near the hip and 0.1 mm on the thighs, a side moved at most 3.3
mm in 4 mm of height, and a thigh's girth at most 9 mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from silhouette.shape.scan.landmarks import STEP, Placed, Profile
from silhouette.shape.scan.leaning import lean_of
from silhouette.shape.scan.slices import Part
from silhouette.shape.support import turn_of

LEAN: Final = 3.0  #: degrees to a side that are refused; to front or back, where posture adds its own, they are said
STOOPED: Final = 4.5  #: degrees to front or back that are refused
GROWN: Final = 0.86  #: both legs just below the parting, over the fullest girth above: less is half-way down the thigh
SIDEWAYS: Final = 16.0  #: mm that a side moves from one level to the next where an arm or a hand joins it
FOLDS: Final = (4.0, 3.0)  #: mm from cloth to its taut outline, on the trunk and on the thighs
EDGE: Final = 16.0  #: mm that a thigh's girth jumps at a hem
NOISY: Final = 3.0  #: mm; a mean residual above it is said aloud
WORST: Final = 30.0  #: mm between the scan and the body drawn through it; beyond, it is refused


def reasons_against(scan: Placed, profile: Profile, *, legs_given: bool) -> Iterator[str]:
    """Why a scan is refused, each in a sentence."""
    aside, ahead = lean_of(scan)
    for angle, most, ways in ((aside, LEAN, ("left", "right")), (ahead, STOOPED, ("front", "back"))):
        if abs(angle) > most:
            way = ways[0] if angle > 0 else ways[1]
            yield f"leans {abs(angle):.1f}° to the {way}, more than {most:g}°: stand it upright, or scan her again"
    if not legs_given:
        yield from _grown(profile)
    yield from _arms(scan, profile)


def doubts_about(scan: Placed, profile: Profile) -> Iterator[str]:
    """What is doubtful about a scan that can be used."""
    trunk, legs = FOLDS
    upper = scan.waist - 0.6 * (scan.waist - scan.hip)
    worn = []
    for low, high, most, where in (
        (upper, scan.waist, trunk, "above the hip"),
        (scan.knee, scan.crotch - 0.2 * (scan.crotch - scan.knee), legs, "on the thighs"),
    ):
        gaps = [_gap(part) for z, parts in _between(profile, low, high) if int(z / STEP) % 3 == 0 for part in parts]
        if gaps and np.mean(gaps) > most:
            worn.append(f"folds of {np.mean(gaps):.0f} mm {where}")
    heights, girths = profile.girths(scan.knee, scan.crotch - 0.2 * (scan.crotch - scan.knee))
    if len(girths) > 1 and np.abs(np.diff(girths)).max() > EDGE:
        drop = scan.waist - heights[int(np.argmax(np.abs(np.diff(girths))))]
        worn.append(f"an edge round the legs {drop:.0f} mm below the waist")
    ahead = lean_of(scan)[1]
    if abs(ahead) > LEAN:
        way = "front" if ahead > 0 else "back"
        yield f"leans {abs(ahead):.1f}° to the {way}, more than {LEAN:g}°: levels run askew, if it is not her posture"
    if worn:
        yield f"she seems to wear something ({', '.join(worn)}): scan her in what lies close"


def _grown(profile: Profile) -> Iterator[str]:
    below = [parts for _, parts in _between(profile, profile.crotch - 3 * STEP, profile.crotch) if len(parts) == 2]
    above = _between(profile, profile.crotch, profile.crotch + 0.6 * profile.leg)
    fullest = max((parts[0].girth for _, parts in above), default=0.0)
    if not below or not fullest:
        return
    both = np.max([p.h for p in below[-1]], axis=0)
    share = float(both.sum() * 2 * np.pi / len(both)) / fullest
    if share < GROWN:
        yield (
            "legs have grown together down to where they are "
            f"{share:.0%} of the hip: say where the crotch is, body.scan_crotch"
        )


def _arms(scan: Placed, profile: Profile) -> Iterator[str]:
    rows = (profile.heights > scan.crotch + STEP) & (profile.heights < scan.waist + STEP)
    heights = profile.heights[rows]
    for sign, side in ((1.0, "left"), (-1.0, "right")):
        jump = np.abs(np.diff(profile.extent(0, sign)[rows]))
        if len(jump) and np.nanmax(jump) > SIDEWAYS:
            drop = scan.waist - heights[int(np.nanargmax(jump))]
            yield f"the {side} arm or hand has grown to the body {drop:.0f} mm below the waist: hold it clear"


def _gap(part: Part) -> float:
    """Mean way from the points of a section to its taut outline, mm."""
    within = part.h - part.points @ turn_of(len(part.h))[1]
    return float(within.min(1).mean())


def _between(profile: Profile, low: float, high: float) -> Iterator[tuple[float, list[Part]]]:
    for z, parts in zip(profile.heights, profile.parts, strict=True):
        if low <= z <= high and parts:
            yield float(z), parts
