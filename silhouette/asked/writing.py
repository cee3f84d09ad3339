"""From a sheet back to TOML; comments of an existing file are kept."""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from dataclasses import replace
from typing import Any, Final

import tomlkit
import tomlkit.exceptions
import tomlkit.items

from silhouette.asked.declared import LENGTH, OUTLINE, POINTS, Parameter
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.fittings import in_own_units
from silhouette.asked.lengths import (
    INCH,
    UNITS,
    exact_plain,
    format_length,
    format_span,
    in_unit,
    mm_text,
    parse_length,
)
from silhouette.asked.outlines import plain_outline
from silhouette.asked.reading import KEPT_TABLES, TOP, from_plain
from silhouette.asked.sheet import PARAMETERS, SECTIONS, SIDES, Sheet, is_key, parameter_for
from silhouette.asked.toml_text import comments_of, plain_of

_STARTER_VALUES: Final = {"girths.waist": {"in": 29.0, "cm": 74.0}, "girths.hip": {"in": 40.0, "cm": 102.0}}
_STARTER_OUTLINE: Final = (("drop", 203.2), ("breadth", 355.6), ("front", 114.3), ("back", 127.0))


def to_plain(sheet: Sheet) -> dict[str, Any]:
    """Nested plain values in the sheet's unit, without what was left out; ``from_plain`` reads them back.

    Raises nothing; a value equal to its default is written all the same, so that a saved sheet keeps its
    meaning when a default changes.
    """
    plain: dict[str, Any] = {"unit": sheet.unit}
    for section, kind in SECTIONS.items():
        table = {}
        for key in PARAMETERS:
            if key.startswith(section + "."):
                name = key.split(".")[1]
                value = getattr(getattr(sheet, section), name)
                if value is not None and not (value == "" and kind is not None):
                    table[name] = _plain_value(PARAMETERS[key], value, sheet.unit)
        if table:
            plain[section] = table
    for side in SIDES:
        overrides = dict(sheet.left if side == "left" else sheet.right)
        if overrides:
            plain.setdefault("pads", {})[side] = {
                name: _plain_value(parameter_for(f"pads.{name}"), value, sheet.unit)
                for name, value in overrides.items()
                if value is not None
            }
    if sheet.more_pads:
        plain["more_pads"] = [
            {"name": more.name, "side": more.side}
            | {key: _plain_value(parameter_for(f"pads.{key}"), getattr(more.pads, key), sheet.unit) for key in more.own}
            for more in sheet.more_pads
        ]
    return plain


def with_values(sheet: Sheet, changes: dict[str, Any]) -> Sheet:
    """The sheet with some keys changed, checked like a file.

    Lengths are numbers in mm or text with a unit; None takes a value out again. Raises ``SheetError``.
    """
    changes = dict(changes)
    unit = changes.pop("unit", sheet.unit)
    # lengths stay what they are when the unit of a sheet changes
    plain = to_plain(replace(sheet, unit=unit)) if unit in UNITS else {**to_plain(sheet), "unit": unit}
    for key, value in changes.items():
        *path, name = key.split(".")
        table = plain
        for part in path:
            table = table.setdefault(part, {})
            if not isinstance(table, dict):
                raise SheetError([Fault(key, "unknown key")])
        if value is None:
            table.pop(name, None)
            continue
        kind = parameter_for(key).kind if is_key(key) else None  # an unknown key is refused with the rest
        if kind == LENGTH:
            value = _in_mm(value)
        elif kind == OUTLINE and isinstance(value, list | tuple):
            value = [{k: _in_mm(x) for k, x in level.items()} if isinstance(level, dict) else level for level in value]
        elif kind == POINTS and isinstance(value, list | tuple):
            value = [[_in_mm(x) for x in pair] if isinstance(pair, list | tuple) else pair for pair in value]
        table[name] = value
    return from_plain(plain, sheet.folder)


