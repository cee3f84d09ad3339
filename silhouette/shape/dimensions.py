"""A complete set of measurements: what every body is built from."""

from __future__ import annotations

from dataclasses import dataclass

from silhouette.asked.body_sources import OutlineLevel
from silhouette.asked.figure import Shape


@dataclass(frozen=True)
class Half:
    """One side of an uneven figure, mm: half girths from centre front to centre back over that side, its thigh, and
    where its hip line lies."""

    waist: float
    high_hip: float
    hip: float
    thigh: float
    hip_drop: float


@dataclass(frozen=True)
class Measures:
    """A complete set of measurements, mm. ``measured`` names those that were not estimated."""

    waist: float
    high_hip: float
    hip: float
    thigh: float  #: one leg; of an uneven figure the mean of both
    knee: float
    high_hip_drop: float
    hip_drop: float
    crotch_drop: float
    under_seat_drop: float
    knee_drop: float
    waist_ratio: float  #: depth / breadth at the navel
    hip_ratio: float
    measured: frozenset[str]
    own_waist_ratio: float | None = None  #: depth / breadth at the waist itself, where her widths tell it
    shape: Shape = Shape()
    halves: tuple[Half, Half] | None = None  #: left and right, where they differ
    outline: tuple[OutlineLevel, ...] | None = None  #: as traced, top to bottom

    @property
    def drops(self) -> tuple[float, ...]:
        """Waist, high hip, hip, crotch, under the seat, knee; ascending, mm."""
        return (0.0, self.high_hip_drop, self.hip_drop, self.crotch_drop, self.under_seat_drop, self.knee_drop)

    @property
    def even(self) -> bool:
        """Whether left and right are mirror images."""
        return self.halves is None
