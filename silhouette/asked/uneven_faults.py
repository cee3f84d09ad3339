"""Halves that do not make a whole, and sides too unlike to be one body."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from silhouette.asked.faults import Fault
from silhouette.asked.sheet import Sheet

CLOSE: Final = 10.0  #: mm by which two halves may miss the whole
SHARE: Final = (0.38, 0.62)  #: of the girth on one side; beyond it a slip of the tape (this tool's convention)
THIGHS: Final = 1.3  #: one thigh over the other
HIP_LINES: Final = 60.0  #: mm between the hip lines of both sides

Show = Callable[[float], str]
At = Callable[[str, float], str]


def uneven_faults(sheet: Sheet, show: Show, at: At) -> Iterator[tuple[tuple[str, ...], Fault]]:
    """Faults of ``[uneven]``, each with the keys it compared."""
    for name in ("waist", "high_hip", "hip"):
        yield from _halves(sheet, name, show, at)
    left, right = sheet.uneven.thigh_left, sheet.uneven.thigh_right
    keys = ("uneven.thigh_left", "uneven.thigh_right")
    common, hip = sheet.girths.thigh, sheet.girths.hip
    for key, one in zip(keys, (left, right), strict=True):
        if one is not None and hip is not None and not 0.4 * hip <= one <= 0.8 * hip:
            low, high = show(0.4 * hip), show(0.8 * hip)
            yield (
                (key, "girths.hip"),
                Fault(at(key, one), f"one thigh is 0.4 to 0.8 of the hip girth ({low} to {high})"),
            )
    one, other = (common if side is None else side for side in (left, right))
    if one is not None and other is not None and not 1 / THIGHS <= one / other <= THIGHS:
        key = keys[0] if left is not None else keys[1]
        yield (
            (*keys, "girths.thigh"),
            Fault(at(key, left or right or 0.0), f"too unlike the other thigh: {show(one)} and {show(other)}"),
        )
    both = [mm for mm in (left, right) if mm is not None]
    if common is not None and len(both) == 2 and not min(both) - CLOSE <= common <= max(both) + CLOSE:
        message = f"lies outside both thighs, {show(both[0])} left and {show(both[1])} right"
        yield (*keys, "girths.thigh"), Fault(at("girths.thigh", common), message)
    yield from _hip_lines(sheet, show, at)


def _halves(sheet: Sheet, name: str, show: Show, at: At) -> Iterator[tuple[tuple[str, ...], Fault]]:
    left, right = getattr(sheet.uneven, f"{name}_left"), getattr(sheet.uneven, f"{name}_right")
    keys = (f"uneven.{name}_left", f"uneven.{name}_right")
    given = [(key, mm) for key, mm in zip(keys, (left, right), strict=True) if mm is not None]
    whole = getattr(sheet.girths, name)
    if not given:
        return
    if whole is None:
        if len(given) < 2:
            yield keys, Fault(at(*given[0]), f"needs the other half too, or girths.{name}")
            return
        whole = left + right
    key, mm = given[0]
    every = (*keys, f"girths.{name}")
    if len(given) == 2 and abs(left + right - whole) > CLOSE:
        message = f"both halves come to {show(left + right)}, and girths.{name} is {show(whole)}: tape them again"
        yield every, Fault(at(key, mm), message)
    elif not SHARE[0] <= mm / whole <= SHARE[1]:
        message = f"leaves {show(whole - mm)} of {show(whole)} to the other side: too unlike to be one body"
        yield every, Fault(at(key, mm), message)


def _hip_lines(sheet: Sheet, show: Show, at: At) -> Iterator[tuple[tuple[str, ...], Fault]]:
    left, right = sheet.uneven.hip_drop_left, sheet.uneven.hip_drop_right
    keys = ("uneven.hip_drop_left", "uneven.hip_drop_right")
    for key, one, other in zip(keys, (left, right), (right, left), strict=True):
        against = sheet.drops.hip if sheet.drops.hip is not None else other
        if one is not None and against is not None and abs(one - against) > HIP_LINES:
            message = f"more than {show(HIP_LINES)} from the hip line at {show(against)}"
            yield (*keys, "drops.hip"), Fault(at(key, one), message)
