"""What the cloth does, judged: pressure on the body, pull in the seams, foam pressed flat; and the look as worn."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

from silhouette.asked.lengths import format_length
from silhouette.asked.materials import GRADES
from silhouette.cloth.shell import Shell
from silhouette.judged.advice import advice_wanted
from silhouette.judged.checks import findings_of
from silhouette.judged.finding import Finding, handy
from silhouette.judged.limits import CONVENTION, Limit

SHELL_LIMITS: Final[dict[str, Limit]] = {
    # A waistband above 35 mmHg was felt as uncomfortable. Comfort is not looks, so this never says obvious.
    "pressure": Limit(4.67, math.inf, "felt as uncomfortable above 35 mmHg: Sen'i Gakkaishi 47(6):282"),
    # Watch at the pull of the stretch test for woven cloth; obvious at what laboratories pull an apparel seam
    # with to see it open (8 kg on a 25 mm grip, seen).
    "cloth pull": Limit(
        600.0, 3100.0, f"6 N per cm, the pull of EN 14704-1; seams open near 31 N per cm: {CONVENTION}"
    ),
    # Beyond half, foam leaves the flat part of its curve, hardens, and keeps a dent (Gibson & Ashby, memory).
    "squeeze": Limit(0.5, 0.8, CONVENTION),
}

ShellCheck = Callable[[Shell], Finding | None]


def pressure(shell: Shell) -> Finding | None:
    """Pressure on the body under the cloth."""
    felt, row, angle = shell.pressure
    limit = SHELL_LIMITS["pressure"]
    severity = limit.severity(felt)
    drop = float(shell.figure.body.drops[row])
    advice, changes = _wider(shell, severity, "press less", limit.watch / max(felt, 1e-9))
    return Finding(
        "pressure", severity, felt, limit.watch, "kPa",
        f"the shell presses {felt:.1f} kPa ({felt * 7.50062:.0f} mmHg) on the body, "
        f"{format_length(drop, shell.figure.sheet.unit)} below the waist",
        advice, limit.basis, drop, angle, changes,
    )  # fmt: skip


def cloth_pull(shell: Shell) -> Finding | None:
    """Pull in the cloth and its seams."""
    limit = SHELL_LIMITS["cloth pull"]
    pull = shell.tension
    severity = limit.severity(pull) if shell.closes else "obvious"
    advice, changes = _wider(shell, severity, "pull less", limit.watch / max(pull, 1e-9))
    message = f"the seams carry {pull:.0f} N per metre of height"
    if not shell.closes:
        message = "no cloth would close at this girth: the foam is pressed flat and the seams would tear"
    return Finding(
        "cloth pull", severity, pull, limit.watch, "N/m", message, advice, limit.basis,
        shell.figure.new_hip_drop, 0.0, changes,
    )  # fmt: skip


def squeeze(shell: Shell) -> Finding | None:
    """Foam pressed flat: bought thickness that nobody sees."""
    limit = SHELL_LIMITS["squeeze"]
    share = shell.squeeze
    severity = limit.severity(share)
    advice, changes = _wider(shell, severity, "leave the foam its shape", None)
    return Finding(
        "squeeze", severity, share, limit.watch, "",
        f"the shell presses out {share:.0%} of the foam where it squeezes most",
        advice, limit.basis, shell.figure.new_hip_drop, 0.0, changes,
    )  # fmt: skip


def _wider(shell: Shell, severity: str, words: str, softer: float | None) -> tuple[str, tuple[tuple[str, Any], ...]]:
    """Advice: the girth to cut, and the firmest tabled foam that would do in the girth that was cut."""
    if severity == "fine" or not advice_wanted():
        return "", ()
    unit = shell.figure.sheet.unit
    girth = handy(shell.cut_hip, unit)
    advice = f"to {words}, cut the shell to {format_length(girth, unit)} at the hip"
    if softer is not None and shell.stiffness == math.inf:  # at one shape, pull and pressure go with firmness
        enough = [g for g in GRADES if g.firmness <= shell.foam.firmness * softer]
        if enough:
            best = max(enough, key=lambda g: g.firmness)
            advice += f", or use foam of {best.firmness:.1f} kPa or softer ({best.code})"
    return advice, (("cloth.shell_hip", girth),)


SHELL_CHECKS: Final[tuple[ShellCheck, ...]] = (pressure, cloth_pull, squeeze)


def findings_under(shell: Shell) -> tuple[Finding, ...]:
    """Every look check on what is worn, then what the cloth does.

    Without a shell of its own a sheet is judged with its foam loose: the shell to cut is still open then, and
    the recommended one squeezes so little that it only softens what is seen.
    """
    if not shell.given or not shell.figure.pads:
        return findings_of(shell.figure)
    cloth = tuple(finding for check in SHELL_CHECKS if (finding := check(shell)) is not None)
    return (*findings_of(shell.worn_figure), *cloth)
