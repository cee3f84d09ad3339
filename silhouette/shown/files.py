"""Files written whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from silhouette.asked.faults import OutputError


def write_file(path: Path, content: bytes | str) -> None:
    """Write one file under a temporary name beside it, then rename. Raises ``OutputError``."""
    write_files(path.parent, {path.name: content})


def write_files(folder: Path, contents: Mapping[str, bytes | str]) -> None:
    """Write several files into a folder, made if need be: all of them, or none.

    Everything is written under a temporary name first and only then renamed into place; other files in the
    folder are never touched. Raises ``OutputError`` with the reason in plain words.
    """
    made = not folder.exists()
    waiting: Path | None = None
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in contents:
            if (folder / name).is_dir():
                raise OutputError(f"{folder / name}: a folder stands where a file is to be written")
        waiting = Path(tempfile.mkdtemp(prefix=".unfinished-", dir=folder))
        for name, content in contents.items():
            raw = content.encode("utf-8") if isinstance(content, str) else content
            with (waiting / name).open("wb") as file:
                file.write(raw)
                file.flush()
                os.fsync(file.fileno())
        for name in contents:
            os.replace(waiting / name, folder / name)
    except OSError as error:
        if made and waiting is None and folder.is_dir():
            shutil.rmtree(folder, ignore_errors=True)
        raise OutputError(f"{folder}: cannot be written: {error.strerror or error}") from error
    finally:
        if waiting is not None:
            shutil.rmtree(waiting, ignore_errors=True)


def check_folder(folder: Path) -> None:
    """Refuse early, before any long work, a place that cannot become an output folder."""
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: a file stands where the output folder is to be")
    above = folder
    while not above.exists() and above != above.parent:
        above = above.parent
    if not above.is_dir() or not os.access(above, os.W_OK):
        raise OutputError(f"{folder}: cannot be written")
