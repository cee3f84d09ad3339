"""Records of fittings, kept in the sheet as ``[[fitted]]`` tables: what the tape read over the finished garment."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from silhouette.asked.declared import LENGTH
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import parse_length
from silhouette.asked.sheet import parameter_for
from silhouette.asked.toml_text import plain_of

LEVELS: Final = ("waist", "high_hip", "hip", "under_seat")
OVER: Final = ("cloth", "pads")
LENGTHS: Final = ("girth", "predicted", "foam", "shell_hip")
#: What a fitting can teach; the keys a record may name.
TEACHES: Final = ("foam.measured", "foam.firmness", "cloth.stiffness")


@dataclass(frozen=True)
class Fitting:
    """One reading at a fitting, mm. ``explains`` is the sheet key and value that would make prediction and tape agree.

    ``over`` is ``cloth`` (the finished garment) or ``pads``; ``foam`` the thickness and ``shell_hip`` the shell at
    the time.
    """

    date: datetime.date
    level: str
    girth: float
    over: str
    predicted: float
    foam: float
    shell_hip: float | None = None
    explains: tuple[str, float] | None = None

    @property
    def difference(self) -> float:
        """Tape minus prediction, mm."""
        return self.girth - self.predicted


def read_fittings(text: str) -> list[Fitting]:
    """The records in a sheet's text, oldest first. Raises ``SheetError`` with every fault.

    >>> read_fittings('unit = "in"')
    []
    """
    return sorted(fittings_in_order(text), key=lambda fitting: fitting.date)


def fittings_in_order(text: str) -> list[Fitting]:
    """The records as they follow each other in a sheet's text. Raises ``SheetError`` with every fault."""
    plain = plain_of(text)
    unit = plain.get("unit")
    tables = plain.get("fitted", [])
    if not isinstance(tables, list):
        raise SheetError([Fault("fitted", "fittings are kept as [[fitted]] tables, with two brackets")])
    faults: list[Fault] = []
    found = [
        fitting
        for number, table in enumerate(tables, 1)
        if (fitting := _read(table, f"fitted {number}", unit, faults)) is not None
    ]
    if faults:
        raise SheetError(faults)
    return found


def _read(table: Any, place: str, unit: str | None, faults: list[Fault]) -> Fitting | None:
    if not isinstance(table, Mapping):
        faults.append(Fault(place, "must be a table: write [[fitted]] and its keys below"))
        return None
    before = len(faults)
    lengths: dict[str, float | None] = {}
    for key in LENGTHS:
        raw = table.get(key)
        if raw is None:
            lengths[key] = None
            if key != "shell_hip":
                faults.append(Fault(f"{place}.{key}", "is needed"))
            continue
        try:
            lengths[key] = parse_length(raw, unit)
        except ValueError as error:
            faults.append(Fault(f"{place}.{key}", str(error)))
    date, level, over = table.get("date"), table.get("level", "hip"), table.get("over", "cloth")
    if isinstance(date, datetime.datetime):
        date = date.date()
    if not isinstance(date, datetime.date):
        faults.append(Fault(f"{place}.date", "a date belongs here, such as 2026-11-25, without quotes"))
    for name, value, known in (("level", level, LEVELS), ("over", over, OVER)):
        if value not in known:
            faults.append(Fault(f"{place}.{name}", f"must be one of {', '.join(known)}"))
    explains = _read_explanation(table, place, unit, faults)
    if len(faults) > before:
        return None
    girth, predicted, foam = lengths["girth"], lengths["predicted"], lengths["foam"]
    assert girth is not None and predicted is not None and foam is not None and isinstance(date, datetime.date)
    return Fitting(date, level, girth, over, predicted, foam, lengths["shell_hip"], explains)


def _read_explanation(table: Mapping[str, Any], place: str, unit: str | None, faults: list[Fault]) -> Any:
    key, raw = table.get("would_explain"), table.get("value")
    if key is None:
        return None
    if key not in TEACHES:
        faults.append(Fault(f"{place}.would_explain", f"must be one of {', '.join(TEACHES)}"))
        return None
    try:
        if parameter_for(key).kind == LENGTH:
            return key, parse_length(raw, unit)
        if isinstance(raw, bool) or not isinstance(raw, int | float) or not math.isfinite(raw) or raw <= 0:
            raise ValueError("must be a number above zero")
        return key, float(raw)
    except ValueError as error:
        faults.append(Fault(f"{place}.value", str(error)))
        return None


def in_own_units(tables: Any, unit: str) -> Any:
    """Records as plain values, every bare length as text with the unit it is in; a sheet's unit can then change.

    >>> in_own_units([{"girth": 45.25, "over": "cloth"}], "in")
    [{'girth': '45.25 in', 'over': 'cloth'}]
    """
    if not isinstance(tables, list):
        return tables
    return [
        {key: f"{value} {unit}" if _bare_length(table, key) else value for key, value in table.items()}
        if isinstance(table, Mapping)
        else table
        for table in tables
    ]


def _bare_length(table: Mapping[str, Any], key: str) -> bool:
    explained = key == "value" and table.get("would_explain") == "foam.measured"
    value = table[key]
    return (key in LENGTHS or explained) and isinstance(value, int | float) and not isinstance(value, bool)
