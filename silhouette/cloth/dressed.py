"""The dressed surface: what cloth over the figure shows, from the waist seam to the hem.

Cloth is a net of two thread families. Round the figure it is taut, so every level is a convex loop, and the
support function h(level, direction) holds all of it. Down the figure threads hang in vertical planes from an axis,
each pulled by what hangs below.

- Where the cut is tight the level lies as the hoop lies (``worn``).
- Elsewhere threads span hollows down the figure, the upper envelope of the loops along each ray, and hang plumb from
  the widest place, as far as the cut allows: levels past it are held by their hoops (``held``).
- What the cut has over the loop so found is ease. It hangs in folds and is not shown; pieces take it as a parallel
  offset of (cut - loop) / 2π (Steiner), which is h plus a constant.

Tests hold it to an exact solve of the same net. Bending stiffness and friction are left out: they smooth a corner
over a few mm only.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from silhouette.asked.supplies import Cloth
from silhouette.cloth.cut_girths import CutGirths, bare_girths, carried_to
from silhouette.cloth.edge_turn import EdgeTurn, edge_turn
from silhouette.cloth.held import keep_to_cut
from silhouette.cloth.rays import about, across_rays, along_rays
from silhouette.cloth.shell import Shell
from silhouette.cloth.strips import Rows
from silhouette.cloth.thread_points import points_on
from silhouette.shape.curves import Array
from silhouette.shape.figure import Figure
from silhouette.shape.pads import is_mirrored
from silhouette.shape.support import girth_of
from silhouette.shape.tape import Tape

FILLS: Final = 1e-6  #: mm of girth; an envelope that adds less is no different from the loop
ROUNDNESS: Final = (0.4, 2.0)  #: bounds, as radii of few directions are rough
ABOUT: Final = 2  #: directions either side over which a radius is taken
DRAWN_IN: Final = 40  #: turns at most until a loop's lines touch it again


@dataclass(frozen=True, eq=False)
class Dressed:
    """One figure under its skirt; L levels from the waist to the hem (``cut.drops``), D directions as a tape has.

    cut       what the skirt is cut to, mm
    outline   the cloth as seen from every direction, a tape over the dressed figure, mm
    pull      (L,) tension of each hoop, N per metre of height; 0 where the cloth is slack
    pressure  (L,) largest pressure felt on the body at each level, kPa
    squeeze   (L,) share of the foam pressed out at each level
    seams     polar angle of the side seam on the wearer's left and right about the axis; see ``points``
    axis      y of the vertical axis the threads stand round, mm
    even      left and right mirror each other
    """

    cut: CutGirths
    outline: Tape
    pull: Array
    pressure: Array
    squeeze: Array
    seams: tuple[float, float]
    axis: float
    even: bool

    @property
    def drops(self) -> Array:
        """Levels (L,), mm below the waist."""
        return self.outline.drops

    @property
    def girth(self) -> Array:
        """Length of the loop the cloth lies on at each level (L,), mm."""
        return self.outline.girth

    @property
    def ease(self) -> Array:
        """What the cut has over that loop (L,), mm; it hangs in folds."""
        return np.asarray(self.cut.girth - self.girth)

    @property
    def sewn(self) -> Tape:
        """The surface the pieces are cut from: the outline with its ease spread evenly, of girth ``cut.girth``."""
        return Tape(self.drops, self.outline.directions, self.outline.h + self.ease[:, None] / (2 * np.pi))

    def points(self, columns: int = 97, *, sewn: bool = False) -> Array:
        """Points of the surface (2, L, columns, 3): left and right half, centre front → side seam → centre back, mm.

        As a body's outer arcs: the halves share their centre lines (x = 0), column ``(columns - 1) / 2`` is the side
        seam (``columns`` odd). A column is a thread: it keeps its polar angle about the axis from waist to hem.
        ``sewn`` takes the surface the pieces are cut from.
        """
        return points_on(self.sewn if sewn else self.outline, self.axis, self.seams, self.cut.row, columns, self.even)


@dataclass(frozen=True, eq=False)
class DressedPair:
    """The bare figure and the padded one, dressed the same way; either is worked out when first asked for.

    Both raise ``SheetError`` for an impossible hem.
    """

    shell: Shell

    @property
    def figure(self) -> Figure:
        """The figure that is worn: its pads pressed by a shell that the sheet cuts too tight, else loose."""
        return self.shell.worn_figure if self.shell.given else self.shell.figure

    @cached_property
    def before(self) -> Dressed:
        """The bare figure, in a skirt with the same ease and hem."""
        return _bare(self.shell.figure)

    @cached_property
    def after(self) -> Dressed:
        """The padded figure in its shell."""
        shell, figure, bare = self.shell, self.shell.figure, self.before
        if not figure.pads and not shell.given:
            return bare
        cut = shell.cut
        at = np.arange(len(cut.drops))
        pull, pressure, squeeze = (np.zeros(max(len(figure.body.drops), len(at))) for _ in range(3))
        if shell.tight:
            pull[shell.rows] = shell.worn.tension
            pressure[shell.rows] = shell.felt_by_level
            squeeze[shell.rows] = shell.worn.squeeze
        even = bare.even and _twins(figure)
        outline = surface(cut, shell.worn_figure.after, bare.axis, np.flatnonzero(pull[at] > 0), even)
        return Dressed(cut, outline, pull[at], pressure[at], squeeze[at], bare.seams, bare.axis, even)

    @cached_property
    def hips(self) -> tuple[float, float]:
        """Girth over the cloth at the level of the new hip, before and after, mm."""
        row = self.after.cut.row
        return float(self.before.girth[row]), float(self.after.girth[row])

    @cached_property
    def edge(self) -> EdgeTurn:
        """How much the pads' edges show through the cloth."""
        return edge_turn(self.before.outline, self.after.outline, self.shell.figure.measures.hip_drop)


