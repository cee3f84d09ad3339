"""Foam: the curve along which it gives way, through a grade's stress or a kitchen-scale test.

Stress is in kPa, strain is the share of the loose thickness that is pressed out (0 to below 1), density in kg/m³.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from silhouette.asked.materials import Grade, read_grade
from silhouette.asked.supplies import Foam as FoamAsked
from silhouette.shape.curves import Array

GRAVITY = 9.80665  # m/s², standard value (3rd CGPM, 1901)
TEST_STRAIN = 0.4  # the firmness test reads the stress at 40 % compression (ISO 3386-1, ASTM D3574 test C)
FIRMNESS_SPREAD = 0.15  # supplier sheets allow ±15 % on the stress from batch to batch (seen)
SOLID_DENSITY = 1200.0  # kg/m³ of polyurethane without holes; from memory (Gibson & Ashby, Cellular Solids)
PLAIN_DENSITY = 35.0  # kg/m³ taken when only a firmness or a scale test is known

# Shape of the curve, from memory of Gibson & Ashby: about 0.8 of the 40 % stress by 10 %, nearly flat to
# 50 %, dense beyond 60 %. Supplier sheets describe the flat stretch as 10 to 55 % (seen); stress at 65 % over
# that at 25 % comes out at 1.6, inside the 1.0 to 3.5 that suppliers quote (seen).
RISE = 0.12
SLOPE = 0.10
CROWD = 0.08


class Law(Protocol):
    """What the worn solver asks of a foam: stress and slope, and the two integrals that make energy exact."""

    @property
    def lock(self) -> float:
        """Strain that no stress reaches."""

    def stress(self, strain: Array) -> tuple[Array, Array]:
        """Stress in kPa and its derivative, at strains of any shape, 0 ≤ strain < lock."""

    def work(self, strain: Array) -> tuple[Array, Array]:
        """∫ stress de and ∫ e·stress de from 0 to the strain, in kPa."""


@dataclass(frozen=True)
class Foam:
    """Foam whose curve passes exactly through one measured pair (``strain``, ``stress`` in kPa).

    The curve rises strictly from zero and grows without bound at ``lock``, so thickness never reaches zero.
    """

    strain_known: float
    stress_known: float
    density: float = PLAIN_DENSITY

    def __post_init__(self) -> None:
        if not self.stress_known > 0 or not np.isfinite(self.stress_known):
            raise ValueError("foam firmness must be above zero")
        if not 0 < self.density < SOLID_DENSITY / 3:
            raise ValueError(f"foam density must be between 0 and {SOLID_DENSITY / 3:.0f} kg/m³")
        if not 0 < self.strain_known < self.lock:
            raise ValueError(f"the sample must be squeezed by more than 0 and less than {self.lock:.0%}")

    @property
    def lock(self) -> float:
        """Strain at which cell walls fill the space: 1 − 1.4·relative density, Gibson & Ashby (memory).

        >>> round(Foam(0.4, 5.0, 35.0).lock, 4)
        0.9592
        """
        return 1 - 1.4 * self.density / SOLID_DENSITY

    @cached_property
    def _scale(self) -> float:
        return self.stress_known / float(_shape(np.asarray(self.strain_known), self.lock)[0])

    @property
    def firmness(self) -> float:
        """Stress at 40 % compression, kPa.

        >>> round(Foam(0.4, 5.0).firmness, 9)
        5.0
        """
        return float(self.stress(np.asarray(TEST_STRAIN))[0])

    def stress(self, strain: Array) -> tuple[Array, Array]:
        """Stress (kPa) and d stress / d strain (kPa), arrays of the strain's shape."""
        value, slope = _shape(strain, self.lock)
        scale = self._scale
        return scale * value, scale * slope

    def work(self, strain: Array) -> tuple[Array, Array]:
        """∫ stress de and ∫ e·stress de (kPa), exact."""
        e, lock, scale = strain, self.lock, self._scale
        q, room = 1 / (1 + e / RISE), 1 - e / lock
        first = e - RISE * (1 - q**3) / 3 + SLOPE * e**2 / 2 + CROWD * (lock * (1 / room - 1) - e)
        second = (
            e**2 / 2
            - RISE**2 * ((1 - q**2) / 2 - (1 - q**3) / 3)
            + SLOPE * e**3 / 3
            + CROWD * (lock**2 * (1 / room - 1 + np.log(room)) - e**2 / 2)
        )
        return scale * first, scale * second

    def strain(self, stress: Array) -> Array:
        """The strain at which the foam carries a stress (kPa), by bisection; array of the stress's shape."""
        low, high = np.zeros_like(stress, dtype=float), np.full_like(stress, self.lock, dtype=float)
        for _ in range(45):
            middle = (low + high) / 2
            short = self.stress(np.minimum(middle, self.lock * (1 - 1e-12)))[0] < stress
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        found: Array = (low + high) / 2
        return found


def _shape(e: Array, lock: float) -> tuple[Array, Array]:
    """The common curve and its slope, both strictly positive for 0 < e < lock.

    Powers only: a rise that fades with the fourth power, a gentle slope, and a pole of second order at the lock.
    """
    q = 1 / (1 + e * (1 / RISE))
    room = 1 / (1 - e * (1 / lock))
    fade, square = q * q, room * room
    fade *= fade
    value = SLOPE * e + CROWD * square
    value += (1 - CROWD) - fade
    slope = (4 / RISE) * (fade * q) + (2 * CROWD / lock) * (square * room)
    slope += SLOPE
    return value, slope


def from_grade(grade: Grade) -> Foam:
    """The curve of a tabled grade."""
    return Foam(TEST_STRAIN, grade.firmness, grade.density)


def from_scale(weight: float, area: float, loose: float, pressed: float, density: float = PLAIN_DENSITY) -> Foam:
    """The curve through a kitchen-scale test.

    ``weight`` in kg pressing evenly on ``area`` in mm² squeezes a sample from ``loose`` to ``pressed`` mm.

    >>> round(from_scale(5.1, 100 * 100, 25.0, 15.0).firmness, 2)  # 5.1 kg on 10 × 10 cm is 5.0 kPa; 40 %
    5.0
    """
    if not (weight > 0 and area > 0 and loose > 0):
        raise ValueError("a scale test needs a weight, an area and a thickness above zero")
    if not 0 < pressed < loose:
        raise ValueError("the pressed thickness must be less than the loose thickness and above zero")
    return Foam(1 - pressed / loose, weight * GRAVITY / area * 1000, density)


ASSUMED = "medium"  # what is taken when a sheet says nothing of its foam


def foam_of_sheet(given: FoamAsked) -> tuple[Foam, str]:
    """The curve for a sheet's ``[foam]``, and in a few words where it came from.

    A firmness comes first, then a scale test, then a grade; without any of them medium foam is assumed.
    """
    density = read_grade(given.grade).density if given.grade else PLAIN_DENSITY
    if given.firmness is not None:
        return Foam(TEST_STRAIN, given.firmness, density), f"{given.firmness:.1f} kPa at 40 %"
    if given.sample_weight is not None and given.sample_loose is not None and given.sample_pressed is not None:
        side = given.sample_side
        curve = from_scale(given.sample_weight / 1000, side * side, given.sample_loose, given.sample_pressed, density)
        return curve, f"scale test, {curve.firmness:.1f} kPa at 40 %"
    grade = read_grade(given.grade or ASSUMED)
    words = f"grade {grade.code}, {grade.firmness:.1f} kPa at 40 % ± {FIRMNESS_SPREAD:.0%}"
    return from_grade(grade), words if given.grade else f"firmness not given: {ASSUMED} foam assumed ({words})"
