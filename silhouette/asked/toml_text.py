"""TOML text to plain values; what is wrong with it is said with line, column and, where it shows, the way out."""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

from silhouette.asked.faults import Fault, SheetError

#: More dots than a line of a sheet can hold: the TOML reader takes minutes over keys with thousands of parts.
_MOST_DOTS: Final = 3000
_VALUE: Final = re.compile(r"^\s*(?P<key>[\w.\-\"' ]+?)\s*=\s*(?P<value>.*?)\s*(?:\s#.*)?$")


def plain_of(text: str) -> dict[str, Any]:
    """Nested plain values of a TOML text. Raises ``SheetError`` with line and column."""
    lines = text.split("\n")
    for number, line in enumerate(lines, start=1):
        if line.count(".") > _MOST_DOTS:
            raise SheetError([Fault(f"line {number}, column 1", "not a line of a sheet: far too long")])
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise SheetError([_fault(error, lines)]) from error


def _fault(error: Exception, lines: list[str]) -> Fault:
    message, _, where = str(error).rpartition(" (at ")
    found = re.fullmatch(r"line (\d+), column (\d+)\)", where)
    if isinstance(error, RecursionError):
        return Fault("sheet", "not valid TOML: lists or tables are nested far too deeply")
    if found is None and "end of document" in where:
        line, column = len(lines), len(lines[-1]) + 1
    elif found is None:
        return Fault("sheet", "not valid TOML: a number with thousands of digits")
    else:
        line, column = int(found[1]), int(found[2])
    return Fault(f"line {line}, column {column}", f"not valid TOML: {_reason(message, lines[line - 1], column)}")


def _reason(message: str, line: str, column: int) -> str:
    """The reader's own words, or better ones where the usual slips of the pen show."""
    if message.startswith(("Cannot overwrite", "Cannot declare", "Cannot mutate")):
        return "this key or section stands in the sheet twice"
    match = _VALUE.match(line)
    if match is None or column <= len(match["key"]):
        if re.match(r"^\s*[\w.\-]+\s*:", line):
            return "write = between key and value, not a colon"
        return message[0].lower() + message[1:]
    key, value = match["key"].strip(), match["value"]
    if not value or value.startswith("#"):
        return f"nothing stands after {key} =; give a value, or put # before the line to leave it out"
    if value[0] in "“”„‘’«":
        return f'use plain quotes: {key} = "{value.strip("“”„‘’«»")[:40]}"'
    if value[0] not in "\"'[{":
        shown = value.replace("\\", "").replace('"', " in" if value[0].isdigit() else "").strip()[:40]
        words = "text" if not re.match(r"[-+−]?[\d.,½¼¾⅛⅜⅝⅞⅓⅔]", value) else "anything but a plain number such as 38.5"
        return f'{words} goes in quotes: {key} = "{shown}"'
    return message[0].lower() + message[1:]
