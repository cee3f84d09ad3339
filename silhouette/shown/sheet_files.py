"""A sheet file written over: only what was read is replaced, and the version before is kept."""

from __future__ import annotations

from pathlib import Path

from silhouette.asked.faults import OutputError
from silhouette.asked.sheet_bytes import sheet_bytes
from silhouette.asked.toml_text import encoded_like
from silhouette.shown.files import ready
from silhouette.shown.placing import place_file
from silhouette.shown.versions import keep_version


def replace_sheet(path: Path, was: bytes, text: str) -> None:
    """Write a sheet over the one that was read as ``was``; line ends and byte order mark stay.

    Raises ``OutputError`` when the file is no longer what was read, or cannot be written; nothing is changed then.
    """
    raw = encoded_like(text, was)
    with ready(path.parent):
        if not path.exists() or sheet_bytes(path) != was:
            raise OutputError(f"{path}: was changed by another program in the meantime; nothing was written, try again")
        if raw != was:
            keep_version(path.parent, path.stem if path.suffix == ".toml" else path.name, was)
            place_file(path, raw)
