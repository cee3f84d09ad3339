"""From TOML or plain values to a sheet, every fault listed at once."""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Iterator, Mapping
from importlib import resources
from pathlib import Path
from typing import Any, Final

from silhouette.asked.declared import CHOICE, FLAG, FRACTION, LENGTH, NUMBER, POINTS, Parameter
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import MM_PER, UNITS, format_length, in_unit, parse_length, unit_of
from silhouette.asked.materials import material_faults
from silhouette.asked.sheet import PARAMETERS, SECTIONS, SIDES, Pads, Sheet

DEMO: Final = "demo"
LARGEST_FILE: Final = 1_000_000  #: bytes; a sheet is a page of text


def read_sheet(path: str | Path) -> Sheet:
    """Read a sheet from a TOML file; the word ``demo`` names the packaged example.

    Raises :class:`SheetError` with every fault and its place.
    """
    return read_text(sheet_text(path))


def sheet_text(path: str | Path) -> str:
    """The text of a sheet file, refused when it cannot be one."""
    if str(path) == DEMO:
        return (resources.files("silhouette") / "asked" / "demo.toml").read_text("utf-8")
    place = Path(path)
    try:
        if place.is_dir():
            raise SheetError([Fault(str(path), "this is a folder; name the sheet file inside it")])
        if not place.exists():
            raise SheetError([Fault(str(path), "no such file (silhouette new writes a starter sheet)")])
        if place.is_file() and place.stat().st_size > LARGEST_FILE:
            raise SheetError([Fault(str(path), "larger than 1 MB; a sheet is a page of text")])
        with place.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise SheetError([Fault(str(path), f"cannot be read: {reason}")]) from error
    if len(raw) > LARGEST_FILE:
        raise SheetError([Fault(str(path), "larger than 1 MB; a sheet is a page of text")])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SheetError([Fault(str(path), f"not a text file (byte {error.start} is not UTF-8)")]) from error


def read_text(text: str) -> Sheet:
    """Read a sheet from TOML text."""
    try:
        plain = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError) as error:
        raise SheetError([_toml_fault(error)]) from error
    return from_plain(plain)


def _toml_fault(error: Exception) -> Fault:
    message = str(error) or "too deeply nested"
    if "(at line " in message:
        message, _, where = message.rpartition(" (at ")
        return Fault(where.rstrip(")"), f"not valid TOML: {message}")
    return Fault("sheet", f"not valid TOML: {message}")


def from_plain(plain: Mapping[str, Any]) -> Sheet:
    """A sheet from nested plain values, as TOML or JSON give them.

    >>> from_plain({"unit": "in", "girths": {"waist": 32, "hip": "44 in"}}).girths.hip
    1117.6
    """
    faults: list[Fault] = []
    unit = plain.get("unit")
    if unit is not None and unit not in UNITS:
        faults.append(Fault(f"unit = {_echo(unit)}", "the unit must be in, cm or mm"))
        unit = None
    for key in plain:
        if key not in SECTIONS and key not in ("unit", *KEPT_TABLES):
            faults.append(Fault(str(key)[:80], f"unknown section{nearest_key(str(key), [*SECTIONS, 'unit'])}"))

    built: dict[str, dict[str, Any]] = {}
    sides: dict[str, dict[str, Any]] = {}
    for section in SECTIONS:
        table = plain.get(section, {})
        if not isinstance(table, Mapping):
            faults.append(Fault(section, f"must be a table: write [{section}] and its keys below"))
            table = {}
        own = {k: v for k, v in table.items() if not (section == "pads" and k in SIDES)}
        built[section] = dict(_read_table(section, section, own, unit, faults))
    for side in SIDES:
        pads = plain.get("pads", {})
        table = pads.get(side, {}) if isinstance(pads, Mapping) else {}
        if not isinstance(table, Mapping):
            faults.append(Fault(f"pads.{side}", f"must be a table: write [pads.{side}] and its keys below"))
            table = {}
        sides[side] = dict(_read_table("pads", f"pads.{side}", table, unit, faults))

    missing = [
        Fault(key, f"{p.label} is needed")
        for key, p in PARAMETERS.items()
        if p.needed and key.split(".")[1] not in built[key.split(".")[0]]
        and not any(f.place.split(" ")[0] == key for f in faults)
    ]  # fmt: skip
    faults += missing
    if not faults:
        sheet = Sheet(
            unit=unit or "cm",
            left=tuple(sorted(sides["left"].items())),
            right=tuple(sorted(sides["right"].items())),
            **{name: kind(**built[name]) for name, kind in SECTIONS.items()},
        )
        faults += _cross_faults(sheet)
        if not faults:
            return sheet
    raise SheetError(faults)


