"""Body, pads and both tapes together, and the readings a fitter asks for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial
from typing import Any, Final

import numpy as np

from silhouette.asked.sheet import SIDES, Sheet, Side
from silhouette.shape.body import Body
from silhouette.shape.cuts import rows_near
from silhouette.shape.dimensions import Measures
from silhouette.shape.known_body import body_of, check_girths_found
from silhouette.shape.measures import HERS
from silhouette.shape.pads import Pad, crosses_itself, foam_thickness, is_mirrored, lay_pads
from silhouette.shape.refoamed import with_foam
from silhouette.shape.tape import Tape, leg_girth, tape_over

#: Foam sheets of ½ in to 1 in and over may be this much thicker or thinner than sold (PFA Joint Industry
#: Foam Standards §10: ± 1/16 in).
SHEET_TOLERANCE: Final = 1.6
NEAR: Final = 25.0  #: mm; foam that much thicker or thinner moves by far less up or down


@dataclass(frozen=True)
class LevelReading:
    """A tape reading at a named level, mm. ``measured`` is False where the body's own girth was estimated."""

    level: str
    drop: float
    before: float
    after: float
    measured: bool

    @property
    def added(self) -> float:
        return self.after - self.before


@dataclass(frozen=True, eq=False)
class Figure:
    """A body with pads on it; ``before`` and ``after`` are the tapes over the body and over both."""

    sheet: Sheet
    body: Body
    pads: tuple[Pad, ...]
    before: Tape
    after: Tape

    @property
    def measures(self) -> Measures:
        return self.body.measures

    @cached_property
    def hip_zone(self) -> slice:
        """Levels in which the largest tape reading counts as the hip: half-way from the high hip to under the seat."""
        m = self.measures
        low, high = (m.high_hip_drop + m.hip_drop) / 2, m.under_seat_drop
        drops = self.body.drops
        return slice(int(np.searchsorted(drops, low)), int(np.searchsorted(drops, high, side="right")))

    @cached_property
    def new_hip_row(self) -> int:
        """Level of the largest reading over the pads in the hip zone; the hip line itself on a tie."""
        girths = self.after.girth[self.hip_zone]
        rows = np.flatnonzero(girths >= girths.max() - 1e-6)
        drops = self.body.drops[self.hip_zone][rows]
        return int(self.hip_zone.start + rows[np.argmin(np.abs(drops - self.measures.hip_drop))])

    @property
    def new_hip_girth(self) -> float:
        return float(self.after.girth[self.new_hip_row])

    @property
    def new_hip_drop(self) -> float:
        return float(self.body.drops[self.new_hip_row])

    @property
    def body_girth_at_new_hip(self) -> float:
        """Tape reading over the bare body at the level of the new hip girth, mm."""
        return float(self.before.girth[self.new_hip_row])

    @property
    def added(self) -> float:
        """What the pads add to the girth at the level of the new hip, mm."""
        return self.new_hip_girth - self.body_girth_at_new_hip

    @property
    def pads_at_hip(self) -> tuple[Pad, ...]:
        """The pads, slab by slab, that lie over the hip line."""
        hip = self.measures.hip_drop
        return tuple(pad for pad in self.pads if pad.outline[0, 1] < hip < pad.outline[-1, 1])

    @property
    def rule_of_thumb(self) -> float:
        """Hip plus one thickness for every pad round the body at the hip line (common practice, no source), mm."""
        return self.measures.hip + sum(pad.foam for pad in self.pads_at_hip)

    @cached_property
    def sheet_tolerance(self) -> float:
        """± that the thickness tolerance of foam sheets alone puts on the new hip girth, mm."""
        if not self.pads:
            return 0.0
        row = slice(self.new_hip_row, self.new_hip_row + 1)
        bare = Tape(self.body.drops[row], self.before.directions, self.before.h[row])
        ends = []
        near = tuple(rows_near(pad, self.new_hip_drop, NEAR) for pad in self.pads)
        for change in (-SHEET_TOLERANCE, SHEET_TOLERANCE):
            pads = with_foam(near, partial(_changed, change))
            ends.append(float(tape_over(bare, pads).girth[0]))
        return (ends[1] - ends[0]) / 2

    @cached_property
    def levels(self) -> tuple[LevelReading, ...]:
        """The named levels, top to bottom. ``thigh`` and ``knee`` are round one leg."""
        m = self.measures
        built = []
        for level, drop in (("waist", 0.0), ("high_hip", m.high_hip_drop), ("hip", m.hip_drop)):
            sure = f"girths.{level}" in m.measured
            built.append(LevelReading(level, drop, self.before.girth_at(drop), self.after.girth_at(drop), sure))
        drop = m.under_seat_drop
        built.append(LevelReading("under_seat", drop, self.before.girth_at(drop), self.after.girth_at(drop), False))
        for level, drop in (("thigh", m.under_seat_drop), ("knee", m.knee_drop)):
            bare, over = self._fuller_leg(drop)
            built.append(LevelReading(level, drop, bare, over, f"girths.{level}" in m.measured))
        return tuple(built)

    def _fuller_leg(self, drop: float) -> tuple[float, float]:
        """Girth of the leg that is fuller with its pads, bare and over them."""
        on_leg = [p for p in self.pads if -float(p.outer[..., 2].min()) > drop]  # most pads end above the leg
        bare = {side: _bare_leg(self.body, drop, "left" if self.body.even else side) for side in SIDES}
        over = dict(bare)
        if self.body.even and all(is_mirrored(p, on_leg) for p in on_leg):
            on_leg = [p for p in on_leg if p.side == "left"]  # the other leg is the same
        for side in {p.side for p in on_leg}:
            over[side] = max(bare[side], leg_girth(self.body, drop, on_leg, side=side))
        fuller = max(over, key=lambda side: over[side])
        return bare[fuller], over[fuller]