def _in_mm(value: Any) -> Any:
    """A number of mm as text that carries its unit; whatever else it is, unchanged."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return mm_text(value) if number and abs(value) < 1e6 else value


def sheet_toml(sheet: Sheet, over: str | None = None) -> str:
    """TOML text of a sheet. ``over`` is the text it replaces: comments, order, spelling and records there are kept.

    Values come first: where they cannot be put into that text exactly, it is laid out afresh with its records and
    its comments. What is returned has been read back. Raises ``SheetError`` where ``over`` is not TOML, or where
    no text says this sheet.
    """
    if over is None:
        return _read_back(_afresh(sheet, {}), sheet, {})
    was = plain_of(over)
    records = {name: was[name] for name in KEPT_TABLES if name in was}
    if was.get("unit") in UNITS and was["unit"] != sheet.unit:  # a record means what it meant
        records = {name: in_own_units(tables, was["unit"]) for name, tables in records.items()}
    if all(name in TOP or name in KEPT_TABLES for name in was):
        with suppress(
            SheetError, tomlkit.exceptions.TOMLKitError, LookupError, ValueError, TypeError, AttributeError
        ):  # laid out in a way the editor of TOML cannot follow, such as [pads.left] far above [pads]
            return _read_back(_with_comments(_edited(sheet, over, was), over), sheet, records)
    return _read_back(_with_comments(_afresh(sheet, records), over), sheet, records)


def _edited(sheet: Sheet, over: str, was: dict[str, Any]) -> str:
    document = tomlkit.parse(over)
    unit = was.get("unit")
    _update(document, to_plain(sheet), sheet.unit if unit == sheet.unit else None)
    for name in KEPT_TABLES:
        if unit in UNITS and unit != sheet.unit and name in was:
            for table, plain in zip(document[name], in_own_units(was[name], unit), strict=True):
                for key, value in plain.items():
                    if table[key] != value:
                        table[key] = value
    return tomlkit.dumps(document)


def _afresh(sheet: Sheet, records: dict[str, Any]) -> str:
    document = tomlkit.document()
    _update(document, to_plain(sheet), None)
    for name, tables in records.items():
        document[name] = tables
    return tomlkit.dumps(document)


def _with_comments(text: str, over: str) -> str:
    """The text with those comments of another on top that it has lost."""
    lost = list((Counter(comments_of(over)) - Counter(comments_of(text))).elements())
    return "\n".join([*lost, "", text]) if lost else text


def _read_back(text: str, sheet: Sheet, records: dict[str, Any]) -> str:
    """The text, if it says that sheet and those records and nothing else. Raises ``SheetError``."""
    plain = plain_of(text)
    if from_plain(plain, sheet.folder) != sheet or any(plain.get(name) != records.get(name) for name in KEPT_TABLES):
        raise SheetError([Fault("sheet", "cannot be written so that it reads back the same; nothing was written")])
    return text


def _update(document: Any, plain: dict[str, Any], unit: str | None) -> None:
    sections = {**SECTIONS, **dict.fromkeys((*SIDES, "more_pads"))}
    for name in list(document):
        if name not in plain and (name in sections or not isinstance(document, tomlkit.TOMLDocument)):
            _take_out(document, name)
    for name, value in plain.items():
        if isinstance(value, dict):
            if not isinstance(document.get(name), dict):
                document[name] = tomlkit.table()
            _update(document[name], value, unit)
        elif _are_tables(value) and _are_tables(document.get(name)) and len(value) == len(document[name]):
            for table, one in zip(document[name], value, strict=True):
                _update(table, one, unit)
        elif name not in document or not _same(document[name], value, unit):
            document[name] = value


def _are_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, dict) for one in value)


def _take_out(document: Any, name: str) -> None:
    """Take a key or a section out. A section with comments stays, empty; a key's own comment stays in its place."""
    item = document[name]
    if isinstance(item, tomlkit.items.Table) and comments_of(item.as_string()):
        _update(item, {}, None)
        return
    comment = getattr(getattr(item, "trivia", None), "comment", "")
    body = getattr(getattr(document, "value", document), "body", None)
    place = next((at for at, (key, _) in enumerate(body or ()) if key is not None and key.key == name), None)
    del document[name]
    if comment and body is not None and place is not None:
        body[place] = (None, tomlkit.items.Comment(tomlkit.items.Trivia(comment=comment)))


