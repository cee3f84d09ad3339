"""The JSON contract, whole and in one place: what ``--json``, ``report.json`` and the page send.

Lengths in mm, angles in radians from the wearer's left (π/2 is the front) unless a key says otherwise. Keys may be
added under one ``VERSION``; a key that changes its meaning or goes takes the next one.
"""

from __future__ import annotations

from typing import Any, Final, NotRequired, TypedDict

from silhouette.judged.finding import Severity
from silhouette.shown.rests_on import Ground

VERSION: Final = 2

Pairs = list[list[float]]  #: one pair of extents a level


class Reading(TypedDict):
    """A tape reading at a named level. ``thigh`` and ``knee`` are round one leg."""

    level: str
    drop_mm: float
    before_mm: float
    after_mm: float
    added_mm: float
    measured: bool
    worn_mm: NotRequired[float]


class Curve(TypedDict):
    """Tape readings at every level; below the crotch round both legs."""

    drop_mm: list[float]
    before_mm: list[float]
    after_mm: list[float]
    worn_mm: NotRequired[list[float]]
    shell_mm: NotRequired[list[float]]


class View(TypedDict):
    """Extents seen from one side: [right, left] from the front, [back, front] from the side."""

    before: Pairs
    after: Pairs
    worn: NotRequired[Pairs]


class Silhouettes(TypedDict):
    drop_mm: list[float]
    front: View
    side: View


class PlainFinding(TypedDict):
    check: str
    severity: Severity
    measured: float
    limit: float
    unit: str
    message: str
    advice: str
    basis: str
    drop_mm: float | None
    angle: float | None
    changes: dict[str, Any]


class PlainSolid(TypedDict):
    name: str
    watertight: bool
    volume_mm3: float
    triangles: int


class PlainFitting(TypedDict):
    date: str
    level: str
    over: str
    girth_mm: float
    predicted_mm: float
    would_explain: dict[str, float] | None


class PlainShell(TypedDict):
    given: bool
    hip_mm: float
    recommended_hip_mm: float
    snug_hip_mm: float
    ease_mm: float
    squeezes: bool
    closes: bool
    squeeze: float
    squeeze_at_hip: float
    tension_N_per_m: float
    pressure_kPa: float
    pressure_drop_mm: float
    pressure_angle: float
    foam: dict[str, Any]
    cloth_stiffness_N_per_m: float | None


class DressedCurve(TypedDict):
    """Girths from the waist to the hem: what the shell is cut to, and over the cloth, bare and padded."""

    drop_mm: list[float]
    cut_mm: list[float]
    before_mm: list[float]
    after_mm: list[float]


class PlainDressed(TypedDict):
    """The bare and the padded figure under the same skirt."""

    below: str
    hem_drop_mm: float
    curve: DressedCurve
    front: View
    side: View
    edge_turn_deg: float
    snug_hip_mm: float
    cut_hip_mm: float


class Report(TypedDict):
    """What ``preview --json`` prints."""

    version: int
    client: str
    new_hip_girth_mm: float
    new_hip_drop_mm: float
    new_hip_tolerance_mm: float
    added_mm: float
    rule_of_thumb_mm: float
    girths: list[Reading]
    estimated: list[str]
    rests_on: Ground
    curve: Curve
    silhouette: Silhouettes
    findings: list[PlainFinding]
    verdict: Severity
    solids: list[PlainSolid]
    notes: list[str]
    cautions: list[str]
    fitted: list[PlainFitting]
    dressed: PlainDressed
    worn_hip_girth_mm: NotRequired[float]
    shell: NotRequired[PlainShell]


class PlainOption(TypedDict):
    """One way to pad, of ``thickness --json``."""

    thickness_mm: float
    hip_mm: float
    shell_hip_mm: float
    cut_hip_mm: float
    verdict: str
    in_the_way: list[str]
    changes: dict[str, Any]


class PlainUndone(TypedDict):
    """What one change is for: what comes of it when that one alone is left as it was."""

    key: str
    was: Any
    now: Any
    hip_mm: float
    verdict: str
    in_the_way: list[str]
