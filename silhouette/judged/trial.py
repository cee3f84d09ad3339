"""Trying a change: figure and findings of a sheet, reusing the body where only pads, foam or cloth differ."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from silhouette.asked.sheet import Sheet
from silhouette.judged.advice import without_advice
from silhouette.judged.finding import SEVERITIES, Finding, worst
from silhouette.judged.limits import LIMITS, Limit
from silhouette.judged.shell import Shell
from silhouette.judged.shell_checks import SHELL_LIMITS, findings_under
from silhouette.shape.figure import Figure, figure_of
from silhouette.shape.pads import Pad, foam_thickness, lay_pads
from silhouette.shape.tape import tape_over

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

    @property
    def gravest(self) -> Finding | None:
        """The finding that goes furthest, if any goes beyond fine."""
        return max((f for f in self.findings if f.severity != "fine"), key=look_of, default=None)


def try_sheet(sheet: Sheet, like: Figure | None = None) -> Trial:
    """Figure and findings, without advice, of a sheet. ``like`` lends its body when the measurements are the same.

    Raises ``SheetError`` like a preview.
    """
    figure = figure_like(sheet, like)
    shell = Shell(figure)
    with without_advice():
        return Trial(figure, shell, findings_under(shell))


def figure_like(sheet: Sheet, like: Figure | None = None) -> Figure:
    """The figure of a sheet, borrowing from ``like`` whatever the change leaves as it was: body, drafted pads, tape."""
    if like is None:
        return figure_of(sheet)
    old = like.sheet
    if (old.girths, old.drops, old.widths, old.client.size) != (
        sheet.girths, sheet.drops, sheet.widths, sheet.client.size,
    ):  # fmt: skip
        return figure_of(sheet)
    if _drafts(old) != _drafts(sheet):
        pads = lay_pads(sheet, like.body)
    else:
        pads = with_foam(like.pads, {side: foam_thickness(sheet, sheet.pads_on(name)) for side, name in _SIDES})
    if all(pad is other for pad, other in zip(pads, like.pads, strict=False)) and len(pads) == len(like.pads):
        return Figure(sheet, like.body, like.pads, like.before, like.after)
    return Figure(sheet, like.body, pads, like.before, tape_over(like.before, pads))


_SIDES: Final = ((1, "left"), (-1, "right"))


def _drafts(sheet: Sheet) -> tuple[Any, ...]:
    """What the drafting of the pads depends on; foam only raises them. Twins stay twins, others stay apart."""
    left, right = (replace(sheet.pads_on(name), thickness=1.0) for _, name in _SIDES)
    return left, right, sheet.pads_on("left") == sheet.pads_on("right")


def with_foam(pads: Sequence[Pad], foam: Mapping[int, float]) -> tuple[Pad, ...]:
    """The same pads cut from other foam, by side (+1 left, -1 right), mm."""
    shared: dict[int, Any] = {}  # mirrored twins share their thickness, and the tape looks for that
    made = []
    for pad in pads:
        wanted = foam[pad.side]
        if wanted == pad.foam:
            made.append(pad)
            continue
        scale = wanted / pad.foam
        thickness = shared.setdefault(id(pad.thickness), pad.thickness * scale)
        raised = pad.inner + (pad.outer - pad.inner) * scale
        made.append(replace(pad, foam=wanted, thickness=thickness, outer=raised))
    return tuple(made)


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
