"""Every check there is, in the order in which its finding is read."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from silhouette.cloth.dressed import DressedPair, dress
from silhouette.cloth.shell import Shell
from silhouette.judged.cloth_checks import CLOTH_PULL, PRESSURE, SQUEEZE
from silhouette.judged.edge_check import EDGE
from silhouette.judged.finding import Check, Finding, findings_by
from silhouette.judged.girth_checks import ADDED_GIRTH, THIGH_TO_HIP, WAIST_TO_HIP
from silhouette.judged.outline_checks import GROOVE, RIDGE, SHELF
from silhouette.judged.pad_checks import BACK_OPENING, CENTRE_FRONT, LEFT_AND_RIGHT, START, THICKNESS
from silhouette.judged.stage_checks import BEND, SEAM, SHIFT, SITTING

LOOK_CHECKS: Final[tuple[Check[DressedPair], ...]] = (
    *(THICKNESS, START),
    *(EDGE, RIDGE, SHELF, GROOVE),
    *(WAIST_TO_HIP, THIGH_TO_HIP, ADDED_GIRTH),
    *(LEFT_AND_RIGHT, CENTRE_FRONT, BACK_OPENING),
)
#: For the stage a shape may be obvious; what is left is whether it can be built, worn and closed.
STAGE_CHECKS: Final[tuple[Check[DressedPair], ...]] = (BEND, SHIFT, SEAM, SITTING, CENTRE_FRONT, BACK_OPENING)
CLOTH_CHECKS: Final[tuple[Check[Shell], ...]] = (PRESSURE, CLOTH_PULL, SQUEEZE)


def findings_of(dressed: DressedPair, *, advice: bool = True) -> tuple[Finding, ...]:
    """Every check that the sheet's aim calls for, on the dressed figure; then what the cloth does, where the sheet says
    what the shell is cut to."""
    checks = STAGE_CHECKS if dressed.figure.sheet.aim.look == "stage" else LOOK_CHECKS
    shell = dressed.shell
    impossible = advice and shell.given and not shell.closes
    look = findings_by(checks, dressed, advice=advice, tried_on=_shell_open(dressed) if impossible else None)
    if not shell.given or not shell.figure.pads:
        return look
    return (*look, *findings_by(CLOTH_CHECKS, shell, advice=advice))


def _shell_open(dressed: DressedPair) -> DressedPair:
    """The same figure under the shell that would be recommended: no advice helps under one that does not close."""
    figure = dressed.shell.figure
    cloth = replace(figure.sheet.cloth, shell_hip=None)
    return dress(Shell(replace(figure, sheet=replace(figure.sheet, cloth=cloth))))