def dress(shell: Shell) -> DressedPair:
    """Both figures under the skirt that the sheet describes."""
    return DressedPair(shell)


def surface(cut: CutGirths, taut: Tape, axis: float = 0.0, tight: Rows | None = None, even: bool = False) -> Tape:
    """The cloth (L levels of ``cut``) over ``taut``: loops as tight as they lie with the foam that is left.

    Threads keep their direction from the vertical axis x = 0, y = ``axis``. Levels ``tight`` (R,) lie as their hoops
    do. ``even``: left and right mirror each other.
    """
    loops, drops, row = carried_to(cut.drops, taut), cut.drops, cut.row
    girth = cut.girth.copy()
    if tight is not None:
        girth[tight] = np.minimum(girth[tight], girth_of(loops[tight]))
    low = along_rays(about(loops, taut.directions, axis), even)
    threads = keep_to_cut(drops, low, np.maximum(girth - girth_of(loops), 0.0), girth, even)
    free = loops + np.maximum(across_rays(threads, even) - across_rays(low, even), 0.0)
    free[row:] = np.maximum.accumulate(free[row:])
    shown = np.concatenate(
        [_as_cut(loops[:row], free[:row], girth[:row]), _falling(loops[row:], free[row:], girth[row:])]
    )
    return Tape(drops, taut.directions, _convex(shown))


def _convex(h: Array) -> Array:
    """Loops (L, D) with every direction's line brought in as far as its neighbours' lines meet.

    Drawing in a sharp corner leaves lines that no longer touch the loop; this makes them touch again.
    """
    share = 0.5 / np.cos(2 * np.pi / h.shape[1])
    h, rows = h.copy(), np.arange(len(h))
    for _ in range(DRAWN_IN):
        some = h[rows]
        meet = (np.roll(some, 1, axis=1) + np.roll(some, -1, axis=1)) * share
        past = (some > meet + FILLS).any(axis=1)
        if not past.any():
            break
        rows = rows[past]
        h[rows] = np.minimum(some[past], meet[past])
    return h


