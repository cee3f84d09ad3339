"""From a sheet back to TOML; comments of an existing file are kept."""

from __future__ import annotations

from typing import Any, Final

import tomlkit
from tomlkit.items import Table

from silhouette.asked.declared import LENGTH, POINTS, Parameter
from silhouette.asked.lengths import exact_plain, format_length, in_unit
from silhouette.asked.reading import from_plain
from silhouette.asked.sheet import PARAMETERS, SECTIONS, SIDES, Sheet, parameter_for

_STARTER_VALUES: Final = {"girths.waist": {"in": 29.0, "cm": 74.0}, "girths.hip": {"in": 40.0, "cm": 102.0}}
_STARTER_LENGTHS: Final = {
    "pads.thickness": 20.0, "pads.bevel": 40.0, "pads.start": 40.0, "pads.back_gap": 25.0,
    "foam.sheet_width": 600.0, "cloth.seam_allowance": 15.0, "cloth.opening_allowance": 25.0,
    "cloth.cover_allowance": 10.0, "cloth.cover_width": 1400.0,
}  # fmt: skip


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
    return plain


def with_values(sheet: Sheet, changes: dict[str, Any]) -> Sheet:
    """The sheet with some keys changed, checked like a file.

    Lengths are numbers in mm or text with a unit; None takes a value out again. Raises ``SheetError``.
    """
    plain = to_plain(sheet)
    for key, value in changes.items():
        *path, name = key.split(".")
        table = plain
        for part in path:
            table = table.setdefault(part, {})
        if value is None:
            table.pop(name, None)
            continue
        parameter = None if key == "unit" else parameter_for(key)
        if parameter is not None and parameter.kind == LENGTH and isinstance(value, int | float):
            value = f"{value:.9f} mm"
        elif parameter is not None and parameter.kind == POINTS:
            value = [[f"{a} mm", f"{b} mm"] for a, b in value]
        table[name] = value
    return from_plain(plain)


def sheet_toml(sheet: Sheet, over: str | None = None) -> str:
    """TOML text of a sheet. ``over`` is the text it replaces: comments, order and records there are kept."""
    document = tomlkit.parse(over) if over is not None else tomlkit.document()
    _update(document, to_plain(sheet))
    return tomlkit.dumps(document)


def _update(document: Any, plain: dict[str, Any]) -> None:
    sections = {**SECTIONS, **dict.fromkeys(SIDES)}
    for name in list(document):
        if name not in plain and (name in sections or isinstance(document, Table)):
            del document[name]
    for name, value in plain.items():
        if isinstance(value, dict):
            if not isinstance(document.get(name), dict):
                document[name] = tomlkit.table()
            _update(document[name], value)
        elif name not in document or document[name] != value:
            document[name] = value


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
            if key.startswith(section + ".") and parameter.kind != POINTS:
                lines += _starter_lines(key, parameter, unit)
    lines += [
        "",
        "# One side may differ: any key of [pads] can stand here for that side alone.",
        "# [pads.left]",
        "# thickness = " + format_length(25.4, unit, bare=True),
        "",
    ]
    return "\n".join(lines)


def _starter_lines(key: str, parameter: Parameter, unit: str) -> list[str]:
    name = key.split(".")[1]
    value: Any = parameter.default
    if key in _STARTER_VALUES:
        value = _STARTER_VALUES[key]["in" if unit == "in" else "cm"] * (10 if unit == "mm" else 1)
    elif parameter.kind == LENGTH and value is not None:
        value = in_unit(value if unit == "in" else _STARTER_LENGTHS.get(key, value), unit)
    note = f"# {parameter.help}"
    if parameter.low is not None and parameter.kind == LENGTH and parameter.high is not None:
        note += f" ({format_length(parameter.low, unit, bare=True)} to {format_length(parameter.high, unit)})"
    elif parameter.choices:
        note += f" ({', '.join(parameter.choices)})"
    if parameter.absent:
        note += f" Left out: {parameter.absent}."
    if value is None or value == "":
        return [note, f"# {name} = " + ('""' if value == "" else "")]
    return [note, f"{name} = {tomlkit.item(value).as_string()}"]


def _plain_value(parameter: Parameter, value: Any, unit: str) -> Any:
    if parameter.kind == LENGTH:
        return exact_plain(value, unit)
    if parameter.kind == POINTS:
        return [[exact_plain(a, unit), exact_plain(b, unit)] for a, b in value]
    return value
