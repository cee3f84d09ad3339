"""What ``--vary`` says: two parameters, each with its range."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from silhouette.asked.declared import FRACTION, LENGTH, NUMBER, Parameter
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import in_unit, parse_length, unit_of
from silhouette.asked.reading import nearest_key
from silhouette.asked.sheet import PARAMETERS, SIDES, Sheet, parameter_for
from silhouette.search.sweep import Axis

_SIDED: Final = tuple(f"pads.{side}." for side in SIDES)


def read_axes(texts: Sequence[str], sheet: Sheet) -> tuple[Axis, Axis]:
    """Two axes from texts such as ``pads.thickness=0.25..1.25in``. Raises ``SheetError`` with every fault.

    >>> from silhouette.asked.reading import from_plain
    >>> asked = from_plain({"unit": "in", "girths": {"waist": 30, "hip": 40}})
    >>> [(a.low, a.high) for a in read_axes(["pads.thickness=1/4..1in", "pads.start=1..3"], asked)]
    [(6.35, 25.4), (25.4, 76.2)]
    """
    faults: list[Fault] = []
    axes = [axis for text in texts if (axis := _read_axis(text, sheet, faults)) is not None]
    if len(texts) != 2:
        faults.append(Fault("--vary", f"a sweep varies two parameters, not {len(texts)}: give --vary twice"))
    elif len(axes) == 2 and axes[0].key == axes[1].key:
        faults.append(Fault(f"--vary {axes[0].key}", "the same parameter twice"))
    if faults:
        raise SheetError(faults)
    return axes[0], axes[1]


def _read_axis(text: str, sheet: Sheet, faults: list[Fault]) -> Axis | None:
    place = f"--vary {text[:80]}"
    key, equals, span = (part.strip() for part in text.partition("="))
    low_text, dots, high_text = (part.strip() for part in span.partition(".."))
    if not (equals and dots and low_text and high_text):
        faults.append(Fault(place, "write KEY=LO..HI, such as pads.thickness=0.25..1.25in"))
        return None
    known = [*PARAMETERS, *(side + name for side in _SIDED for name in _pad_names())]
    if key not in known:
        faults.append(Fault(place, f"there is no such parameter{nearest_key(key, known)}"))
        return None
    parameter = parameter_for(key)
    if parameter.kind not in (LENGTH, NUMBER, FRACTION):
        faults.append(Fault(place, f"{parameter.label} has no range to sweep"))
        return None
    try:
        low, high = _ends(parameter, low_text, high_text, sheet.unit)
    except ValueError as error:
        faults.append(Fault(place, str(error)))
        return None
    if abs(high - low) < 1e-9:
        faults.append(Fault(place, "has no width: both ends are the same"))
        return None
    low, high = min(low, high), max(low, high)
    assert parameter.low is not None and parameter.high is not None
    if low < parameter.low - 1e-6 or high > parameter.high + 1e-6:
        unit = sheet.unit if parameter.kind == LENGTH else parameter.symbol
        ends = [in_unit(x, unit) if parameter.kind == LENGTH else x for x in (parameter.low, parameter.high)]
        faults.append(
            Fault(place, f"{parameter.label} must stay within {ends[0]:.4g} to {ends[1]:.4g} {unit}".rstrip())
        )
        return None
    return Axis(key, low, high)


def _pad_names() -> list[str]:
    return [key.split(".")[1] for key in PARAMETERS if key.startswith("pads.")]


def _ends(parameter: Parameter, low: str, high: str, unit: str) -> tuple[float, float]:
    if parameter.kind == LENGTH:
        common = unit_of(high, None) or unit_of(low, None) or unit
        return parse_length(low, common), parse_length(high, common)
    symbol = parameter.symbol
    try:
        ends = [float(text.removesuffix(symbol).strip().replace(",", ".")) for text in (low, high)]
    except ValueError:
        raise ValueError(f"{parameter.label} must be given as two numbers") from None
    if not np.isfinite(ends).all():
        raise ValueError(f"{parameter.label} must be given as two finite numbers")
    return ends[0], ends[1]