def _same(held: Any, value: Any, unit: str | None) -> bool:
    """Whether a file says a value already, be it in words of its own such as ``"38 1/2 in"``."""
    if isinstance(held, bool) or isinstance(value, bool) or held == value:
        return bool(held is value or held == value)
    try:
        return unit is not None and parse_length(_bare(held), unit) == parse_length(value, unit)
    except ValueError:
        return False


def _bare(value: Any) -> Any:
    return value.unwrap() if hasattr(value, "unwrap") else value


def starter_sheet(unit: str = "in") -> str:
    """A starter sheet with every key, its help and its default as comments.

    >>> starter_sheet("cm").splitlines()[3]
    'unit = "cm"'
    """
    lines = [
        "# Measurements and pad choices for one client.",
        '# Bare numbers are in the unit below; text such as "38 1/2 in" or "97.5 cm" always works.',
        "# Lines that begin with # are left out: remove the # to say something of your own.",
        f'unit = "{unit}"',
    ]
    for section in SECTIONS:
        lines += ["", f"[{section}]"]
        for key, parameter in PARAMETERS.items():
            if key.startswith(section + ".") and parameter.kind not in (POINTS, OUTLINE):
                lines += _starter_lines(key, parameter, unit)
    lines += [
        "",
        "# Her own outline, traced from photographs on the page or measured, at as many levels as wanted: breadth, or",
        "# left and right of her mid line; front and back of one plumb line. Girths stay as taped.",
        "# [[body.outline]]",
        *(f"# {name} = {in_unit(mm, unit):g}" for name, mm in _STARTER_OUTLINE),
        "",
        "# One side may differ: any key of [pads] can stand here for that side alone.",
        "# [pads.left]",
        "# thickness = " + format_length(INCH, unit, bare=True),
        "",
        "# Further pads, as many tables as wanted: any key of [pads]; what is left out is as there. Each lies on those",
        "# above it where they meet. side: both, left or right.",
        "# [[more_pads]]",
        '# name = "high hip"',
        '# side = "both"',
        "# start = " + format_length(INCH, unit, bare=True),
        "# end = " + format_length(152.4, unit, bare=True),
        "",
    ]
    return "\n".join(lines)


def _starter_lines(key: str, parameter: Parameter, unit: str) -> list[str]:
    name = key.split(".")[1]
    value: Any = parameter.default
    if key in _STARTER_VALUES:
        value = _STARTER_VALUES[key]["in" if unit == "in" else "cm"] * (10 if unit == "mm" else 1)
    elif parameter.kind == LENGTH and value is not None:
        # what a tape of that unit shows
        value = round(value / INCH * 8) / 8 if unit == "in" else in_unit(parameter.metric or value, unit)
    note = f"# {parameter.help}"
    if parameter.low is not None and parameter.kind == LENGTH and parameter.high is not None:
        note += f" ({format_span(parameter.low, parameter.high, unit)})"
    elif parameter.choices:
        note += f" ({', '.join(parameter.choices)})"
    if parameter.absent:
        note += f" Left out: {parameter.absent}."
    if value is None or value == "":
        return [note, f"# {name} = " + ('""' if value == "" else "")]
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return [note, f"{name} = {tomlkit.item(value).as_string()}"]


def _plain_value(parameter: Parameter, value: Any, unit: str) -> Any:
    if parameter.kind == LENGTH:
        return exact_plain(value, unit)
    if parameter.kind == POINTS:
        return [[exact_plain(a, unit), exact_plain(b, unit)] for a, b in value]
    if parameter.kind == OUTLINE:
        return plain_outline(value, unit)
    return value
