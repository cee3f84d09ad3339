"""Records of fittings, kept in the sheet as ``[[fitted]]`` tables: what the tape read over the finished garment."""

from __future__ import annotations

import datetime
import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import tomlkit
from tomlkit.items import AoT

from silhouette.asked.declared import LENGTH
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import exact_plain, format_length, parse_length
from silhouette.asked.sheet import parameter_for

LEVELS: Final = ("waist", "high_hip", "hip", "under_seat")
OVER: Final = ("cloth", "pads")
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
    plain = tomllib.loads(text)
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
    return sorted(found, key=lambda fitting: fitting.date)


def _read(table: Any, place: str, unit: str | None, faults: list[Fault]) -> Fitting | None:
    if not isinstance(table, Mapping):
        faults.append(Fault(place, "must be a table: write [[fitted]] and its keys below"))
        return None
    before = len(faults)
    lengths: dict[str, float | None] = {}
    for key in ("girth", "predicted", "foam", "shell_hip"):
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


def add_fitting(text: str, fitting: Fitting, unit: str) -> str:
    """The sheet's text with one more record at its end; everything else, comments included, as it was."""
    document = tomlkit.parse(text)
    table = tomlkit.table()
    table.add("date", fitting.date)
    table.add("level", fitting.level)
    table.add("over", fitting.over)
    table.add("girth", _written(fitting.girth, unit))
    table.add("predicted", _written(fitting.predicted, unit))
    table.add("foam", exact_plain(round(fitting.foam, 3), unit))
    if fitting.shell_hip is not None:
        table.add("shell_hip", exact_plain(round(fitting.shell_hip, 3), unit))
    if fitting.explains is not None:
        key, value = fitting.explains
        table.add("would_explain", key)
        table.add("value", explained_plain(key, value, unit))
    records = document.get("fitted")
    if records is None:
        records = AoT([])
        document.append("fitted", records)
    records.append(table)
    return _spaced(tomlkit.dumps(document))


def _spaced(text: str) -> str:
    """An empty line before every record."""
    return re.sub(r"(?<!\n)\n(\[\[fitted\]\])", r"\n\n\1", text)


def explained_plain(key: str, value: float, unit: str) -> float | str:
    """An explaining value the way a sheet holds it."""
    return exact_plain(round(value, 2), unit) if parameter_for(key).kind == LENGTH else round(value, 3)


def take_over(text: str, fitting: Fitting, unit: str) -> tuple[str, list[str]]:
    """The sheet's text with a fitting's explanation put to use, and what was changed, a line each."""
    if fitting.explains is None:
        return text, []
    key, value = fitting.explains
    section, name = key.split(".")
    document = tomlkit.parse(text)
    if section not in document:
        document.add(section, tomlkit.table())
    table: Any = document[section]
    said = []
    if key == "cloth.stiffness" and "stretch" in table:
        said.append(f"cloth.stretch = {table['stretch']} taken out")
        del table["stretch"]
    old = table.get(name)
    item = tomlkit.item(explained_plain(key, value, unit))
    item.comment(f"from the fitting of {fitting.date.isoformat()}" + (f"; was {old}" if old is not None else ""))
    table[name] = item
    said.insert(0, f"{key} = {item.as_string()}" + (f" (was {old})" if old is not None else " (new)"))
    return tomlkit.dumps(document), said


def _written(mm: float, unit: str) -> float | str:
    """A reading as a tape shows it where that is exact, else as it is."""
    shown = format_length(mm, unit)
    return shown if abs(parse_length(shown, unit) - mm) < 0.02 else exact_plain(round(mm, 2), unit)
