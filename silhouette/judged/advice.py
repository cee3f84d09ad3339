"""Advice that was tried: what a check proposes is applied to the figure, and followed on until the check is content."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from typing import Any

from silhouette.asked.faults import SheetError
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import Sheet
from silhouette.asked.writing import with_values
from silhouette.judged.finding import NOTHING, Changes, Finding, thickness_text
from silhouette.judged.limits import stock_below
from silhouette.shape.figure import Figure, figure_like

Advice = tuple[str, Changes]
_THICKNESS = {"pads.thickness", "pads.left.thickness", "pads.right.thickness", "foam.measured"}


#: False while only verdicts are wanted, as in a sweep: trying advice out takes longer than finding the fault.
_WANTED: ContextVar[bool] = ContextVar("advice wanted", default=True)


@contextmanager
def without_advice() -> Iterator[None]:
    """Findings made inside say what is wrong, but not what to change."""
    token = _WANTED.set(False)
    try:
        yield
    finally:
        _WANTED.reset(token)


def advice_wanted() -> bool:
    """Whether findings are to carry advice."""
    return _WANTED.get()


def thinner(figure: Figure, at_most: float, check: Callable[[Figure], Finding | None]) -> Advice:
    """Advice naming the thickest stock foam, no thicker than ``at_most`` mm, with which ``check`` is content."""
    if not advice_wanted():
        return NOTHING
    unit = figure.sheet.unit
    foam = stock_below(min(at_most, max(pad.foam for pad in figure.pads) - 0.1), unit)
    if foam is None:
        thinnest = format_length(max(at_most, 0.0), unit, sixteenths=True)
        return f"no foam on sale is thin enough ({thinnest} at most): leave this figure to cut and fabric", ()
    advice = f"{thickness_text(foam, unit)} foam brings this inside the limit"
    return tried(figure, advice, _no_thicker(figure.sheet, foam), check)


def tried(figure: Figure, advice: str, changes: Changes, check: Callable[[Figure], Finding | None]) -> Advice:
    """The advice if ``check`` is content with it, else with what the check advises next; nothing if it cannot be."""
    if not advice_wanted():
        return NOTHING
    try:
        found = check(_changed(figure, changes))
    except SheetError:
        return NOTHING
    if found is None or found.severity == "fine":
        return advice, changes
    if not found.changes:
        return found.advice, ()
    merged = dict(changes) | dict(found.changes)
    more = found.advice if set(dict(found.changes)) >= set(dict(changes)) else f"{advice}; {found.advice}"
    return more, tuple(merged.items())


def _no_thicker(sheet: Sheet, foam: float) -> Changes:
    """Changes that bring every pad thicker than ``foam`` down to it, and leave the thinner ones alone."""
    changes: list[tuple[str, Any]] = []
    common = sheet.foam.measured if sheet.foam.measured is not None else sheet.pads.thickness
    if common > foam:
        changes.append(("pads.thickness", min(foam, sheet.pads.thickness)))
        if sheet.foam.measured is not None:
            changes.append(("foam.measured", None))
    for side in ("left", "right"):
        own = dict(getattr(sheet, side)).get("thickness")
        if own is not None and own > foam:
            changes.append((f"pads.{side}.thickness", foam))
    return tuple(changes)


def _changed(figure: Figure, changes: Changes) -> Figure:
    wanted = dict(changes)
    # stock foam needs no reading anew: that would take as long as the trial itself
    direct = set(wanted) <= _THICKNESS
    return figure_like(_with_thickness(figure.sheet, wanted) if direct else with_values(figure.sheet, wanted), figure)


def _with_thickness(sheet: Sheet, changes: dict[str, Any]) -> Sheet:
    """The sheet with stock foam put in; such values are within every range."""
    sides: dict[str, Any] = {
        side: tuple((name, changes.get(f"pads.{side}.{name}", value)) for name, value in getattr(sheet, side))
        for side in ("left", "right")
    }
    pads = replace(sheet.pads, thickness=changes.get("pads.thickness", sheet.pads.thickness))
    foam = replace(sheet.foam, measured=changes.get("foam.measured", sheet.foam.measured))
    return replace(sheet, pads=pads, foam=foam, **sides)