#: Tables of a sheet file that hold records rather than choices; they are kept, not read here.
KEPT_TABLES: Final = ("fitted",)


def _read_table(
    section: str, place: str, table: Mapping[str, Any], unit: str | None, faults: list[Fault]
) -> Iterator[tuple[str, Any]]:
    known = [key.split(".")[1] for key in PARAMETERS if key.startswith(section + ".")]
    for name, raw in table.items():
        if name not in known:
            faults.append(Fault(f"{place}.{str(name)[:80]}", f"unknown key{nearest_key(str(name), known)}"))
            continue
        parameter = PARAMETERS[f"{section}.{name}"]
        try:
            yield name, read_value(parameter, raw, unit)
        except ValueError as error:
            echo = _echo(raw)
            bare = isinstance(raw, int | float) and not isinstance(raw, bool)
            if parameter.kind == LENGTH and unit and (bare or (isinstance(raw, str) and _is_number(raw))):
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
            raise ValueError(f"{parameter.label} must be a number")
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
        return _read_points(raw, unit)
    if not isinstance(raw, str):
        raise ValueError(f"{parameter.label} must be text in quotes")
    if len(raw) > 2000 or any(ord(c) < 32 and c not in "\n\t" for c in raw):
        raise ValueError(f"{parameter.label} must be plain text of at most 2000 characters")
    return raw


def _read_points(raw: Any, unit: str | None) -> tuple[tuple[float, float], ...]:
    if not isinstance(raw, list | tuple) or not 3 <= len(raw) <= 200:
        raise ValueError("an outline is a list of 3 to 200 pairs [distance from the side seam, drop]")
    points = []
    for pair in raw:
        if not isinstance(pair, list | tuple) or len(pair) != 2:
            raise ValueError("each outline point is a pair [distance from the side seam, drop]")
        points.append((parse_length(pair[0], unit), parse_length(pair[1], unit)))
    if points[0][0] != 0 or points[-1][0] != 0:
        raise ValueError("an outline starts and ends on the side seam: its first and last distance must be 0")
    if any(distance <= 0 for distance, _ in points[1:-1]):
        raise ValueError("between its ends an outline must stay away from the side seam: distances above 0")
    drops = [drop for _, drop in points]
    if any(b - a < 1 for a, b in zip(drops, drops[1:], strict=False)):
        raise ValueError("outline points must run downward, each at least 1 mm below the one before")
    if drops[0] < 0 or drops[-1] > 700 or max(distance for distance, _ in points) > 600:
        raise ValueError("an outline must stay within 600 mm of the side seam and between waist and knee")
    return tuple(points)


def _within(parameter: Parameter, mm: float, unit: str, raw: Any) -> None:
    low, high = parameter.low, parameter.high
    assert low is not None and high is not None
    if low - 1e-6 <= mm <= high + 1e-6:
        return
    fine = parameter.high is not None and parameter.high <= 300
    if unit == "mm":
        span = f"{low:g} to {high:g} mm"
    else:
        ends = [format_length(x, unit, sixteenths=fine, bare=True) for x in (low, high)]
        span = f"{ends[0]} to {ends[1]} {unit} ({low:g} to {high:g} mm)"
    message = f"{parameter.label} must be {span}"
    number = mm / MM_PER[unit]
    for other in UNITS:
        meant = number * MM_PER[other]
        if other != unit and mm > 0 and low * 1.05 <= meant <= high * 0.95 and {unit, other} != {"mm", "in"}:
            told = format_length(meant, "cm" if unit != "cm" else "in")
            message += f"; {number:g} {other} ({told}) was probably meant" if told != f"{number:g} {other}" else (
                f"; {number:g} {other} was probably meant")  # fmt: skip
            break
    raise ValueError(message)


