"""Trying a change: figure and findings of a sheet, reusing the body where only pads, foam or cloth differ."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from silhouette.asked.sheet import Sheet
from silhouette.cloth.shell import Shell
from silhouette.judged.advice import without_advice
from silhouette.judged.cloth_checks import SHELL_LIMITS, findings_under
from silhouette.judged.finding import SEVERITIES, Finding, worst
from silhouette.judged.limits import LIMITS, Limit
from silhouette.shape.figure import Figure, figure_like

ALL_LIMITS: Final[dict[str, Limit]] = {**LIMITS, **SHELL_LIMITS}


@dataclass(frozen=True, eq=False)
class Trial:
    """One sheet tried: the figure with loose foam, its shell, and the findings on what is worn."""

    figure: Figure
    shell: Shell
    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> str:
        return worst(self.findings)

    @property
    def look(self) -> float:
        """How far the gravest finding has gone: 0 and below is fine, 0 to 1 watch, above 1 obvious."""
        return max((look_of(finding) for finding in self.findings), default=-1.0)


def try_sheet(sheet: Sheet, like: Figure | None = None) -> Trial:
    """Figure and findings, without advice, of a sheet. ``like`` lends its body when the measurements are the same.

    Raises ``SheetError`` like a preview.
    """
    figure = figure_like(sheet, like)
    shell = Shell(figure)
    with without_advice():
        return Trial(figure, shell, findings_under(shell))


def look_of(finding: Finding) -> float:
    """A finding on one scale for all checks: its distance past the watch limit, 1 at the obvious limit.

    Never on the wrong side of the severity it was given.
    """
    limit = ALL_LIMITS[finding.check]
    span = limit.obvious - limit.watch
    if not math.isfinite(span):
        span = limit.watch
    if finding.check in ("waist to hip", "thigh to hip"):  # their limits move with the client's own proportions
        span *= finding.limit / limit.watch
    past = (finding.measured - finding.limit) / span
    rank = SEVERITIES.index(finding.severity)
    return min(max(past, rank - 1 if rank else -math.inf), (0.0, 1.0, math.inf)[rank])


def in_the_way(findings: Sequence[Finding]) -> list[str]:
    """Names of the checks that are not fine, gravest first."""
    bad = sorted((f for f in findings if f.severity != "fine"), key=look_of, reverse=True)
    return [f.check for f in bad]
