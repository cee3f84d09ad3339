"""The bytes of a sheet file, read within bounds, and as text."""

from __future__ import annotations

import os
import stat
from importlib import resources
from pathlib import Path
from typing import Final

from silhouette.asked.faults import Fault, SheetError

DEMO: Final = "demo"
#: Bytes. A sheet is a page of text: the starter sheet has 5 kB, a hundred fittings another 20 (this tool's convention).
LARGEST_FILE: Final = 100_000
TOO_LARGE: Final = f"larger than {LARGEST_FILE // 1000} kB; a sheet is a page of text"


def sheet_bytes(path: str | Path) -> bytes:
    """What a sheet file holds; the word ``demo`` names the packaged example. Raises ``SheetError``."""
    if str(path) == DEMO:
        return (resources.files("silhouette") / "asked" / "demo.toml").read_bytes()
    place = Path(path)
    try:
        if place.is_dir():
            raise SheetError([Fault(str(path), "this is a folder; name the sheet file inside it")])
        if not place.exists():
            raise SheetError([Fault(str(path), "no such file (silhouette new writes a starter sheet)")])
        if place.is_file() and place.stat().st_size > LARGEST_FILE:
            raise SheetError([Fault(str(path), TOO_LARGE)])
        with place.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise SheetError([Fault(str(path), f"cannot be read: {reason}")]) from error
    if len(raw) > LARGEST_FILE:
        raise SheetError([Fault(str(path), TOO_LARGE)])
    return raw


def plain_file_bytes(place: Path, most: int = LARGEST_FILE) -> bytes | None:
    """What a plain file holds, None when it holds more than ``most`` bytes.

    A pipe or a device is never waited for: raises ``OSError``, as for whatever else cannot be read.
    """
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)
    with os.fdopen(os.open(place, flags), "rb") as file:
        state = os.fstat(file.fileno())
        if not stat.S_ISREG(state.st_mode):
            raise OSError("it is not a plain file")
        raw = b"" if state.st_size > most else file.read(most + 1)
        return None if state.st_size > most or len(raw) > most else raw


def decoded(raw: bytes, place: str) -> str:
    """Bytes as text, without byte order mark and with plain line ends. Raises ``SheetError`` naming ``place``."""
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise SheetError([Fault(place, f"not a text file (byte {error.start} is not UTF-8)")]) from error
