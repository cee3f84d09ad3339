"""One finding of a look check, and the advice helpers the checks share."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Generic, Literal, TypeVar, get_args

from silhouette.asked.lengths import INCH, format_length
from silhouette.asked.sheet import Sheet

Severity = Literal["fine", "watch", "obvious"]
SEVERITIES: Final[tuple[Severity, ...]] = get_args(Severity)
Changes = tuple[tuple[str, Any], ...]
#: What to do, in words, and the sheet keys and values (mm for lengths) that it comes down to.
Advice = tuple[str, Changes]
#: No advice and no changes: what a check with nothing to say gives.
NOTHING: Final[Advice] = ("", ())


@dataclass(frozen=True)
class Finding:
    """What one check measured, and how grave that is.

    ``measured`` and ``limit`` are in ``unit`` ("mm", "degrees" or "" for a ratio); ``drop`` and ``angle``
    point at the place on the silhouette (mm below the waist; radians, 0 = wearer's left, π/2 = front).
    ``changes`` are sheet keys and values (mm for lengths) that the advice comes down to.
    """

    check: str
    severity: Severity
    measured: float
    limit: float
    unit: str
    message: str
    basis: str
    drop: float | None = None
    angle: float | None = None
    advice: str = ""
    changes: Changes = ()


Subject = TypeVar("Subject")


@dataclass(frozen=True)
class Check(Generic[Subject]):
    """One look check: ``judge`` measures and judges; ``advise``, asked separately, says what to change.

    ``judge`` gives None where the check does not apply (no pads, say). ``advise`` is asked about findings that
    are not fine, or about all of them with ``also_when_fine``.
    """

    name: str
    judge: Callable[[Subject], Finding | None]
    advise: Callable[[Subject, Finding], Advice]
    also_when_fine: bool = False

    def advised(self, subject: Subject, tried_on: Subject) -> Finding | None:
        """The finding on ``subject`` with its advice, which is tried on ``tried_on``."""
        finding = self.judge(subject)
        if finding is None or (finding.severity == "fine" and not self.also_when_fine):
            return finding
        advice, changes = self.advise(tried_on, finding)
        return replace(finding, advice=advice, changes=changes)


def findings_by(
    checks: Sequence[Check[Subject]], subject: Subject, *, advice: bool, tried_on: Subject | None = None
) -> tuple[Finding, ...]:
    """Every check in order; those that do not apply are left out. Advice is tried on the subject unless another is
    given."""
    other = subject if tried_on is None else tried_on
    findings = (check.advised(subject, other) if advice else check.judge(subject) for check in checks)
    return tuple(finding for finding in findings if finding is not None)


def worst(findings: Sequence[Finding]) -> Severity:
    """The verdict: the severity of the gravest finding."""
    return max((f.severity for f in findings), key=SEVERITIES.index, default="fine")


def set_all(sheet: Sheet, name: str, value: Any) -> Changes:
    """Changes that give a pad key one value on both sides, whichever side has its own."""
    changes: list[tuple[str, Any]] = [(f"pads.{name}", value)]
    changes += [(f"pads.{side}.{name}", value) for side in ("left", "right") if name in dict(getattr(sheet, side))]
    return tuple(changes)


def thickness_text(mm: float, unit: str) -> str:
    """Foam thickness as it is sold: fractions of an inch, or whole millimetres."""
    if unit == "in":
        return format_length(mm, "in", sixteenths=True)
    return f"{mm:.0f} mm" if abs(mm - round(mm)) < 0.05 else f"{mm:.1f} mm"


def handy(mm: float, unit: str, *, up: bool = True) -> float:
    """A length rounded up (or down) to what a tape shows: 1/8 in or 5 mm."""
    step = INCH / 8 if unit == "in" else 5.0
    steps = mm / step
    return round((math.ceil(steps - 1e-9) if up else math.floor(steps + 1e-9)) * step, 6)


def place(angle: float) -> str:
    """The part of the figure that stands out in a direction (radians from the wearer's left to the front).

    >>> place(-math.pi / 2)
    'back'
    """
    names = ("left side", "left front", "front", "right front", "right side", "right back", "back", "left back")
    return names[round(angle / (math.pi / 4)) % 8]
