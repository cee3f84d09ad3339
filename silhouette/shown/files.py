"""Files written whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
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
    made = _missing(folder)
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
        _into_place(waiting, folder, list(contents))
    except BaseException as error:
        if waiting is not None:
            shutil.rmtree(waiting, ignore_errors=True)
        for empty in made:
            with suppress(OSError):
                empty.rmdir()
        if isinstance(error, OSError):
            raise OutputError(f"{folder}: cannot be written: {error.strerror or error}") from error
        raise
    shutil.rmtree(waiting, ignore_errors=True)


def _into_place(waiting: Path, folder: Path, names: Sequence[str]) -> None:
    """Rename every file into the folder; when one cannot be, put back what stood there before."""
    done: list[str] = []
    try:
        for name in names:
            if os.path.lexists(folder / name):
                os.replace(folder / name, waiting / f"before {name}")
            done.append(name)
            os.replace(waiting / name, folder / name)
    except BaseException:
        for name in done:
            if (waiting / f"before {name}").exists():
                os.replace(waiting / f"before {name}", folder / name)
            elif not (waiting / name).exists():
                (folder / name).unlink(missing_ok=True)
        raise


def _missing(folder: Path) -> list[Path]:
    """The folder and those above it that are yet to be made, innermost first. Raises ``OutputError``."""
    try:
        return [place for place in (folder, *folder.parents) if not place.exists()]
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written: {error.strerror or error}") from error


def check_folder(folder: Path) -> None:
    """Refuse early, before any long work, a place that cannot become an output folder."""
    above = next(place for place in (folder, *folder.parents, Path()) if place not in _missing(folder))
    if not above.is_dir():
        what = "the output folder is" if above == folder else "a folder is"
        raise OutputError(f"{above}: a file stands where {what} to be")
    if not os.access(above, os.W_OK):
        raise OutputError(f"{folder}: cannot be written: you may not write in {above}")
