"""TOML text to plain values; what is wrong with it is said with line, column and, where it shows, the way out.

Also what a text holds besides its values, which a writer must not lose: comments, line ends, byte order mark.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

from silhouette.asked.faults import Fault, SheetError

#: Parts of one key, ``pads.left.start`` has three: the TOML readers take minutes over many keys of many parts.
_MOST_PARTS: Final = 12
_QUOTED: Final = re.compile(r"""\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'""")
_COMMENT: Final = re.compile(
    r"""\"{3}(?:\\.|[^\\])*?\"{3,5}|'{3}.*?'{3,5}|\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'|(#[^\n]*)""", re.DOTALL
)
_BOM: Final = b"\xef\xbb\xbf"
_VALUE: Final = re.compile(r"^\s*(?P<key>[\w.\-\"' ]+?)\s*=\s*(?P<value>.*?)\s*(?:\s#.*)?$")


def plain_of(text: str) -> dict[str, Any]:
    """Nested plain values of a TOML text. Raises ``SheetError`` with line and column."""
    lines = text.split("\n")
    for number, line in enumerate(lines, start=1):
        if line.count(".") >= _MOST_PARTS and _parts(line) > _MOST_PARTS:
            raise SheetError(
                [
                    Fault(
                        f"line {number}, column 1",
                        f"not a line of a sheet: more than {_MOST_PARTS} names with dots between",
                    )
                ]
            )
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise SheetError([_fault(error, lines)]) from error


def _parts(line: str) -> int:
    """Parts of the longest dotted key that a line may hold; what stands in quotes counts as one."""
    bare = re.sub(r"[ \t]*\.[ \t]*", ".", _QUOTED.sub("q", line))
    return max((len([part for part in word.split(".") if part]) for word in re.split(r"[^\w.\-]+", bare)), default=0)


def comments_of(text: str) -> list[str]:
    """The comments of a TOML text, in order, without the white space at their ends.

    >>> comments_of('# one\\nnote = "# no"  # two')
    ['# one', '# two']
    """
    return [match[1].rstrip() for match in _COMMENT.finditer(text) if match[1]]


def encoded_like(text: str, raw: bytes) -> bytes:
    """A text as bytes, with the line ends and the byte order mark of the file it comes from.

    >>> encoded_like("a = 1\\nb = 2\\n", b"a = 1\\r\\n")
    b'a = 1\\r\\nb = 2\\r\\n'
    """
    text = text.replace("\r\n", "\n")
    if raw.count(b"\r\n") * 2 > raw.count(b"\n"):
        text = text.replace("\n", "\r\n")
    return (_BOM if raw.startswith(_BOM) else b"") + text.encode("utf-8")


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
