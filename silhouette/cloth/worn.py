"""What is worn: pads under a shell cut to a given girth at every level.

Each level is a loop of points on the body with an outward direction and the thickness of foam that lies loose
there (``Strips``). The shell is a loop of cloth of known girth. Looser than the tape over the pads, it only hangs;
tighter, it squeezes the foam until the two balance. Levels are taken as independent hoops.

Not in the model: flesh that yields, friction, sag of the shell between levels, foam that tires in wear.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from silhouette.cloth.chain import Strips
from silhouette.cloth.foam_curve import Law
from silhouette.cloth.taut import SLACK_TENSION, TEAR_TENSION, Rest, rest
from silhouette.shape.curves import Array

FELT_OVER = 20.0  # mm; pressure is averaged over this much of the girth, about the width of a fingertip or sensor
#: N/m; pull of a shell that lies on snugly: ½ to 4 % of the foam at the hip, by its grade, and felt well below the
#: comfort limit of 4.67 kPa (this tool's convention)
SNUG_PULL = 100.0


@dataclass(frozen=True)
class Worn:
    """The figure under its shell; one row per level, one column per point of ``Strips``.

    ``tension`` (L,) N/m is what a seam carries per metre of its height; ``thickness`` (L, P) mm is the foam left;
    ``girth`` (L,) mm is what a tape reads over the shell; ``pressure`` (L, P) kPa on the body; ``squeeze`` (L,) the
    share of the foam's volume pressed out; ``closes`` (L,) is false where no cloth would close at this girth.
    """

    tension: Array
    thickness: Array
    girth: Array
    pressure: Array
    squeeze: Array
    closes: NDArray[np.bool_]


def under_shell(strips: Strips, foam: Law, shell: Array, loose: Array, stiffness: float = np.inf) -> Worn:
    """The worn figure for a shell of ``shell`` (L,) mm, given the tape girth ``loose`` (L,) over loose pads.

    ``stiffness`` in N/m is the tension that would double the cloth's length (infinite: it does not stretch).
    A level whose shell is not tighter than ``loose`` keeps its foam and its girth exactly.
    """
    tight = (shell < loose) & ~strips.firm.all(axis=1)
    worn = _untouched(strips, loose)
    if tight.any():
        rows = np.flatnonzero(tight)
        _fill(worn, rows, strips, rest(strips.take(rows), foam, girth=shell[rows], give=1 / stiffness), loose)
        # Where cloth would tear before it closed, the girth is that of foam pressed flat on the body.
        worn.closes[rows] = worn.tension[rows] < TEAR_TENSION * (1 - 1e-9)
    bare = strips.firm.all(axis=1) & (shell < loose)
    worn.closes[bare] = np.isfinite(stiffness)
    return worn


def lying_on(strips: Strips, foam: Law, loose: Array, pull: float = SNUG_PULL) -> Worn:
    """The worn figure whose shell pulls with ``pull`` N/m round each level.

    Its ``girth`` is the close-fitting girth, before ease. Levels without foam keep the body's girth.
    """
    worn = _untouched(strips, loose)
    rows = np.flatnonzero(~strips.firm.all(axis=1))
    if pull > SLACK_TENSION and len(rows):
        part = strips.take(rows)
        _fill(worn, rows, strips, rest(part, foam, tension=np.full(len(rows), pull)), loose)
    return worn


def energy(strips: Strips, foam: Law, thickness: Array) -> Array:
    """Energy stored in the foam, mJ per metre of height (that is N/m times mm), per level (L,)."""
    strain = np.where(strips.firm, 0.0, 1 - thickness / np.where(strips.firm, 1.0, strips.loose))
    first, second = foam.work(strain)
    stored: Array = (strips.loose * (strips.outer * first - (strips.outer - strips.inner) * second)).sum(axis=1)
    return stored


def felt(strips: Strips, pressure: Array) -> Array:
    """Pressure (L, P) averaged along the girth over ``FELT_OVER`` mm."""
    reach = max(0, round(FELT_OVER / max(float(strips.inner.mean()), 1e-6) / 2))
    force, width = pressure * strips.inner, strips.inner
    shifts = range(-reach, reach + 1)
    total: Array = sum((np.roll(force, k, axis=1) for k in shifts), np.zeros_like(force))
    return total / sum((np.roll(width, k, axis=1) for k in shifts), np.zeros_like(width))


def _untouched(strips: Strips, loose: Array) -> Worn:
    levels = len(loose)
    return Worn(
        np.zeros(levels),
        strips.loose.copy(),
        loose.astype(float),
        np.zeros_like(strips.loose),
        np.zeros(levels),
        np.ones(levels, dtype=bool),
    )


def _fill(worn: Worn, rows: NDArray[np.intp], strips: Strips, found: Rest, loose: Array) -> None:
    part = strips.take(rows)
    touched = found.tension > SLACK_TENSION * (1 + 1e-9)
    left = np.where(part.firm, part.loose, np.clip(found.s, 0.0, part.loose))
    pressing = (found.s < part.loose) | part.firm
    force = np.maximum(found.corner, 0) * pressing * found.tension[:, None]
    share = 1 - (left * part.inner).sum(1) / np.maximum((part.loose * part.inner).sum(1), 1e-12)
    keep = rows[touched]
    worn.tension[keep] = found.tension[touched]
    worn.thickness[keep] = left[touched]
    worn.girth[keep] = np.minimum(found.length, loose[rows])[touched]
    worn.pressure[keep] = (force / part.inner)[touched]
    worn.squeeze[keep] = np.clip(share, 0, 1)[touched]
