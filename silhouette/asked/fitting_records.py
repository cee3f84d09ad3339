"""Records of fittings put into a sheet's text, taken back again, or put to use; every other line stays as it was.

What is about to be written is read back here first: a text that does not say exactly what was meant is refused.
"""

from __future__ import annotations

import copy
import re
from collections import Counter
from collections.abc import Mapping
from typing import Any, Final

import tomlkit

from silhouette.asked.declared import LENGTH
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.fittings import Fitting
from silhouette.asked.lengths import exact_plain, format_length, parse_length
from silhouette.asked.sheet import parameter_for
from silhouette.asked.toml_text import comments_of, plain_of

_RECORD: Final = re.compile(r"^[ \t]*\[\[[ \t]*(fitted|\"fitted\"|'fitted')[ \t]*\]\][ \t]*(#.*)?$")
_NAME: Final = r"""(?:[\w\-]+|"[^"\n]*"|'[^'\n]*')"""
_HEADER: Final = re.compile(rf"^[ \t]*\[\[?[ \t]*{_NAME}(?:[ \t]*\.[ \t]*{_NAME})*[ \t]*\]\]?[ \t]*(#.*)?$")


def add_fitting(text: str, fitting: Fitting, unit: str) -> str:
    """The sheet's text with one more record at its end. Lengths carry their own unit, whatever the sheet's becomes.

    Raises ``SheetError`` where the result would not read back as meant.
    """
    values: dict[str, Any] = {
        "date": fitting.date,
        "level": fitting.level,
        "over": fitting.over,
        "girth": _written(fitting.girth, unit),
        "predicted": _written(fitting.predicted, unit),
        "foam": _with_unit(round(fitting.foam, 3), unit),
    }
    if fitting.shell_hip is not None:
        values["shell_hip"] = _with_unit(round(fitting.shell_hip, 3), unit)
    if fitting.explains is not None:
        key, value = fitting.explains
        values |= {"would_explain": key, "value": explained_plain(key, value, unit)}
    lines = ["[[fitted]]", *(f"{key} = {tomlkit.item(value).as_string()}" for key, value in values.items())]
    before = text if not text or text.endswith("\n") else text + "\n"
    written = before + ("" if not text or before.endswith("\n\n") else "\n") + "\n".join(lines) + "\n"
    plain = plain_of(text)
    return _read_back(written, {**plain, "fitted": [*plain.get("fitted", []), values]}, comments_of(text))


def without_fitting(text: str, number: int) -> str:
    """The sheet's text without its ``number``-th record, counted from 0 as they stand in the text.

    Comments on lines of their own stay. Raises ``SheetError`` where the result would not read back as meant.
    """
    lines = text.split("\n")
    starts = [at for at, line in enumerate(lines) if _RECORD.match(line)]
    plain = plain_of(text)
    records = plain.get("fitted", [])
    if len(starts) != len(records):
        raise SheetError([Fault("fitted", "the records are not laid out as [[fitted]] tables; take it out by hand")])
    end = next((at for at in range(starts[number] + 1, len(lines)) if _HEADER.match(lines[at])), len(lines))
    record = lines[starts[number] : end]
    last = max(at for at, line in enumerate(record) if line.strip() and not line.lstrip().startswith("#"))
    kept = [line for line in record[: last + 1] if line.lstrip().startswith("#")]
    above, below = lines[: starts[number]], [*kept, *record[last + 1 :], *lines[end:]]
    if above and below and not above[-1].strip() and not below[0].strip():
        above.pop()
    written = "\n".join([*above, *below])
    if end == len(lines):
        written = written.rstrip("\n") + "\n"
    wanted = {**plain, "fitted": [*records[:number], *records[number + 1 :]]}
    if not wanted["fitted"]:
        del wanted["fitted"]
    return _read_back(written, wanted, [line.strip() for line in kept])


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
    wanted = copy.deepcopy(plain_of(text))
    comments = comments_of(text)
    said = []
    if key == "cloth.stiffness" and "stretch" in table:
        said.append(f"cloth.stretch = {table['stretch']} taken out")
        note = table["stretch"].trivia.comment
        if note in comments:
            comments.remove(note)  # it goes with its value
        del table["stretch"]
        del wanted["cloth"]["stretch"]
    old = table.get(name)
    item = tomlkit.item(explained_plain(key, value, unit))
    note = f"from the fitting of {fitting.date.isoformat()}" + (f"; was {old}" if old is not None else "")
    own = "" if old is None else old.trivia.comment
    item.comment(f"{own}; {note}" if own else note)
    if own in comments:
        comments.remove(own)
    table[name] = item
    wanted.setdefault(section, {})[name] = item.unwrap()
    said.insert(0, f"{key} = {item.as_string()}" + (f" (was {old})" if old is not None else " (new)"))
    return _read_back(tomlkit.dumps(document), wanted, comments), said


def explained_plain(key: str, value: float, unit: str) -> float | str:
    """An explaining value the way a sheet holds it."""
    return _with_unit(round(value, 2), unit) if parameter_for(key).kind == LENGTH else round(value, 3)


def _written(mm: float, unit: str) -> str:
    """A reading as a tape shows it where that is exact, else as it is."""
    shown = format_length(mm, unit)
    return shown if abs(parse_length(shown, unit) - mm) < 0.02 else _with_unit(round(mm, 2), unit)


def _with_unit(mm: float, unit: str) -> str:
    plain = exact_plain(mm, unit)
    return plain if isinstance(plain, str) else f"{plain:.4f}".rstrip("0").rstrip(".") + f" {unit}"


def _read_back(text: str, wanted: Mapping[str, Any], comments: list[str]) -> str:
    """The text, if it says what is wanted and still holds the comments. Raises ``SheetError``."""
    try:
        if plain_of(text) == wanted and not Counter(comments) - Counter(comments_of(text)):
            return text
        why = "it would not say the same"
    except SheetError as error:
        why = str(error.faults[0])
    raise SheetError(
        [Fault("sheet", f"this cannot be put into the sheet as it is laid out ({why}); nothing was written")]
    )
