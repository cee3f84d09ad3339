"""The maker's own habit: what her fittings of several clients say together about her foam and her tape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.asked.faults import SheetError
from silhouette.asked.fittings import Fitting
from silhouette.asked.sheet import Sheet
from silhouette.shape.figure import figure_like
from silhouette.shape.known_body import hip_of

#: Before anything is known: foam within 8 % of what it is sold as (1/16 in on 3/4 in, PFA Joint Industry Foam
#: Standards §10), a tape within 3 mm of true, and 6 mm of one fitting that is neither (this tool's convention).
FOAM_SPREAD: Final = 0.08
TAPE_SPREAD: Final = 3.0
FITTING_SPREAD: Final = 6.0
FEWEST: Final = 3  #: clients before anything is said (this tool's convention)
SURE: Final = 2.0  #: spreads away from nothing before a habit is offered (this tool's convention)


@dataclass(frozen=True)
class Habit:
    """What is common to the fittings of ``clients``: ``foam`` is the share by which it comes out thicker than sold,
    ``tape`` the mm that the tape reads more beside; each with its spread (one standard deviation) and how the two
    go together (``joint``, a covariance)."""

    clients: int
    foam: float
    foam_spread: float
    tape: float
    tape_spread: float
    joint: float

    @property
    def foam_counts(self) -> bool:
        return abs(self.foam) > SURE * self.foam_spread

    @property
    def tape_counts(self) -> bool:
        return abs(self.tape) > SURE * self.tape_spread

    def measured(self, sheet: Sheet) -> float:
        """Foam to expect where this sheet asks for its nominal thickness, mm."""
        return sheet.pads.thickness * (1 + self.foam)

    def shift(self, sheet: Sheet) -> tuple[float, float]:
        """What to expect of a reading on this sheet beside the prediction for foam as sold, mm, and its spread."""
        figure = figure_like(sheet)
        added = figure.added * _sold_over_taken(sheet, max((p.foam for p in figure.pads), default=1.0))
        spread = (added * self.foam_spread) ** 2 + self.tape_spread**2 + 2 * added * self.joint
        return added * self.foam + self.tape, float(np.sqrt(max(spread, 0.0)))

    def shift_counts(self, sheet: Sheet) -> bool:
        shift, spread = self.shift(sheet)
        return abs(shift) > SURE * spread


def habit_of(clients: Sequence[tuple[Sheet, Sequence[Fitting]]]) -> Habit | None:
    """The habit behind the latest fitting of each client; None where fewer than ``FEWEST`` can teach it.

    Every reading is what the body and the foam as sold would give, plus a share of what the foam adds, plus what the
    tape reads beside, plus what is of that fitting alone: a linear model with normal priors, solved exactly. A shell
    that holds the foam down says nothing of either, so such readings are left out.
    """
    known = [one for sheet, fittings in clients if (one := _lesson(sheet, fittings)) is not None]
    if len(known) < FEWEST:
        return None
    added, beside = (np.array(column) for column in zip(*known, strict=True))
    design = np.stack([added, np.ones_like(added)], axis=1)
    prior = np.diag([FOAM_SPREAD**-2, TAPE_SPREAD**-2])
    spread = np.linalg.inv(prior + design.T @ design / FITTING_SPREAD**2)
    foam, tape = spread @ (design.T @ beside) / FITTING_SPREAD**2
    return Habit(
        len(known),
        float(foam),
        float(np.sqrt(spread[0, 0])),
        float(tape),
        float(np.sqrt(spread[1, 1])),
        float(spread[0, 1]),
    )


def _lesson(sheet: Sheet, fittings: Sequence[Fitting]) -> tuple[float, float] | None:
    """What foam as sold would have added, and what the tape read beside that, at a client's latest loose fitting."""
    try:
        hip = hip_of(sheet)
    except SheetError:  # its scan is gone
        return None
    loose = [f for f in fittings if f.level == "hip" and (f.over == "pads" or _hangs(f)) and f.predicted > hip]
    if not loose:
        return None
    last = max(loose, key=lambda fitting: fitting.date)
    added = (last.predicted - hip) * _sold_over_taken(sheet, last.foam)
    return added, last.girth - hip - added


def _hangs(fitting: Fitting) -> bool:
    """Whether the shell hung over the pads rather than held them down; one not given was judged loose."""
    return fitting.shell_hip is None or fitting.shell_hip >= fitting.predicted + 1.0


def _sold_over_taken(sheet: Sheet, taken: float) -> float:
    """Foam as sold over the foam that was taken, where a measured sheet of foam was; 1 for a side's own foam."""
    sides = {sheet.pads_on(side).thickness for side in ("left", "right")}
    return sheet.pads.thickness / taken if sides == {sheet.pads.thickness} and taken > 0 else 1.0