def _changed(change: float, pad: Pad) -> float:
    return max(pad.foam + change, 0.1)


def figure_of(sheet: Sheet) -> Figure:
    """Build the body of a sheet, lay the pads on it and put both tapes round. Raises ``SheetError``."""
    body, before = body_of(sheet)
    check_girths_found(sheet, body.measures)
    pads = lay_pads(sheet, body)
    return Figure(sheet, body, pads, before, tape_over(before, pads))


def figure_like(sheet: Sheet, like: Figure | None = None) -> Figure:
    """The figure of a sheet, borrowing from ``like`` whatever the change leaves as it was: body, drafted pads, tape."""
    if like is None:
        return figure_of(sheet)
    old = like.sheet
    if any(getattr(old, part) != getattr(sheet, part) for part in HERS) or old.client.size != sheet.client.size:
        return figure_of(sheet)
    if sheet.body.scan and body_of(sheet)[0] is not like.body:  # the file has changed
        return figure_of(sheet)
    check_girths_found(sheet, like.measures)
    if _drafts(old) != _drafts(sheet) or sheet.more_pads or any(pad.layers > 1 for pad in like.pads):
        pads = lay_pads(sheet, like.body)
    else:
        pads = with_foam(like.pads, {side: foam_thickness(sheet, sheet.pads_on(side)) for side in SIDES})
        if pads and (any(pad.evened for pad in pads) or any(map(crosses_itself, pads))):
            pads = lay_pads(sheet, like.body)
    if all(pad is other for pad, other in zip(pads, like.pads, strict=False)) and len(pads) == len(like.pads):
        return Figure(sheet, like.body, like.pads, like.before, like.after)
    return Figure(sheet, like.body, pads, like.before, tape_over(like.before, pads))


def _drafts(sheet: Sheet) -> tuple[Any, ...]:
    """What the drafting of the pads depends on; foam only raises them. Twins stay twins, others stay apart."""
    left, right = (replace(sheet.pads_on(side), thickness=1.0) for side in SIDES)
    return left, right, sheet.pads_on("left") == sheet.pads_on("right"), sheet.more_pads


@lru_cache(maxsize=64)
def _bare_leg(body: Body, drop: float, side: Side) -> float:
    """Girth of one bare leg, kept while only the pads change."""
    return leg_girth(body, drop, side=side)
