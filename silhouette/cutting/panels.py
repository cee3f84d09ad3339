"""What the pads change in the cloth: panel widths level by level, and the way of the side seam.

Every girth is split at the centre front, the side seams and the centre back on the taut tape's own line (the
convex hull of the level), so a panel gets what really lies over it, not a quarter of the added girth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.cuts import cuts
from silhouette.shape.figure import Figure
from silhouette.shape.pads import Pad

Floats = NDArray[np.float64]

PANELS: Final = ("left front", "left back", "right front", "right back")


@dataclass(frozen=True, eq=False)
class PanelWidths:
    """Half-panel widths, centre line to side seam, on the taut tape: body and padded, mm.

    `drops` (L,); `body` and `padded` (L, 4) in the order of `PANELS`. A row sums to the tape girth there.
    """

    drops: Floats
    body: Floats
    padded: Floats

    @property
    def gains(self) -> Floats:
        """What each half panel gains at its side seam (L, 4), mm."""
        return self.padded - self.body


@dataclass(frozen=True)
class SideSeam:
    """The side seam of one side from the waist to `end` below it, mm: over the body and over the pads.

    `surface` lengths follow every hollow; `taut` lengths are those of cloth pulled straight over hollows.
    """

    side: str
    end: float
    body_surface: float
    padded_surface: float
    body_taut: float
    padded_taut: float

    @property
    def rise(self) -> float:
        """How much higher a hem would hang at this side if nothing were added, mm."""
        return self.padded_taut - self.body_taut


def panel_widths(figure: Figure, drops: Floats) -> PanelWidths:
    """Split the tape girth at each of `drops` (L,) into four half panels, before and after.

    The tape samples directions and the split follows the hull's own edges; each row is brought to the tape's
    girth by one factor (within 0.05 % of 1).
    """
    seams = np.stack([_level(figure, side, drops)[:, figure.body.seam] for side in (0, 1)])
    arcs = [[_level(figure, side, drops)[k] for side in (0, 1)] for k in range(len(drops))]
    body = np.array([_split(np.concatenate(arcs[k]), seams[:, k]) for k in range(len(drops))])
    clouds = [np.concatenate(arcs[k]) for k in range(len(drops))]
    for pad in figure.pads:
        level, cut = cuts(pad, drops)
        for k in np.unique(level):
            mine = cut[level == k]
            clouds[k] = np.concatenate([clouds[k], mine[:, :2]])
            nearest = mine[np.abs(mine[:, 3]).argmin()]
            if abs(nearest[3]) < 1e-6:
                seams[0 if pad.side > 0 else 1, k] = nearest[:2]
    padded = np.array([_split(clouds[k], seams[:, k]) for k in range(len(drops))])
    before = np.array([figure.before.girth_at(float(d)) for d in drops])
    after = np.array([figure.after.girth_at(float(d)) for d in drops])
    return PanelWidths(
        drops,
        body * (before / body.sum(axis=1))[:, None],
        padded * (after / padded.sum(axis=1))[:, None],
    )


def side_seams(figure: Figure, end: float) -> tuple[SideSeam, SideSeam]:
    """Left and right side seam from the waist to the drop `end`."""
    return _side_seam(figure, 0, end), _side_seam(figure, 1, end)


def _level(figure: Figure, side: int, drops: Floats) -> Floats:
    """Outer arc of one side at any drops (L, K, 2), straight between the body's own levels."""
    body = figure.body
    at = np.clip(np.searchsorted(body.drops, drops, side="right") - 1, 0, len(body.drops) - 2)
    f = ((drops - body.drops[at]) / (body.drops[at + 1] - body.drops[at]))[:, None, None]
    arcs = body.outer[side, :, :, :2]
    return np.asarray(arcs[at] * (1 - f) + arcs[at + 1] * f)


def _split(points: Floats, seams: Floats) -> Floats:
    """Lengths (4,) along the hull of `points` (P, 2) between centre lines and `seams` (2, 2), as `PANELS`."""
    import shapely

    hull = shapely.convex_hull(shapely.multipoints(points))
    ring = shapely.get_exterior_ring(hull)
    total = shapely.length(ring)
    crossing = shapely.get_coordinates(shapely.intersection(hull, shapely.linestrings([[0.0, -1e4], [0.0, 1e4]])))
    front, back = crossing[crossing[:, 1].argmax()], crossing[crossing[:, 1].argmin()]
    marks = shapely.line_locate_point(ring, shapely.points(np.stack([front, seams[0], back, seams[1]])))
    steps = np.abs(marks - np.roll(marks, -1))
    steps = np.minimum(steps, total - steps)  # none of the four is longer than half the way round
    left_front, left_back, right_back, right_front = steps
    return np.array([left_front, left_back, right_front, right_back])


def _side_seam(figure: Figure, side: int, end: float) -> SideSeam:
    body = figure.body
    bare = body.outer[side, :, body.seam]
    pads: Sequence[Pad] = [p for p in figure.pads if (p.side > 0) == (side == 0)]
    over = bare
    if pads:
        worn = pads[0].along_seam(pads[0].outer)
        inside = (bare[:, 2] < worn[0, 2]) & (bare[:, 2] > worn[-1, 2])
        upper, lower = bare[~inside & (bare[:, 2] >= worn[0, 2])], bare[~inside & (bare[:, 2] <= worn[-1, 2])]
        over = np.concatenate([upper, worn, lower])
    bare, over = _down_to(bare, end), _down_to(over, end)
    outward = 1.0 if side == 0 else -1.0
    return SideSeam(
        side=("left", "right")[side],
        end=end,
        body_surface=_length(bare),
        padded_surface=_length(over),
        body_taut=_taut(np.stack([-bare[:, 2], outward * bare[:, 0]], axis=-1)),
        padded_taut=_taut(np.stack([-over[:, 2], outward * over[:, 0]], axis=-1)),
    )


def _down_to(points: Floats, end: float) -> Floats:
    """The part of a seam (N, 3) above the drop `end`, cut exactly there."""
    drop = np.maximum.accumulate(-points[:, 2])
    last = np.array([np.interp(end, drop, points[:, k]) for k in (0, 1)] + [-end])
    return np.concatenate([points[drop < end - 1e-9], last[None]])


def _length(points: Floats) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _taut(profile: Floats) -> float:
    """Length of a thread pulled straight over a profile (N, 2) of drop and distance outward, end to end."""
    import shapely

    under = np.concatenate([profile, [[profile[-1, 0], -1e3], [profile[0, 0], -1e3]]])
    ring = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(under)))[:-1]
    over = ring[ring[:, 1] > -999.0]
    return _length(over[np.argsort(over[:, 0], kind="stable")])
