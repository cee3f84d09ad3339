"""One file put into place whole: written beside under a hidden name, flushed to disk, then one rename over it.

The file that stands is never moved away, so a kill at any moment leaves the old one or the new one.
"""

from __future__ import annotations

import os
import secrets
import stat
import time
from contextlib import suppress
from pathlib import Path
from typing import Final

from silhouette.asked.faults import OutputError

UNFINISHED: Final = ".unfinished-"
#: Seconds to wait between tries where a file is open in another program (this tool's convention).
PAUSES: Final = (0.05, 0.1, 0.2, 0.4, 0.8)
#: Windows: access denied, sharing violation, lock violation (Microsoft, System Error Codes 5, 32, 33).
_BUSY: Final = (5, 32, 33)


def target_of(path: Path, within: Path | None = None) -> Path:
    """Where a file really stands, links followed, so that a link stays a link.

    Raises ``OutputError`` where something else than a writable file stands, or outside ``within``.
    """
    target = Path(os.path.realpath(path))
    if within is not None and not target.is_relative_to(os.path.realpath(within)):
        raise OutputError(f"{path}: a link that leads out of the folder")
    try:
        state = os.stat(target)
    except FileNotFoundError:
        return target
    if stat.S_ISDIR(state.st_mode):
        raise OutputError(f"{path}: a folder stands where a file is to be written")
    if not stat.S_ISREG(state.st_mode):
        raise OutputError(f"{path}: not a file that can be written")
    if not state.st_mode & 0o222 or not os.access(target, os.W_OK):
        raise OutputError(f"{path}: cannot be written: the file is read-only")
    return target


def stage(place: Path, raw: bytes, like: Path) -> None:
    """Write a new file, flushed to disk, with the mode and owner of the one it is to replace."""
    try:
        state = os.stat(like)
    except FileNotFoundError:
        state = None
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)
    with os.fdopen(os.open(place, flags, 0o666 if state is None else 0o600), "wb") as file:
        file.write(raw)
        file.flush()
        if state is not None:
            if hasattr(os, "chown") and (state.st_uid, state.st_gid) != (os.geteuid(), os.getegid()):
                with suppress(OSError):
                    os.chown(place, state.st_uid, state.st_gid)
            os.chmod(place, stat.S_IMODE(state.st_mode))
        os.fsync(file.fileno())


def put(source: Path, target: Path) -> None:
    """Rename over what stands there, patient where another program has it open. Raises ``OutputError`` then."""
    for pause in (*PAUSES, None):
        try:
            os.replace(source, target)
            break
        except PermissionError as error:
            if getattr(error, "winerror", None) not in _BUSY:
                raise
            if pause is None:
                raise OutputError(f"{target}: open in another program; close it there and try again") from error
            time.sleep(pause)
    sync_folder(target.parent)


def put_fresh(source: Path, target: Path) -> None:
    """Put a file where none stands; raises ``FileExistsError`` when one came in between."""
    try:
        os.link(source, target)
    except FileExistsError:
        raise
    except OSError:  # a disk without hard links
        if os.path.lexists(target):
            raise FileExistsError from None
        put(source, target)
    else:
        source.unlink()
    sync_folder(target.parent)


def place_file(path: Path, raw: bytes, *, fresh: bool = False, within: Path | None = None) -> None:
    """Write one file whole or not at all, in a folder that stands and whose lock is held.

    ``fresh`` refuses a file that stands already. Raises ``OutputError`` and ``OSError``.
    """
    if fresh and os.path.lexists(path):
        raise OutputError(f"{path}: already exists; choose another name")
    target = target_of(path, within)
    name = target.name if len(os.fsencode(target.name)) < 200 else ""  # a name may have 255 bytes on most disks
    waiting = target.parent / f"{UNFINISHED}{secrets.token_hex(4)}-{name}"
    try:
        stage(waiting, raw, target)
        if fresh:
            put_fresh(waiting, target)
        else:
            put(waiting, target)
    except BaseException as error:
        with suppress(OSError):
            waiting.unlink()
        if isinstance(error, FileExistsError):
            raise OutputError(f"{path}: already exists; choose another name") from error
        raise


def sync_folder(folder: Path) -> None:
    """Flush a folder's names to disk, where the system can."""
    with suppress(OSError):  # Windows opens no folder; some disks cannot flush one
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
