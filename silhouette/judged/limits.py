"""The limits of the look checks, all in one table, each with what it rests on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from silhouette.asked.lengths import INCH
from silhouette.judged.finding import SEVERITIES, Finding, Severity

PRACTICE: Final = "common practice, no source"
CONVENTION: Final = "this tool's convention"
#: Heinz, Peterson, Johnson, Kerk 2003, Exploring relationships in body dimensions, J. Stat. Educ. 11(2):
#: 260 women, natural waist. Recomputed from the open table by a test.
WOMEN_260: Final = "260 women, Heinz, Peterson, Johnson, Kerk 2003"


@dataclass(frozen=True)
class Limit:
    """Where a measured value turns from fine to watch, and from watch to obvious.

    ``dust`` is what a length may lie beyond without counting: a limit of 1 in must not trip on 25.4000001 mm.
    """

    watch: float
    obvious: float
    basis: str
    dust: float = 0.0

    def severity(self, measured: float) -> Severity:
        """Severity of a value that is worse the further it lies on the obvious side."""
        sign = -1.0 if self.obvious < self.watch else 1.0
        if sign * (measured - self.obvious) > self.dust:
            return "obvious"
        return "watch" if sign * (measured - self.watch) > self.dust else "fine"


#: Percentiles of the 260 women: 5th, 50th and 1st (waist/hip and thigh/hip).
WAIST_HIP_P5: Final = 0.666
WAIST_HIP_P50: Final = 0.727
THIGH_HIP_P1: Final = 0.555
THIGH_HIP_P50: Final = 0.598

_DUST: Final = 0.05  #: mm

LIMITS: Final[dict[str, Limit]] = {
    "thickness": Limit(INCH, 1.25 * INCH, f"at most 1 in: {PRACTICE}; obvious above 1 1/4 in: {CONVENTION}", _DUST),
    "start": Limit(INCH, INCH / 2, f"start 1 to 2 in below the waist: {PRACTICE}", _DUST),
    # the turn that an edge puts into the cloth; see cloth/edge_turn.py
    "edge": Limit(8.0, 20.0, f"edges carved down until they lie flat: {PRACTICE}; the angles: {CONVENTION}"),
    "ridge": Limit(27.0, 45.0, CONVENTION),
    "shelf": Limit(48.0, 57.0, f"no shelf under the seat: {PRACTICE}; the angles: {CONVENTION}"),
    "groove": Limit(22.0, 30.0, CONVENTION),
    "waist to hip": Limit(WAIST_HIP_P5, 0.600, f"5th percentile of {WOMEN_260}; obvious: {CONVENTION}"),
    "thigh to hip": Limit(THIGH_HIP_P1, 0.480, f"1st percentile of {WOMEN_260}; obvious: {CONVENTION}"),
    "added girth": Limit(0.10, 0.165, CONVENTION),
    "left and right": Limit(6.0, 16.0, CONVENTION),
    "centre front": Limit(12.7, 0.0, CONVENTION, _DUST),
    "back opening": Limit(12.7, 0.0, f"stop 1 in from the opening: {PRACTICE}; half of it: {CONVENTION}", _DUST),
    # for the stage: see judged/stage_checks.py for what each measures
    "bend": Limit(0.20, 0.28, CONVENTION),
    "shift": Limit(0.35, 0.75, CONVENTION),
    "seam": Limit(40.0, 60.0, CONVENTION),
    "sitting": Limit(38.1, 63.5, f"common sense of geometry; {CONVENTION}"),
    # A waistband above 35 mmHg was felt as uncomfortable. Comfort is not looks, so this never says obvious.
    "pressure": Limit(4.67, math.inf, "felt as uncomfortable above 35 mmHg: Sen'i Gakkaishi 47(6):282"),
    # Watch at the pull of the stretch test for woven cloth; obvious near what opens an apparel seam (from memory).
    "cloth pull": Limit(
        600.0, 3100.0, f"6 N per cm, the pull of EN 14704-1; seams open near 31 N per cm (from memory): {CONVENTION}"
    ),
    # Beyond half, foam leaves the flat part of its curve, hardens, and keeps a dent (Gibson & Ashby, from memory).
    "squeeze": Limit(0.5, 0.8, CONVENTION),
}

#: Checks whose limits move with the client's own proportions.
_MOVING: Final = ("waist to hip", "thigh to hip")


def distance_past(finding: Finding) -> float:
    """A finding on one scale for all checks: its distance past the watch limit, 1 at the obvious limit.

    Never on the wrong side of the severity it was given.
    """
    limit = LIMITS[finding.check]
    span = limit.obvious - limit.watch
    if not math.isfinite(span):
        span = limit.watch
    if finding.check in _MOVING:
        span *= finding.limit / limit.watch
    past = (finding.measured - finding.limit) / span
    rank = SEVERITIES.index(finding.severity)
    return min(max(past, rank - 1 if rank else -math.inf), (0.0, 1.0, math.inf)[rank])


#: Foam sheets as sold (from memory): in inches for a sheet kept in inches, in mm otherwise.
STOCK_INCH: Final = tuple(round(INCH * x, 6) for x in (0.25, 0.375, 0.5, 0.75, 1.0))
STOCK_METRIC: Final = (6.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0)


def stock(unit: str) -> tuple[float, ...]:
    """Sheet thicknesses as sold where people measure in ``unit``, ascending, mm."""
    return STOCK_INCH if unit == "in" else STOCK_METRIC
