"""Clients' names and the files they stand for: exact, the same on Windows, macOS and Linux."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from silhouette.asked.faults import Fault
from silhouette.page.incoming import Refused
from silhouette.shown.file_names import name_fault
from silhouette.shown.versions import same_name

LONGEST_NAME: Final = 100


def checked_name(name: object) -> str:
    """A new client's name, safe as a file name on Windows, macOS and Linux. Raises :class:`Refused`.

    >>> checked_name("  Ada, act two ")
    'Ada, act two'
    """
    if not isinstance(name, str):
        raise Refused(422, [Fault("name", "must be text")])
    tidy = unicodedata.normalize("NFC", name).strip()
    if reason := _unfit(tidy):
        shown = "".join(c if c.isprintable() else "?" for c in tidy[:40])
        raise Refused(422, [Fault(f"name {shown}".strip(), reason)])
    return tidy


def _unfit(tidy: str) -> str:
    if not tidy:
        return "give the client a name"
    if len(tidy) > LONGEST_NAME or len(tidy.encode("utf-8", "replace")) > 2 * LONGEST_NAME:
        return f"at most {LONGEST_NAME} characters"
    if tidy[0] == "." or tidy[-1] == "." or ".." in tidy:
        return "must not begin or end with a dot, nor hold two in a row"
    return name_fault(tidy)


def name_as_file(stem: str) -> str:
    """Why a file of that name can be listed but not opened as a client's; "" where it can."""
    return f"the file's name {reason}; rename it" if (reason := _unfit(stem)) else ""


def sheet_files(root: Path) -> Iterator[tuple[str, Path]]:
    """The name and the path of every sheet file in a folder; hidden files and folders are none."""
    for name in sorted(os.listdir(root)) if root.is_dir() else ():
        stem, ending = os.path.splitext(name)
        if ending.lower() == ".toml" and not stem.startswith(".") and not (root / name).is_dir():
            yield stem, root / name


def sheet_file(root: Path, name: object) -> tuple[str, Path]:
    """The file of a client: of exactly that name, else of the same letters decomposed, as macOS writes them.

    Raises :class:`Refused`, 404 where there is none; a name that is only like one is not one.
    """
    tidy = checked_name(name)
    files = [(stem, path) for stem, path in sheet_files(root) if same_name(stem, str(name))]
    for stem, path in sorted(files, key=lambda file: file[0] != name):
        return stem, path
    raise Refused(404, [Fault(tidy, "no such client in this folder")])


def file_for(root: Path, name: object) -> tuple[str, Path]:
    """Where a client is saved: the file that stands, else a new one. Raises :class:`Refused`.

    409 where a file stands whose name differs in capitals alone: on Windows and macOS the two are one.
    """
    tidy = checked_name(name)
    for spelled in (name, tidy):
        files = [(stem, path) for stem, path in sheet_files(root) if same_name(stem, str(spelled))]
        for stem, path in sorted(files, key=lambda file: file[0] != spelled):
            return stem, path
    for stem, _ in sheet_files(root):
        if unicodedata.normalize("NFC", stem).casefold() == tidy.casefold():
            raise Refused(409, [Fault(tidy, f"is already there, spelled {stem}; open that one or choose another")])
    return tidy, root / f"{tidy}.toml"
