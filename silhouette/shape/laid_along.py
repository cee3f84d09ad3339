"""Levels read by a tape laid along the body: down the side seam, or over the seat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from silhouette.asked.faults import Fault
from silhouette.asked.lengths import format_length, in_unit
from silhouette.asked.readings import Drops
from silhouette.asked.sheet import Sheet
from silhouette.shape.body import Body, build_body
from silhouette.shape.curves import Array, along
from silhouette.shape.dimensions import Measures

AT_ODDS: Final = 10.0  #: mm by which both readings of one level may differ
CLOSE: Final = 0.01  #: mm to which a level is solved
LEVELS_ALONG: Final = ("hip", "under_seat", "knee")


def length_along(body: Body, level: str) -> float:
    """Length of a tape laid on the body from the waist to a level, mm.

    ``hip`` and ``knee`` down the side seam (the mean of both sides), ``under_seat`` down the back over the fullest
    of the seat.
    """
    drop = float(getattr(body.measures, f"{level}_drop"))
    if level == "under_seat":
        runs = [along(np.stack([body.outer[..., 1].min((0, 2)), body.drops], axis=1))]
    else:
        runs = [_down(body.outer[side, :, body.seam]) for side in (0, 1)]
    return float(np.mean([np.interp(drop, body.drops, run) for run in runs]))


def _down(line: Array) -> Array:
    """Length run down a line in space (L, 3) → (L,)."""
    return np.concatenate([[0.0], np.cumsum(np.sqrt((np.diff(line, axis=0) ** 2).sum(-1)))])


def levels_along(sheet: Sheet, completed: Callable[[Drops], Measures], faults: list[Fault]) -> Measures:
    """Measures whose levels lie where the sheet's readings along the body put them.

    A straight drop given beside a reading along the body wins; at odds by more than 1 cm they are a fault.
    """
    given = {name: getattr(sheet.along, name) for name in LEVELS_ALONG if getattr(sheet.along, name) is not None}
    free = {name: mm for name, mm in given.items() if getattr(sheet.drops, name) is None}
    drops = replace(sheet.drops, **{name: 0.96 * mm for name, mm in free.items()})
    m = completed(drops)
    for _ in range(20):
        if faults:
            return m
        body = build_body(m)
        off = {name: mm - length_along(body, name) for name, mm in free.items()}
        if all(abs(mm) < CLOSE for mm in off.values()):
            break
        drops = replace(drops, **{name: getattr(drops, name) + 0.95 * mm for name, mm in off.items()})
        m = completed(drops)
    else:
        faults += [_not_met(sheet, name) for name, mm in off.items() if abs(mm) > 0.1]
    for name in given.keys() - free.keys():
        length = length_along(body, name)
        if abs(length - given[name]) > AT_ODDS:
            faults.append(_at_odds(sheet, name, length))
    return m


def _not_met(sheet: Sheet, name: str) -> Fault:
    return Fault(_place(sheet, name), "no such level on this body; measure again, or give the straight drop")


def _at_odds(sheet: Sheet, name: str, length: float) -> Fault:
    drop, mm = getattr(sheet.drops, name), format_length(length, sheet.unit, sixteenths=sheet.unit == "in")
    straight = f"{in_unit(drop, sheet.unit):.4g} {sheet.unit}"
    return Fault(
        _place(sheet, name),
        f"at odds with drops.{name} = {straight}, which is {mm} along this body: leave one of them out",
    )


def _place(sheet: Sheet, name: str) -> str:
    return f"along.{name} = {in_unit(getattr(sheet.along, name), sheet.unit):.4g} {sheet.unit}"
