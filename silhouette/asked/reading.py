"""From TOML or plain values to a sheet, every fault listed at once."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from silhouette.asked.crosscheck import cross_faults
from silhouette.asked.declared import CHOICE, FLAG, FRACTION, LENGTH, NUMBER, OUTLINE, POINTS, Parameter
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import MM_PER, UNITS, format_length, format_span, parse_length, unit_of, unit_word
from silhouette.asked.more_pads import narrow_bevel, read_more_pads
from silhouette.asked.outlines import read_outline, read_points
from silhouette.asked.pads import Pads
from silhouette.asked.sheet import PARAMETERS, SECTIONS, SIDES, Sheet
from silhouette.asked.sheet_bytes import DEMO as DEMO
from silhouette.asked.sheet_bytes import LARGEST_FILE as LARGEST_FILE
from silhouette.asked.sheet_bytes import decoded, sheet_bytes
from silhouette.asked.toml_text import plain_of


def read_sheet(path: str | Path) -> Sheet:
    """Read a sheet from a TOML file; the word ``demo`` names the packaged example.

    Raises :class:`SheetError` with every fault and its place.
    """
    return read_text(sheet_text(path), folder_of(path))


def folder_of(path: str | Path) -> Path | None:
    """The folder that a sheet file lies in; the packaged example lies in none."""
    return None if str(path) == DEMO else Path(path).parent


def sheet_text(path: str | Path) -> str:
    """The text of a sheet file, refused when it cannot be one."""
    return decoded(sheet_bytes(path), str(path))


def read_text(text: str, folder: Path | None = None) -> Sheet:
    """Read a sheet from TOML text; ``folder`` as in ``from_plain``."""
    return from_plain(plain_of(text), folder)


_Tables = dict[str, dict[str, Any]]


def from_plain(plain: Mapping[str, Any], folder: str | Path | None = None) -> Sheet:
    """A sheet from nested plain values, as TOML or JSON give them.

    ``folder`` is where the sheet lies: a scan that it names stands there.

    >>> from_plain({"unit": "in", "girths": {"waist": 32, "hip": "44 in"}}).girths.hip
    1117.6
    """
    if not isinstance(plain, Mapping):
        raise SheetError([Fault("sheet", "must be a table of sections such as [girths]")])
    faults: list[Fault] = []
    unit = _read_unit(plain, faults)
    for key in plain:
        if key not in TOP and key not in KEPT_TABLES:
            faults.append(Fault(_name(key), f"unknown section or key{_home(str(key)) or nearest_key(str(key), TOP)}"))

    built, sides = _read_tables(plain, unit, faults)
    wrong = _fill_needed(plain, built, unit, faults)
    stated = unit if unit in UNITS else _unit_of_hip(plain)
    narrow_bevel(built["pads"], sides)
    if stated != "in":  # metric stock where a metric sheet says nothing
        for key, p in PARAMETERS.items():
            if p.metric is not None:
                built[key.split(".")[0]].setdefault(key.split(".")[1], p.metric)
    pads = Pads(**built["pads"])
    more = read_more_pads(
        plain.get("more_pads"), pads, lambda place, table: _read_table("pads", place, table, unit, faults), faults
    )
    sheet = Sheet(
        unit=stated,
        more_pads=more,
        left=tuple(sorted(sides["left"].items())),
        right=tuple(sorted(sides["right"].items())),
        **{name: kind(**built[name]) for name, kind in SECTIONS.items()},
    )
    faults += cross_faults(sheet, wrong)
    if faults:
        raise SheetError(faults)
    if not sheet.body.scan or folder is None:
        return sheet
    return replace(sheet, folder=str(Path(folder).absolute()))


def _read_tables(plain: Mapping[str, Any], unit: str | None, faults: list[Fault]) -> tuple[_Tables, _Tables]:
    """Values by section and, of the pads, by side."""

    def values(section: str, place: str, table: object, beside: tuple[str, ...] = ()) -> dict[str, Any]:
        if not isinstance(table, Mapping):
            faults.append(Fault(place, f"must be a table: write [{place}] and its keys below"))
            return {}
        return dict(_read_table(section, place, {k: v for k, v in table.items() if k not in beside}, unit, faults))

    built = {name: values(name, name, plain.get(name, {}), SIDES if name == "pads" else ()) for name in SECTIONS}
    pads = plain.get("pads", {})
    of_sides = pads if isinstance(pads, Mapping) else {}
    return built, {side: values("pads", f"pads.{side}", of_sides.get(side, {})) for side in SIDES}


def _fill_needed(plain: Mapping[str, Any], built: _Tables, unit: str | None, faults: list[Fault]) -> frozenset[str]:
    """Stand-ins for what is needed and missing, so that the rest can be checked; the keys that are at fault."""
    wrong = frozenset(fault.place.split(" ")[0] for fault in faults)
    if built["body"].get("scan"):  # which has them itself
        return wrong
    for key, p in PARAMETERS.items():
        section, name = key.split(".")
        if p.needed and name not in built[section]:
            table = plain.get(section)
            if key not in wrong and not (unit == NO_UNIT and isinstance(table, Mapping) and name in table):
                faults.append(Fault(key, f"{p.label} is needed"))
            built[section][name] = p.high  # never leaves here
            wrong |= {key}
    return wrong


def _read_unit(plain: Mapping[str, Any], faults: list[Fault]) -> str | None:
    """The sheet's unit; where it cannot be known although it was asked for, ``NO_UNIT``."""
    unit = plain.get("unit")
    if unit is None:
        bare = [*_bare_numbers(plain)]
        if bare:
            rest = f" and {len(bare) - 1} more" if len(bare) > 1 else ""
            faults.append(
                Fault(
                    "unit",
                    f"missing, so a bare number has no meaning ({bare[0]}{rest}): "
                    'write unit = "in" or unit = "cm" at the top of the sheet',
                )
            )
            return NO_UNIT
        return None
    if unit in UNITS:
        return str(unit)
    meant = unit_word(unit) if isinstance(unit, str) else None
    hint = f'; write unit = "{meant}"' if meant else ""
    faults.append(Fault(f"unit = {_echo(unit)}", f"the unit must be in, cm or mm{hint}"))
    return meant or NO_UNIT


