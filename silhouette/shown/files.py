"""The one writer: files arrive whole or not at all, links stay links, modes stay, one program writes at a time."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from silhouette.asked.faults import OutputError
from silhouette.shown.file_sets import place_set, recover_held
from silhouette.shown.locks import locked
from silhouette.shown.placing import place_file


def write_file(path: Path, content: bytes | str, *, fresh: bool = False, within: Path | None = None) -> None:
    """Write one file, its folder made if need be. Raises ``OutputError`` with the reason in plain words.

    ``fresh`` refuses a file that stands already; ``within`` refuses a link that leads out of that folder.
    """
    with ready(path.parent):
        place_file(path, _raw(content), fresh=fresh, within=within)


def write_files(folder: Path, contents: Mapping[str, bytes | str], *, within: Path | None = None) -> None:
    """Write several files into a folder, made if need be: all of them, or none, even when this program is killed.

    What a killed writer left there is finished or taken back first. Other files in the folder are never touched.
    Raises ``OutputError`` with the reason in plain words.
    """
    with ready(folder):
        place_set(folder, {name: _raw(content) for name, content in contents.items()}, within)


@contextmanager
def ready(folder: Path) -> Iterator[None]:
    """A folder to write in: made if need be, its lock held, what a kill left in it mended.

    A failure of the disk inside becomes an ``OutputError``; folders made for nothing go again.
    """
    new = _missing(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with locked(folder):
            recover_held(folder)
            yield
    except BaseException as error:
        for empty in new:
            with suppress(OSError):
                empty.rmdir()
        if isinstance(error, OSError):
            raise OutputError(f"{folder}: cannot be written: {error.strerror or error}") from error
        raise


def check_folder(folder: Path) -> None:
    """Refuse early, before any long work, a place that cannot become an output folder."""
    above = next(place for place in (folder, *folder.parents, Path()) if place not in _missing(folder))
    if not above.is_dir():
        what = "the output folder is" if above == folder else "a folder is"
        raise OutputError(f"{above}: a file stands where {what} to be")
    if not os.access(above, os.W_OK):
        raise OutputError(f"{folder}: cannot be written: you may not write in {above}")


def _missing(folder: Path) -> list[Path]:
    """The folder and those above it that are yet to be made, innermost first. Raises ``OutputError``."""
    try:
        return [place for place in (folder, *folder.parents) if not place.exists()]
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written: {error.strerror or error}") from error


def _raw(content: bytes | str) -> bytes:
    return content.encode("utf-8") if isinstance(content, str) else content
