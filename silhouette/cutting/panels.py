"""What shell and lining are cut by: three surfaces from the waist seam to the hem, split into half panels.

Table, panel drawing, pieces and side-seam strip all read them, as the pictures and the checks do: the dressed surfaces
with their ease, so that every level has the girth it is cut to.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from silhouette.asked.lengths import INCH
from silhouette.cloth.cut_girths import lining_girths
from silhouette.cloth.dressed import Dressed, surface
from silhouette.pipeline import Preview
from silhouette.shape.curves import Array

PANELS: Final = ("left front", "left back", "right front", "right back")
COLUMNS: Final = 129  #: points of a half from centre front to centre back
STEP: Final = {"in": INCH, "cm": 25.0, "mm": 25.0}  #: between the levels of the table, mm; four times that below
FRONT_MORE: Final = 24.0  #: mm; front waist over back waist, 6 to 25 mm is common practice, no source
CLOSE: Final = 7.0  #: mm; a step this near a named level is left out


@dataclass(frozen=True, eq=False)
class Cloth:
    """One layer as it is cut, mm: its `name`, levels `drops` (L,), the level of its `hip`, points (2, L, C, 3)."""

    name: str
    drops: Array
    girth: Array
    hip: float
    points: Array

    @cached_property
    def widths(self) -> Array:
        """Half panels along the cloth (L, 4) in the order of `PANELS`; a row sums to the girth cut there."""
        steps = np.linalg.norm(np.diff(self.points[..., :2], axis=2), axis=3)
        middle = steps.shape[2] // 2
        halves = np.stack([steps[:, :, :middle].sum(axis=2), steps[:, :, middle:].sum(axis=2)], axis=-1)
        widths = np.concatenate([halves[0], halves[1]], axis=-1)
        return np.asarray(widths * (self.girth / widths.sum(axis=1))[:, None])

    @cached_property
    def seams(self) -> Array:
        """Way along the left and right side seam from the waist down to each level (L, 2), mm."""
        ways = np.linalg.norm(np.diff(self.points[:, :, self.points.shape[2] // 2], axis=1), axis=2).cumsum(axis=1)
        return np.asarray(np.concatenate([np.zeros((1, 2)), ways.T]))

    def half(self, panel: int) -> Array:
        """Points (L, P, 3) of one of the `PANELS`, from its centre line to the side seam."""
        points = self.points[panel // 2]
        middle = points.shape[1] // 2
        return np.asarray(points[:, middle:][:, ::-1] if panel % 2 else points[:, : middle + 1])


@dataclass(frozen=True)
class Row:
    """One level of the table, mm; panels in the order of `PANELS`, without allowances."""

    name: str
    drop: float
    body: float  #: tape round the body
    padded: float  #: tape over the loose pads
    shows: float  #: tape over the dressed shell
    shell: float  #: what the shell is cut to
    lining: float  #: what the lining is cut to
    panels_shell: tuple[float, ...]
    panels_bare: tuple[float, ...]  #: the same shell over the bare body: her own block with the same ease
    panels_lining: tuple[float, ...]

    @property
    def added(self) -> float:
        return self.padded - self.body

    @property
    def gains(self) -> tuple[float, ...]:
        """What each half panel gains at its side seam."""
        return tuple(b - a for a, b in zip(self.panels_bare, self.panels_shell, strict=True))


@dataclass(frozen=True, eq=False)
class Panels:
    """The shell, the same shell over the bare body (`bare`), and the lining; the table; whether both sides are `same`.

    `rises`: by how much the left and right side seam is longer over the pads, waist to hip, mm.
    """

    shell: Cloth
    bare: Cloth
    lining: Cloth
    rows: tuple[Row, ...]
    rises: tuple[float, float]
    same: bool


def panels_of(result: Preview) -> Panels:
    """Everything needed to cut shell and lining for a preview. Raises `SheetError` for an impossible hem."""
    figure, dressed = result.figure, result.dressed
    cut = lining_girths(figure)
    lined = replace(
        dressed.before, cut=cut, outline=surface(cut, figure.before, dressed.before.axis, even=figure.body.even)
    )
    hip = float(dressed.before.drops[dressed.before.cut.row])
    shell, bare, lining = (
        _cloth(*pair, hip) for pair in (("shell", dressed.after), ("block", dressed.before), ("lining", lined))
    )
    body = figure.body.drops

    def at(drop: float, cloth: Cloth) -> tuple[float, ...]:
        return tuple(float(np.interp(drop, cloth.drops, w)) for w in cloth.widths.T)

    rows = tuple(
        Row(
            name,
            drop,
            body=float(np.interp(drop, body, figure.before.girth)),
            padded=float(np.interp(drop, body, figure.after.girth)),
            shows=float(np.interp(drop, dressed.after.drops, dressed.after.girth)),
            shell=float(np.interp(drop, shell.drops, shell.girth)),
            lining=float(np.interp(drop, lining.drops, lining.girth)),
            panels_shell=at(drop, shell),
            panels_bare=at(drop, bare),
            panels_lining=at(drop, lining),
        )
        for drop, name in _levels(result, float(shell.drops[-1]))
    )
    over, under = (np.array([np.interp(shell.hip, c.drops, way) for way in c.seams.T]) for c in (shell, bare))
    rises = (float(over[0] - under[0]), float(over[1] - under[1]))
    gains = shell.widths - bare.widths
    return Panels(
        shell, bare, lining, rows, rises, bool(dressed.after.even and np.abs(gains[:, :2] - gains[:, 2:]).max() < 0.05)
    )


def _levels(result: Preview, hem: float) -> list[tuple[float, str]]:
    measures, step = result.body.measures, STEP[result.sheet.unit]
    named = {"waist": 0.0, "high hip": measures.high_hip_drop, "hip": measures.hip_drop, "hem": hem}
    named["under the seat"] = measures.under_seat_drop
    close = np.arange(step, measures.under_seat_drop, step)
    between = np.concatenate([close, np.arange(close[-1] + 4 * step, hem, 4 * step)])
    between = between[np.abs(between[:, None] - np.array(list(named.values()))).min(axis=1) > CLOSE]
    return sorted([(d, n) for n, d in named.items()] + [(float(d), "") for d in between])


def _cloth(name: str, dressed: Dressed, hip: float) -> Cloth:
    points = dressed.points(COLUMNS, sewn=True)
    ways = _ways(points)
    seam, row = ways[:, :, COLUMNS // 2].copy(), dressed.cut.row
    # from the hip up the seam leans to where front and back waist are nearly equal
    lean = ways[:, 0, -1] / 2 + FRONT_MORE / 4 - seam[:, 0]
    up = 1.0 - np.clip(dressed.drops / hip, 0.0, 1.0)
    seam += lean[:, None] * up**2
    if dressed.cut.below != "close":  # and hangs plumb below, each panel as wide as at the hip
        seam[:, row:] = seam[:, row, None] * (ways[:, row:, -1] / ways[:, row, None, -1])
    if dressed.cut.below == "pegged":  # the front hangs plumb and the back alone is taken in
        seam[:, row + 1 :] = np.minimum(seam[:, row, None], 0.7 * ways[:, row + 1 :, -1])
    points = _split(points, ways, seam)
    return Cloth(name, dressed.drops, dressed.cut.girth, float(dressed.drops[row]), points)


def _ways(points: Array) -> Array:
    """Way along each level of either half from the centre front (2, L, C), mm."""
    steps = np.linalg.norm(np.diff(points[..., :2], axis=2), axis=3)
    return np.concatenate([np.zeros((*steps.shape[:2], 1)), steps.cumsum(axis=2)], axis=2)


def _split(points: Array, ways: Array, seam: Array) -> Array:
    """The same levels with their middle point at the way ``seam`` (2, L), the others even on either side of it."""
    moved = points.copy()
    middle = points.shape[2] // 2
    share = np.linspace(0.0, 1.0, middle + 1)
    for side, level in np.ndindex(*seam.shape):
        at, run = seam[side, level], ways[side, level]
        even = np.concatenate([at * share, at + (run[-1] - at) * share[1:]])
        for k in (0, 1):
            moved[side, level, :, k] = np.interp(even, run, points[side, level, :, k])
    return moved
