"""How much a pad's edge shows: the turn that the pads put into the cloth, and the body did not.

Turning of the outline is read over ``WINDOW`` mm, and a turn counts as far as it stands by itself: less the mean of
the turns in the two neighbouring windows, so that a body's even roundness is none. Of all directions round the figure
95 % turn no more than the measure; the same measure of the bare figure, dressed the same way, is taken off. It is
close to atan(foam / bevel width). No threshold for a pad's edge is published; the window and what is made of the
measure are this tool's convention.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.shape.curves import Array, between
from silhouette.shape.tape import Tape

WINDOW: Final = 30.0  #: mm down the figure
STEP: Final = 3.0  #: mm between places looked at
ROUND: Final = 0.95  #: share of the figure's directions that turn no more than the measure


@dataclass(frozen=True)
class EdgeTurn:
    """``degrees`` that the cloth turns at pads' edges, where (mm below the waist), and against which direction."""

    degrees: float
    drop: float
    angle: float


def edge_turn(before: Tape, after: Tape, hip: float) -> EdgeTurn:
    """The turn that the pads add above the hip, which is at the drop ``hip`` mm.

    Only places are looked at whose three windows lie above the hip: there cloth turns plumb over any body.
    """
    places, bare = isolated_turn(before)
    dressed = isolated_turn(after)[1]
    above = places <= hip - 1.5 * WINDOW
    if not above.any():
        return EdgeTurn(0.0, 0.0, 0.0)
    own = _usual(np.maximum(bare[above], 0.0).max(axis=0))[1]
    sharpest = dressed[above].max(axis=0)
    column, turn = _usual(sharpest)
    row = int(dressed[above][:, column].argmax())
    degrees = float(np.degrees(max(turn - own, 0.0)))
    return EdgeTurn(degrees, float(places[above][row]), float(after.directions[column]))


def _usual(sharpest: Array) -> tuple[int, float]:
    """The direction, and its turn, that ``ROUND`` of all directions (D,) do not exceed."""
    column = int(np.argsort(sharpest)[int(ROUND * (len(sharpest) - 1))])
    return column, float(sharpest[column])


def isolated_turn(tape: Tape) -> tuple[Array, Array]:
    """Places (N,), mm below the waist, and how far each direction's outline turns there by itself (N, D), radians.

    Convex turns are positive. Above the waist and below the hem outlines are taken to run on straight.
    """
    drops = tape.drops
    middle = (drops[1:] + drops[:-1]) / 2
    slope = np.arctan(np.diff(tape.h, axis=0) / np.diff(drops)[:, None])
    half = round(WINDOW / STEP / 2)
    margin = 3 * half
    places = np.arange(0.0, drops[-1], STEP)
    fine = np.arange(-margin, len(places) + margin) * STEP
    at, share = between(middle, np.asarray(fine, dtype=np.float64))
    share = np.clip(share, 0.0, 1.0)[:, None]
    slope = slope[at] * (1 - share) + slope[at + 1] * share
    turn = slope[: -2 * half] - slope[2 * half :]
    beside = (turn[: -4 * half] + turn[4 * half :]) / 2
    return places, np.asarray(turn[2 * half : -2 * half] - beside)
