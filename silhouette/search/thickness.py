"""Which foam to buy: the thickness that reaches a wanted hip, and the stock sheets either side of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import PARAMETERS, SIDES, Sheet
from silhouette.asked.writing import with_values
from silhouette.judged.finding import thickness_text
from silhouette.judged.limits import stock
from silhouette.pipeline import Preview, preview
from silhouette.shape.figure import Figure, figure_like
from silhouette.shape.refoamed import with_foam
from silhouette.shape.tape import Tape, tape_over

EXACT: Final = 1e-4  # mm of foam
THINNEST, THICKEST = PARAMETERS["pads.thickness"].low or 2.0, PARAMETERS["pads.thickness"].high or 80.0


@dataclass(frozen=True)
class Option:
    """One way to pad: the sheet changes, the foam, the hip over loose foam, and how it looks."""

    changes: tuple[tuple[str, Any], ...]
    foam: float
    hip: float
    verdict: str
    in_the_way: tuple[str, ...]
    worn_hip: float
    shell_hip: float


@dataclass(frozen=True)
class Choice:
    """Answer to a wanted hip: the exact foam and the stock sheets either side of it."""

    wanted: float
    exact: Option
    below: Option | None
    above: Option | None


def hip_for(figure: Figure) -> Callable[[float], float]:
    """The new hip girth as a function of foam thickness, everything else as it lies.

    Sides with a thickness of their own keep it. Only levels of the hip zone are measured.
    """
    zone = figure.hip_zone
    bare = Tape(figure.body.drops[zone], figure.before.directions, figure.before.h[zone])
    own = {side for side in SIDES if "thickness" in dict(getattr(figure.sheet, side))}

    def hip(foam: float) -> float:
        pads = with_foam(figure.pads, {pad.side: pad.foam if pad.side in own else foam for pad in figure.pads})
        return float(tape_over(bare, pads).girth.max())

    return hip


def thickness_for(sheet: Sheet, wanted: float) -> Choice:
    """The foam thickness whose loose tape reads ``wanted`` mm at the new hip, to ``EXACT``.

    Raises ``SheetError`` when the target is below the body or beyond reach, or there are no pads.
    """
    figure = figure_like(with_values(sheet, {"foam.measured": None}))
    unit = sheet.unit
    place = f"wanted hip = {format_length(wanted, unit)}"

    def show(mm: float) -> str:
        return format_length(mm, unit)

    own = float(figure.before.girth[figure.hip_zone].max())
    if not figure.pads:
        raise SheetError([Fault("pads", "the sheet has no pads, so no foam thickness reaches anything")])
    if not np.isfinite(wanted) or wanted <= own:
        raise SheetError([Fault(place, f"not above the body, whose hip reads {show(own)}: pads cannot take away")])
    hip = hip_for(figure)
    least, most = hip(THINNEST), hip(THICKEST)
    if wanted < least:
        raise SheetError(
            [Fault(place, f"even the thinnest foam, {thickness_text(THINNEST, unit)}, already gives {show(least)}")]
        )
    if wanted > most:
        raise SheetError(
            [Fault(place, f"beyond reach: foam of {thickness_text(THICKEST, unit)} gives {show(most)} at most")]
        )
    from scipy.optimize import brentq

    foam = float(brentq(lambda t: hip(t) - wanted, THINNEST, THICKEST, xtol=EXACT))
    sheets = stock(unit)
    return Choice(
        wanted,
        _option(sheet, {"pads.thickness": foam}, figure),
        _stock_option(sheet, max((t for t in sheets if t <= foam), default=None), figure),
        _stock_option(sheet, min((t for t in sheets if t > foam), default=None), figure),
    )


def _stock_option(sheet: Sheet, foam: float | None, figure: Figure) -> Option | None:
    return None if foam is None else _option(sheet, {"pads.thickness": foam}, figure)


def _option(sheet: Sheet, changes: dict[str, Any], like: Figure) -> Option:
    if sheet.foam.measured is not None:
        changes = {**changes, "foam.measured": None}
    return option_of(preview(with_values(sheet, changes), like, advice=False), changes)


def option_of(trial: Preview, changes: dict[str, Any]) -> Option:
    """What a trial comes to, with the changes that led there."""
    foam = max((pad.foam for pad in trial.figure.pads), default=0.0)
    return Option(
        tuple(changes.items()),
        foam,
        trial.figure.new_hip_girth,
        trial.verdict,
        trial.in_the_way,
        trial.shell.worn_hip if trial.shell.given else trial.figure.new_hip_girth,
        trial.shell.cut_hip,
    )
