"""Every check there is, in the order in which its finding is read."""

from __future__ import annotations

from typing import Final

from silhouette.cloth.shell import Shell
from silhouette.judged.cloth_checks import CLOTH_PULL, PRESSURE, SQUEEZE
from silhouette.judged.finding import Check, Finding, findings_by
from silhouette.judged.girth_checks import ADDED_GIRTH, THIGH_TO_HIP, WAIST_TO_HIP
from silhouette.judged.outline_checks import GROOVE, RIDGE, SHELF
from silhouette.judged.pad_checks import BACK_OPENING, BEVEL, CENTRE_FRONT, LEFT_AND_RIGHT, START, THICKNESS
from silhouette.shape.figure import Figure

LOOK_CHECKS: Final[tuple[Check[Figure], ...]] = (
    *(THICKNESS, START, BEVEL),
    *(RIDGE, SHELF, GROOVE),
    *(WAIST_TO_HIP, THIGH_TO_HIP, ADDED_GIRTH),
    *(LEFT_AND_RIGHT, CENTRE_FRONT, BACK_OPENING),
)
CLOTH_CHECKS: Final[tuple[Check[Shell], ...]] = (PRESSURE, CLOTH_PULL, SQUEEZE)


def findings_of(figure: Figure, *, advice: bool = True) -> tuple[Finding, ...]:
    """Every look check on a figure."""
    return findings_by(LOOK_CHECKS, figure, advice=advice)


def findings_under(shell: Shell, *, advice: bool = True) -> tuple[Finding, ...]:
    """Every look check on what is worn, then what the cloth does.

    Without a shell of its own a sheet is judged with its foam loose: the shell to cut is still open then, and
    the recommended one squeezes so little that it only softens what is seen.
    """
    if not shell.given or not shell.figure.pads:
        return findings_of(shell.figure, advice=advice)
    cloth = findings_by(CLOTH_CHECKS, shell, advice=advice)
    return (*findings_of(shell.worn_figure, advice=advice), *cloth)
