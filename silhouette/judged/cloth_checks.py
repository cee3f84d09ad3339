"""What the cloth does, judged: pressure on the body, pull in the seams, foam pressed flat; and the look as worn."""

from __future__ import annotations

import math
from typing import Final

from silhouette.asked.lengths import format_length
from silhouette.asked.materials import GRADES
from silhouette.cloth.shell import Shell
from silhouette.judged.finding import Advice, Check, Finding, handy
from silhouette.judged.limits import LIMITS


def _pressure(shell: Shell) -> Finding | None:
    """Pressure on the body under the cloth."""
    felt, row, angle = shell.pressure
    limit = LIMITS["pressure"]
    drop = float(shell.figure.body.drops[row])
    return Finding(
        check="pressure",
        severity=limit.severity(felt),
        measured=felt,
        limit=limit.watch,
        unit="kPa",
        message=f"the shell presses {felt:.1f} kPa ({felt * 7.50062:.0f} mmHg) on the body, "
        f"{format_length(drop, shell.figure.sheet.unit)} below the waist",
        basis=limit.basis,
        drop=drop,
        angle=angle,
    )


PRESSURE: Final[Check[Shell]] = Check(
    "pressure", _pressure, lambda shell, finding: _wider(shell, "press less", finding.limit / finding.measured)
)


def _cloth_pull(shell: Shell) -> Finding | None:
    """Pull in the cloth and its seams."""
    limit = LIMITS["cloth pull"]
    pull = shell.tension
    message = f"the seams carry {pull:.0f} N per metre of height"
    if not shell.closes:
        message = "no cloth would close at this girth: the foam is pressed flat and the seams would tear"
    return Finding(
        check="cloth pull",
        severity=limit.severity(pull) if shell.closes else "obvious",
        measured=pull,
        limit=limit.watch,
        unit="N/m",
        message=message,
        basis=limit.basis,
        drop=shell.figure.new_hip_drop,
        angle=0.0,
    )


CLOTH_PULL: Final[Check[Shell]] = Check(
    "cloth pull",
    _cloth_pull,
    lambda shell, finding: _wider(shell, "pull less", finding.limit / max(finding.measured, 1e-9)),
)


def _squeeze(shell: Shell) -> Finding | None:
    """Foam pressed flat: bought thickness that nobody sees."""
    limit = LIMITS["squeeze"]
    share = shell.squeeze
    return Finding(
        check="squeeze",
        severity=limit.severity(share),
        measured=share,
        limit=limit.watch,
        unit="",
        message=f"the shell presses out {share:.0%} of the foam where it squeezes most",
        basis=limit.basis,
        drop=shell.figure.new_hip_drop,
        angle=0.0,
    )


SQUEEZE: Final[Check[Shell]] = Check(
    "squeeze", _squeeze, lambda shell, finding: _wider(shell, "leave the foam its shape", None)
)


def _wider(shell: Shell, words: str, softer: float | None) -> Advice:
    """The girth to cut, and the firmest tabled foam that would do in the girth that was cut."""
    unit = shell.figure.sheet.unit
    girth = handy(shell.cut_hip, unit)
    was = format_length(shell.hip, unit)
    advice = f"to {words}, cut the shell to {format_length(girth, unit)} at the hip instead of {was}"
    if softer is not None and shell.stiffness == math.inf:  # at one shape, pull and pressure go with firmness
        enough = [g for g in GRADES if g.firmness <= shell.foam.firmness * softer]
        if enough:
            best = max(enough, key=lambda g: g.firmness)
            softer_foam = f"foam of {best.firmness:.1f} kPa or softer ({best.code})"
            advice += f", or use {softer_foam} instead of {shell.foam.firmness:.1f} kPa"
    return advice, (("cloth.shell_hip", girth),)