def _unit_of_hip(plain: Mapping[str, Any]) -> str:
    """The unit of a sheet that names none: the one its hip girth is written in, else cm."""
    girths = plain.get("girths")
    return (unit_of(girths.get("hip"), None) if isinstance(girths, Mapping) else None) or "cm"


def _bare_numbers(plain: Mapping[str, Any]) -> Iterator[str]:
    """Lengths of a sheet that were given without any unit."""
    for key, parameter in PARAMETERS.items():
        section, name = key.split(".")
        tables = [(section, plain.get(section))]
        if section == "pads" and isinstance(plain.get("pads"), Mapping):
            tables += [(f"pads.{side}", plain["pads"].get(side)) for side in SIDES]
        for place, table in tables:
            raw = table.get(name) if isinstance(table, Mapping) else None
            if parameter.kind == LENGTH and _unitless(raw):
                yield f"{place}.{name} = {_echo(raw)}"


#: Stands for a unit that was needed and not given; what depends on it is left unread, and said once.
NO_UNIT: Final = "?"
TOP: Final = (*SECTIONS, "unit", "more_pads")


#: Keys of older sheets, and what stands in for them now.
REPLACED: Final = {
    "cloth.squeeze": "; leave it out: a shell now lies on with a set pull (100 N per m) instead of a set squeeze, "
    "and cloth.shell_hip gives a girth of your own",
}

#: Tables of a sheet file that hold records rather than choices; they are kept, not read here.
KEPT_TABLES: Final = ("fitted",)


def _read_table(
    section: str, place: str, table: Mapping[str, Any], unit: str | None, faults: list[Fault]
) -> Iterator[tuple[str, Any]]:
    known = [key.split(".")[1] for key in PARAMETERS if key.startswith(section + ".")]
    for name, raw in table.items():
        if name not in known:
            gone = REPLACED.get(f"{section}.{name}")
            near = gone or _home(str(name)) or nearest_key(str(name), [*known, *(SIDES if section == "pads" else ())])
            faults.append(Fault(f"{place}.{_name(name)}", f"unknown key{near}"))
            continue
        parameter = PARAMETERS[f"{section}.{name}"]
        if unit == NO_UNIT and (parameter.kind in (POINTS, OUTLINE) or (parameter.kind == LENGTH and _unitless(raw))):
            continue
        if parameter.kind == OUTLINE:
            yield name, read_outline(raw, unit, f"{place}.{name}", faults)
            continue
        try:
            yield name, read_value(parameter, raw, None if unit == NO_UNIT else unit)
        except ValueError as error:
            echo = _echo(raw)
            bare = isinstance(raw, int | float) and not isinstance(raw, bool)
            if parameter.kind == LENGTH and unit in UNITS and (bare or (isinstance(raw, str) and _is_number(raw))):
                echo = f"{echo} {unit}"
            faults.append(Fault(f"{place}.{name} = {echo}", str(error)))


