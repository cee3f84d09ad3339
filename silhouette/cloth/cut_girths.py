"""What a skirt is cut to at every level from the waist seam to the hem: one answer for picture, checks and paper.

Down to its fullest level a garment is graded like the figure it covers. Below, a woven one cannot follow the
legs: it hangs plumb (straight), or comes in to the knee (pegged); only stretch cloth goes with them (close).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import format_length, in_unit
from silhouette.asked.sheet import Sheet
from silhouette.asked.supplies import Below, Cloth
from silhouette.shape.curves import Array
from silhouette.shape.dimensions import Measures
from silhouette.shape.figure import Figure
from silhouette.shape.tape import Tape

STEP: Final = 25.0  #: mm between levels below the knee, where no body is
PEG: Final = 25.4  #: mm off the back panel at each side seam of a pegged skirt (common practice, no source)


@dataclass(frozen=True, eq=False)
class CutGirths:
    """Girths without seam allowance, mm: ``drops`` (L,) from the waist to the hem, ``girth`` (L,).

    ``row`` is the level of the hip, from which ``below`` holds. Down to the knee or the hem, whichever is higher,
    the first levels are the body's own.
    """

    drops: Array
    girth: Array
    row: int
    below: Below

    @property
    def hem_drop(self) -> float:
        return float(self.drops[-1])

    @property
    def hip(self) -> float:
        """Girth at the level of the hip, mm."""
        return float(self.girth[self.row])

    def at(self, drop: float) -> float:
        """Girth at any drop down to the hem, between levels by straight lines."""
        return float(np.interp(drop, self.drops, self.girth))


def shell_girths(figure: Figure, hip: float) -> CutGirths:
    """The shell over the padded figure, ``hip`` mm at the level of the new hip."""
    return cut_girths(figure.before, figure.after, figure.sheet, figure.measures, figure.new_hip_row, hip)


def bare_girths(figure: Figure) -> CutGirths:
    """The same skirt over the bare figure: the shell's ease and hem, no pads."""
    return _over_body(figure, figure.sheet.cloth.ease)


def lining_girths(figure: Figure) -> CutGirths:
    """The lining: over the body, with an ease of its own."""
    return _over_body(figure, figure.sheet.cloth.lining_ease)


def _over_body(figure: Figure, ease: float) -> CutGirths:
    body, zone = figure.before, figure.hip_zone
    row = int(zone.start + np.argmax(body.girth[zone]))
    hip = float(body.girth[row]) + ease
    return cut_girths(body, body, figure.sheet, figure.measures, row, hip, ease)


def cut_girths(
    body: Tape, over: Tape, sheet: Sheet, measures: Measures, row: int, hip: float, ease: float | None = None
) -> CutGirths:
    """What a skirt over the tape ``over`` is cut to, ``hip`` mm at level ``row``; ``body`` is the bare tape.

    Away from the pads it has ``ease`` (the sheet's, when left out) over the body; as far as the pads add girth it
    runs over to what is cut at the hip. Raises ``SheetError`` when the hem would lie above the thighs.
    """
    cloth = sheet.cloth
    ease = cloth.ease if ease is None else ease
    loose, added = over.girth, over.girth - body.girth
    if added[row] < 1e-9:
        girth = loose + (hip - loose[row])
    else:
        share = np.clip(added / added[row], 0.0, 1.0)
        girth = loose + ease * (1 - share) + (hip - loose[row]) * share
    drops = levels_to_hem(sheet, measures, body.drops)
    graded = np.interp(drops, body.drops, girth)  # flat below the knee
    below = _below(cloth)
    if below != "close":
        graded[row:] = np.maximum.accumulate(graded[row:])
    if below == "pegged":
        graded[row:] -= _pegged(cloth, measures, drops[row:])
        room = np.interp(drops[row:], body.drops, loose) + min(ease, hip - float(loose[row]))
        graded[row:] = np.maximum(graded[row:], room)  # both legs go through it
    return CutGirths(drops, graded, row, below)


def levels_to_hem(sheet: Sheet, measures: Measures, drops: Array) -> Array:
    """The body's levels (L,), cut off at the hem or carried on to it below the knee."""
    hem = sheet.cloth.hem if sheet.cloth.hem is not None else float(drops[-1])
    if hem < measures.under_seat_drop + STEP:
        least = format_length(measures.under_seat_drop + STEP, sheet.unit)
        raise SheetError(
            [Fault(f"cloth.hem = {in_unit(hem, sheet.unit):.6g} {sheet.unit}", f"must lie at least {least} down")]
        )
    kept = drops[drops < hem - 1e-6]
    if hem <= drops[-1] + 1e-6:
        return np.append(kept, hem)
    steps = int(np.ceil((hem - drops[-1]) / STEP))
    return np.concatenate([kept, np.linspace(drops[-1], hem, steps + 1)[1:]])


def carried_to(drops: Array, tape: Tape) -> Array:
    """A tape's support function (L', D) at ``drops`` (L',) to the hem: what is at the knee stays below it."""
    levels = tape.drops
    shared = int(np.searchsorted(drops, levels[-1] + 1e-9, side="right"))
    known = min(shared, len(levels))
    h = np.empty((len(drops), tape.h.shape[1]))
    h[:known] = tape.h[:known]
    if drops[known - 1] != levels[known - 1]:  # the hem lies between two levels
        h[known - 1] = tape.at(float(drops[known - 1]))
    h[known:] = tape.h[-1]
    return h


def _below(cloth: Cloth) -> Below:
    """Straight cloth with a nip at the knee is pegged."""
    return "pegged" if cloth.below == "straight" and cloth.nip > 0 else cloth.below


def _pegged(cloth: Cloth, measures: Measures, drops: Array) -> Array:
    """What is taken in (L,), in all: nothing at the first of the levels, the whole from the knee down."""
    nip = cloth.nip if cloth.nip > 0 else PEG
    return np.asarray(2 * nip * np.clip((drops - drops[0]) / (measures.knee_drop - drops[0]), 0.0, 1.0))
