"""A scan brought to millimetres and to the body's axes, and the levels that a dressmaker would find on it.

Limits without a source are this tool's convention. The lengths of an average figure are ANSUR II's heights (Gordon et
al. 2014) on a stature of 1680 mm: crotch .480, knee .276, see ``shape/measures.py``. On 30 sampled women
(``tests/learn_shape``) the seat stood out further behind than the belly in front, by 11 mm at least.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from silhouette.asked.sheet import Sheet
from silhouette.shape.curves import Array
from silhouette.shape.scan.slices import HOLE, Mesh, Part, sections
from silhouette.shape.scan.standing import Standing, facing, two_legs
from silhouette.shape.scan.unit import Size, size_of_scan

LEG: Final = 340.0  #: mm from crotch to knee of an average figure
KNEE_HEIGHT: Final = 0.276 / 0.480  #: of the height of the crotch
WAIST: Final = 0.6  #: of ``LEG`` from hip to waist, of an average figure
WAIST_RANGE: Final = (0.32, 0.9, 1.15)  #: where it is looked for, and where next
SHORTEST: Final = 0.7  #: of ``LEG``: what ends higher has no knees
FEET: Final = 1.6  #: feet are so much longer than ankles
SEAT: Final = 8.0  #: mm that the seat stands out further than the belly, or front and back are not sure
STEP: Final = 4.0  #: mm between levels looked at


class UnfitScanError(ValueError):
    """Why a scan cannot be used, each reason a sentence."""

    def __init__(self, *reasons: str) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = reasons


@dataclass(frozen=True, eq=False)
class Placed:
    """A scan in the body's axes, mm: x to the wearer's left, y to the front, z above its lowest point.

    waist, hip, crotch, knee  heights
    size     what one unit of the file is
    found    which of the four levels were found, not given
    doubts   what is doubtful, in words
    reasons  why it cannot be used, as far as size and levels tell
    whole    whether all levels are there and in order, so that it can be cut at them
    """

    mesh: Mesh
    profile: Profile
    waist: float
    hip: float
    crotch: float
    knee: float
    size: Size
    found: frozenset[str]
    doubts: tuple[str, ...]
    reasons: tuple[str, ...]
    whole: bool


def placed(standing: Standing, sheet: Sheet) -> Placed:
    """Orientation, unit and landmarks, found or given. Raises ``UnfitScanError`` where there are none."""
    size = size_of_scan(standing, sheet)
    reasons = [size.reason] if size.reason else []
    foot, scale = standing.foot, size.mm
    mesh = Mesh((standing.mesh.vertices - [0.0, 0.0, foot]) * scale, standing.mesh.triangles)
    parting = _parting(mesh, (standing.parted - foot) * scale, (standing.whole - foot) * scale)
    crotch = sheet.body.scan_crotch if sheet.body.scan_crotch is not None else parting
    try:
        mesh = _in_body_axes(mesh, standing, sheet, parting)
    except UnfitScanError as error:
        raise UnfitScanError(*reasons, *error.reasons) from error
    profile = Profile.of(mesh, crotch, parting)
    if sheet.body.scan_front is None:
        ahead, behind = profile.bulges()
        if abs(ahead - behind) < SEAT:
            reasons.append('front and back cannot be told apart: say which axis she faces, body.scan_front = "y"')
        if ahead > behind:
            mesh = Mesh(mesh.vertices * [-1.0, -1.0, 1.0], mesh.triangles)
            profile = replace(profile, parts=[[part.turned() for part in parts] for parts in profile.parts])
    return _with_levels(mesh, profile, sheet, size, crotch, reasons)


def _parting(mesh: Mesh, low: float, high: float) -> float:
    """Height at which the legs part, between a level with two legs and one above with a trunk."""
    for _ in range(3):
        heights = np.linspace(low, high, 14)
        two = [two_legs(parts) for parts in sections(mesh, heights, HOLE)]
        row = min(two.index(False) if False in two else len(two) - 1, len(two) - 1)
        low, high = float(heights[max(row - 1, 0)]), float(heights[row])
    return low


def _in_body_axes(mesh: Mesh, standing: Standing, sheet: Sheet, parting: float) -> Mesh:
    """The mesh with x to one side and y to front or back, its mid-plane where the legs part."""
    rise = np.linspace(parting, min(1.5 * parting, float(mesh.vertices[:, 2].max())), 13)[1:-1]
    legs = [p for p in sections(mesh, np.linspace(0.5 * parting, 0.97 * parting, 12), HOLE) if two_legs(p)]
    trunk = [p[0] for p in sections(mesh, rise, HOLE) if p]
    cos, sin = facing(standing, trunk, [(p[0], p[1]) for p in legs], sheet.body)
    turned = mesh.vertices[:, :2] @ np.array([[-sin, cos], [cos, sin]])
    near = parting - np.array([2.0, 1.0, 0.5])
    gaps = []
    for parts in sections(Mesh(np.column_stack([turned, mesh.vertices[:, 2]]), mesh.triangles), near, HOLE):
        if two_legs(parts):
            right, left = sorted(parts[:2], key=lambda p: float(p.middle[0]))
            gaps.append((float(right.high[0] + left.low[0])) / 2)
    if not gaps:
        raise UnfitScanError("her legs cannot be told apart just below the crotch")
    return Mesh(np.column_stack([turned - [np.mean(gaps), 0.0], mesh.vertices[:, 2]]), mesh.triangles)


@dataclass(frozen=True, eq=False)
class Profile:
    """Sections from below the knee to above the waist: heights (N,), and the parts that are trunk or legs."""

    heights: Array
    parts: list[list[Part]]
    crotch: float
    leg: float  #: mm from crotch to knee of a woman of her height
    feet: bool  #: whether the scan goes down to her soles

    @classmethod
    def of(cls, mesh: Mesh, crotch: float, parting: float) -> Profile:
        feet = has_feet(mesh)
        leg = (1 - KNEE_HEIGHT) * crotch if feet else min(LEG, crotch / 0.95)
        heights = np.arange(max(crotch - 1.25 * leg, 2.0), min(crotch + 1.5 * leg, mesh.vertices[:, 2].max() - 1), STEP)
        return cls(heights, [body_parts(p) for p in sections(mesh, heights, HOLE)], crotch, leg, feet)

    def extent(self, axis: int, sign: float) -> Array:
        """How far the body reaches at every height (N,), NaN where there is none."""
        return np.array(
            [
                max((float(p.high[axis] if sign > 0 else -p.low[axis]) for p in parts), default=np.nan)
                for parts in self.parts
            ]
        )

    def bulges(self) -> tuple[float, float]:
        """How far belly and seat stand out before and behind a line from waist to mid-thigh, mm."""
        low, high = self.crotch - 0.45 * self.leg, self.crotch + 0.9 * self.leg
        near = (self.heights > self.crotch - 0.1 * self.leg) & (self.heights < self.crotch + 0.55 * self.leg)
        found = []
        for sign in (1.0, -1.0):
            reach = self.extent(1, sign)
            ends = np.interp([low, high], self.heights, reach)
            found.append(float(np.nanmax((reach - np.interp(self.heights, [low, high], ends))[near])))
        return found[0], found[1]

    def girths(self, low: float, high: float) -> tuple[Array, Array]:
        """Heights between two, and the taut girth there: of the trunk, or the mean of both legs."""
        rows = [i for i, z in enumerate(self.heights) if low <= z <= high and self.parts[i]]
        return self.heights[rows], np.array([np.mean([p.girth for p in self.parts[i]]) for i in rows])


def body_parts(parts: list[Part]) -> list[Part]:
    """Both legs, or the trunk alone: no arms."""
    return parts[:2] if two_legs(parts) else parts[:1]


def has_feet(mesh: Mesh) -> bool:
    """Whether the scan goes down to her soles: a section much longer there than at the ankles."""
    low, high = ([_longest(p) for p in sections(mesh, np.array(z), HOLE)] for z in ([10.0, 20.0], [90.0, 120.0]))
    return bool(max(low) > FEET * max(*high, 1.0))


def _longest(parts: list[Part]) -> float:
    return max((float((p.high - p.low).max()) for p in parts[:2]), default=0.0)


def _with_levels(mesh: Mesh, profile: Profile, sheet: Sheet, size: Size, crotch: float, reasons: list[str]) -> Placed:
    own, drops, leg = sheet.body, sheet.drops, profile.leg
    doubts = [size.doubt] if size.doubt else []
    found = {name for name in ("waist", "hip", "crotch", "knee") if getattr(own, f"scan_{name}") is None}
    foot = float(profile.heights[0])
    hip = own.scan_hip
    if hip is None and own.scan_waist is not None and drops.hip is not None:
        hip = own.scan_waist - drops.hip
    if hip is None:
        hip = _furthest_back(profile, crotch + 0.03 * leg, crotch + 0.55 * leg)
    waist = own.scan_waist
    if waist is None and drops.hip is not None:
        waist, found = hip + drops.hip, found - {"waist"}
    if waist is None:
        waist = _narrowest(profile, hip, doubts)
    knee = own.scan_knee
    if knee is None and drops.knee is not None:
        knee, found = waist - drops.knee, found - {"knee"}
    if knee is None:
        knee = _knee(profile, foot)
    missing = [*_missing(profile, waist, knee)]
    if "knee" in found and crotch < SHORTEST * LEG:
        missing = [f"levels are missing: it ends {crotch:.0f} mm below the crotch, above the knee"]
    wrong = missing or _order(waist, hip, crotch, knee)
    if size.unit is not None:  # else its mm are a guess
        reasons += wrong
    return Placed(
        mesh, profile, waist, hip, crotch, knee, size, frozenset(found), tuple(doubts), tuple(reasons), not wrong
    )


def _furthest_back(profile: Profile, low: float, high: float) -> float:
    near = (profile.heights >= low) & (profile.heights <= high)
    back = np.where(near, profile.extent(1, -1.0), -np.inf)
    return float(profile.heights[int(np.nanargmax(back))])


def _narrowest(profile: Profile, hip: float, doubts: list[str]) -> float:
    """The least taut girth; where none is less than those above and below it, a level of an average figure."""
    low = hip + WAIST_RANGE[0] * profile.leg
    for share in WAIST_RANGE[1:]:
        heights, girths = profile.girths(low, hip + share * profile.leg)
        if not len(heights):
            return low  # above its end, which is found out
        row = int(np.argmin(girths))
        if 0 < row < len(girths) - 1:
            return float(heights[row])
    doubts.append("no level is narrower than those above and below it, so the waist is a guess: give drops.hip")
    return float(np.clip(hip + WAIST * profile.leg, heights[0], heights[-1]))


def _knee(profile: Profile, foot: float) -> float:
    """The knee of an average figure of her height, ± 20 mm on 89 sampled women whose feet were in the scan.

    No girth shows it better: the leg is narrowest 48 ± 34 mm below it. Its middle line bends furthest to the front
    47 ± 20 mm above it, but noise and small holes move that place by as much again.
    """
    return max(profile.crotch - profile.leg, foot + STEP)


def _missing(profile: Profile, waist: float, knee: float) -> list[str]:
    """What of waist to knee the scan does not hold."""
    reasons = []
    if waist > profile.heights[-1]:
        reasons.append(f"levels are missing: it ends {waist - profile.heights[-1]:.0f} mm below the waist")
    if knee < profile.heights[0]:
        reasons.append(f"levels are missing: it ends {profile.heights[0] - knee:.0f} mm above the knee")
    within = (profile.heights > knee) & (profile.heights < waist)
    bare = [z for z, parts, inside in zip(profile.heights, profile.parts, within, strict=True) if inside and not parts]
    if bare:
        reasons.append(
            f"levels are missing: nothing {waist - bare[-1]:.0f} to {waist - bare[0]:.0f} mm below the waist"
        )
    return reasons


def _order(waist: float, hip: float, crotch: float, knee: float) -> list[str]:
    wrong = []
    for above, high, below, low, least in (
        ("waist", waist, "hip", hip, 80.0),
        ("hip", hip, "crotch", crotch, 10.0),
        ("crotch", crotch, "knee", knee, 120.0),
    ):
        if high - low < least:
            wrong.append(f"{above} and {below} come out {high - low:.0f} mm apart: give them in body.scan_{below}")
    return wrong