def read_value(parameter: Parameter, raw: Any, unit: str | None) -> Any:
    """One raw value checked against its declaration; ``ValueError`` says in plain words what is wrong."""
    kind = parameter.kind
    if kind == LENGTH:
        mm = parse_length(raw, unit)
        _within(parameter, mm, unit_of(raw, unit) or "mm", raw)
        return mm
    if kind in (NUMBER, FRACTION):
        if isinstance(raw, bool) or not isinstance(raw, int | float) or abs(raw) > 1e12 or not math.isfinite(raw):
            raise ValueError(f"{parameter.label} must be a number" + (", without quotes" * isinstance(raw, str)))
        assert parameter.low is not None and parameter.high is not None
        if not parameter.low <= raw <= parameter.high:
            symbol = f" {parameter.symbol}" if parameter.symbol else ""
            raise ValueError(f"{parameter.label} must be {parameter.low:g} to {parameter.high:g}{symbol}")
        return float(raw)
    if kind == CHOICE:
        if raw not in parameter.choices:
            near = nearest_key(raw, parameter.choices) if isinstance(raw, str) else ""
            raise ValueError(f"{parameter.label} must be one of {', '.join(parameter.choices)}{near}")
        return raw
    if kind == FLAG:
        if not isinstance(raw, bool):
            raise ValueError(f"{parameter.label} must be true or false")
        return raw
    if kind == POINTS:
        return read_points(raw, unit)
    if not isinstance(raw, str):
        raise ValueError(f"{parameter.label} must be text in quotes")
    if len(raw) > 2000 or any((ord(c) < 32 and c not in "\n\t") or "\ud800" <= c <= "\udfff" for c in raw):
        raise ValueError(f"{parameter.label} must be plain text of at most 2000 characters")
    return raw


def _within(parameter: Parameter, mm: float, unit: str, raw: Any) -> None:
    low, high = parameter.low, parameter.high
    assert low is not None and high is not None
    if low - 1e-6 <= mm <= high + 1e-6:
        return
    message = f"{parameter.label} must be {format_span(low, high, unit, sixteenths=high <= 300)}"
    if unit != "mm":
        message += f" ({low:g} to {high:g} mm)"
    number = mm / MM_PER[unit]
    meant = [u for u in UNITS if u != unit and mm > 0 and low * 1.05 <= number * MM_PER[u] <= high * 0.95]
    if meant:
        # said back in the sheet's own unit too, so that the slip is plain to see
        stated = [f"{number:g} {u}" + (f" ({_own(number * MM_PER[u], unit)})" if unit != "mm" else "") for u in meant]
        message += f"; {' or '.join(stated)} was probably meant"
    raise ValueError(message)


def _own(mm: float, unit: str) -> str:
    return format_length(mm, unit, sixteenths=unit == "in" and mm < 100)


def _home(word: str) -> str:
    """Where a key belongs that stands in the wrong section."""
    homes = [f"[{key.split('.')[0]}]" for key in PARAMETERS if key.split(".")[1] == word]
    return f"; it belongs in {' or '.join(homes)}" if homes else ""


def nearest_key(word: str, known: Any) -> str:
    close = difflib.get_close_matches(word[:80].lower(), list(known), n=1, cutoff=0.5)
    return f"; did you mean {close[0]}?" if close else f"; known are {', '.join(known)}"


def _name(key: object) -> str:
    return _echo(str(key)) or '""'


def _echo(raw: Any) -> str:
    """A value said back on one short line, whatever it is."""
    try:
        if isinstance(raw, bool):
            text = str(raw).lower()
        else:
            text = raw if isinstance(raw, str) else str(raw) if hasattr(raw, "isoformat") else repr(raw)
    except (RecursionError, ValueError):  # nested without end; an integer of thousands of digits
        text = f"({type(raw).__name__})"
    text = "".join(c if c.isprintable() else "?" for c in text[:200])
    return text if len(text) <= 60 else text[:57] + "…"


def _is_number(text: str) -> bool:
    try:
        return unit_of(text, None) is None and parse_length(text, "mm") is not None
    except ValueError:
        return False


def _unitless(raw: Any) -> bool:
    return (isinstance(raw, int | float) and not isinstance(raw, bool)) or (isinstance(raw, str) and _is_number(raw))