def _cross_faults(sheet: Sheet) -> Iterator[Fault]:
    unit = sheet.unit
    girths = sheet.girths

    def show(mm: float) -> str:
        return f"{in_unit(mm, unit):g} {unit}"

    if girths.waist > 1.2 * girths.hip:
        yield Fault(
            f"girths.waist = {show(girths.waist)}",
            f"far above the hip girth {show(girths.hip)}; were the two swapped?",
        )
    if girths.high_hip is not None and not 0.75 * girths.waist <= girths.high_hip <= 1.25 * max(
        girths.hip, girths.waist
    ):
        yield Fault(f"girths.high_hip = {show(girths.high_hip)}", "must lie near the waist and hip girths")
    if girths.thigh is not None and not 0.4 * girths.hip <= girths.thigh <= 0.8 * girths.hip:
        yield Fault(
            f"girths.thigh = {show(girths.thigh)}",
            f"one thigh is 0.4 to 0.8 of the hip girth ({show(0.4 * girths.hip)} to {show(0.8 * girths.hip)})",
        )
    if girths.knee is not None:
        thigh = girths.thigh or 0.6 * girths.hip
        if not 0.35 * thigh <= girths.knee <= 0.95 * thigh:
            yield Fault(f"girths.knee = {show(girths.knee)}", f"must be 0.35 to 0.95 of the thigh ({show(thigh)})")

    given = [(n, getattr(sheet.drops, n)) for n in ("high_hip", "hip", "under_seat", "knee")]
    given = [(n, d) for n, d in given if d is not None]
    for (above, a), (below, b) in zip(given, given[1:], strict=False):
        if b < a + 20:
            yield Fault(
                f"drops.{below} = {show(b)}",
                f"must lie at least {show(20)} below drops.{above} ({show(a)}): measure down from the waist",
            )
    yield from material_faults(sheet)
    seen: set[str] = set()
    for side in SIDES:
        for fault in _pad_faults(sheet.pads_on(side), side, sheet, show):
            if str(fault) not in seen:
                seen.add(str(fault))
                yield fault


def _pad_faults(pads: Pads, side: str, sheet: Sheet, show: Any) -> Iterator[Fault]:
    overrides = dict(sheet.left if side == "left" else sheet.right)

    def place(name: str) -> str:
        return f"pads.{side}.{name}" if name in overrides else f"pads.{name}"

    if pads.front_reach is not None and pads.front and pads.front_outline is None:
        if pads.front_reach > sheet.girths.hip / 2:
            yield Fault(
                f"{place('front_reach')} = {show(pads.front_reach)}",
                f"wider than the body: half the hip girth is {show(sheet.girths.hip / 2)}",
            )
        if pads.bevel > pads.front_reach:
            yield Fault(
                f"{place('bevel')} = {show(pads.bevel)}",
                f"wider than the front pad, which reaches {show(pads.front_reach)}",
            )
    if pads.end is not None and pads.end < pads.start + 60:
        yield Fault(
            f"{place('end')} = {show(pads.end)}",
            f"must lie at least {show(60)} below the pad's start ({show(pads.start)})",
        )


def nearest_key(word: str, known: Any) -> str:
    close = difflib.get_close_matches(word[:80].lower(), list(known), n=1, cutoff=0.5)
    return f"; did you mean {close[0]}?" if close else f"; known are {', '.join(known)}"


def _echo(raw: Any) -> str:
    text = raw if isinstance(raw, str) else str(raw).lower() if isinstance(raw, bool) else repr(raw)[:200]
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= 60 else text[:57] + "…"


def _is_number(text: str) -> bool:
    try:
        return unit_of(text, None) is None and parse_length(text, "mm") is not None
    except ValueError:
        return False