def _falling(loops: Array, free: Array, cut: Array) -> Array:
    """Levels (L, D) from the hip down: each hangs from the one above, out over ``loops``, as far as its cut allows."""
    over = girth_of(free) > cut + FILLS
    if not over.any():
        return free
    hung, first = free.copy(), int(over.argmax())
    lean = _roundness(free[first : first + 1])
    room = _room(loops, cut)
    widest = np.maximum.accumulate(loops[::-1], axis=0)[::-1]  # of each level and all below
    for k in range(first, len(loops)):
        gap = (np.minimum(np.maximum(hung[k - 1], loops[k]), free[k]) if k else free[k]) - loops[k]
        hung[k] = loops[k] + (gap if gap.sum() <= room[k] + FILLS else _let_out(gap[None], lean, room[k : k + 1])[0])
        if (widest[k] <= hung[k]).all() and (free[k:] >= hung[k]).all() and cut[k:].min() >= cut[k]:
            hung[k:] = hung[k]  # plumb from here
            break
    return hung


def _as_cut(loops: Array, wanted: Array, cut: Array) -> Array:
    """Loops (L, D) let out towards ``wanted`` (L, D) as far as girths ``cut`` (L,) allow."""
    gap, room = wanted - loops, _room(loops, cut)
    over = gap.sum(axis=1) > room + FILLS
    if not over.any():
        return wanted
    shown = wanted.copy()
    shown[over] = loops[over] + _let_out(gap[over], _roundness(wanted[over]), room[over])
    return shown


def _room(loops: Array, cut: Array) -> Array:
    """What loops (L, D) can be let out by under girths ``cut`` (L,), summed over directions, mm (L,)."""
    return np.asarray(np.maximum(cut - girth_of(loops), 0.0) * (loops.shape[1] / (2 * np.pi)))


def _let_out(gap: Array, lean: Array, room: Array) -> Array:
    """How far loops stand out (L, D) that would by ``gap`` (L, D), in all by no more than ``room`` (L,).

    A hoop too short for what the threads want draws them in with tension over radius: most where it is round, least
    where it is flat (``lean``, (D,)), nowhere past the loop. How far follows in closed form, as a level to which the
    gaps fill.
    """
    order = np.argsort(-gap / lean, axis=1)
    filled = np.cumsum(gap[np.arange(len(gap))[:, None], order], axis=1) - room[:, None]
    inward = (filled / np.cumsum(lean[order], axis=1)).max(axis=1)
    return np.asarray(np.maximum(gap - inward[:, None] * lean, 0.0))


def _roundness(h: Array) -> Array:
    """How round loops (L, D) are in each direction (D,), the same for all of them so that threads stay smooth.

    Mean radius over the radius there, within ``ROUNDNESS``.
    """
    step = 2 * np.pi / h.shape[1]
    radius = (np.roll(h, 1, axis=1) + np.roll(h, -1, axis=1) - 2 * np.cos(step) * h) / (step * np.sin(step))
    about = sum((np.roll(radius, k, axis=1) for k in range(-ABOUT, ABOUT + 1)), np.zeros_like(h)) / (2 * ABOUT + 1)
    lean = np.clip(h.mean(axis=1, keepdims=True) / np.maximum(about, 1e-6), *ROUNDNESS)
    return np.asarray(lean.mean(axis=0))


@lru_cache(maxsize=16)
def _kept(body: object, before: Tape, cloth: Cloth) -> list[Dressed]:
    """Keeps what a bare figure looks like dressed, while only its pads change."""
    return []


def _bare(figure: Figure) -> Dressed:
    kept = _kept(figure.body, figure.before, figure.sheet.cloth)
    if not kept:
        cut = bare_girths(figure)
        # cloth hangs from the furthest front and back above the hip
        back, front = figure.before.outline_from(np.pi / 2)[: cut.row + 1].T
        axis = float(front.max() + back.min()) / 2
        outline = surface(cut, figure.before, axis, even=figure.body.even)
        slack = np.zeros(len(cut.drops))
        hip = figure.body.outer[:, cut.row, figure.body.seam]
        left, right = (float(np.arctan2(y - axis, side * x)) for side, (x, y, _) in zip((1, -1), hip, strict=True))
        kept.append(Dressed(cut, outline, slack, slack, slack, (left, right), axis, figure.body.even))
    return kept[0]


def _twins(figure: Figure) -> bool:
    """Whether every pad has its mirror image."""
    return all(is_mirrored(pad, figure.pads) for pad in figure.pads)
