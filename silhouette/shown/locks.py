"""One writer at a time in a folder, across programs: a lock on a hidden file that goes when the work is done."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import ModuleType
from typing import Final

from silhouette.asked.faults import OutputError

fcntl: ModuleType | None
msvcrt: ModuleType | None
try:
    import fcntl
except ImportError:  # Windows
    fcntl = None
try:
    import msvcrt
except ImportError:  # everywhere else
    msvcrt = None

LOCK: Final = ".silhouette-lock"
PATIENCE: Final = 10.0  #: seconds to wait for another writer (this tool's convention)
_PAUSE: Final = 0.02  #: seconds between two tries


@contextmanager
def locked(folder: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Hold the writing lock of a folder that stands. Raises ``OutputError`` when another program keeps it.

    The system lets go of it when its holder dies, however that happens. Not to be taken twice by one holder.
    """
    place = folder / LOCK
    handle = _take(place, patience)
    try:
        yield
    finally:
        with suppress(OSError):  # Windows removes no file that is open
            place.unlink()
        os.close(handle)
        if fcntl is None:
            with suppress(OSError):
                place.unlink()


def _take(place: Path, patience: float) -> int:
    """An open handle that holds the lock, on the very file that stands there."""
    end = time.monotonic() + patience
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0)
    while True:
        handle = -1
        try:
            handle = os.open(place, flags, 0o666)
            if _held(handle) and os.path.samestat(os.fstat(handle), os.stat(place, follow_symlinks=False)):
                return handle
        except FileNotFoundError:
            if not place.parent.is_dir():
                raise
        except PermissionError:
            if fcntl is not None:  # on Windows so long as the one before is being removed
                raise
        if handle >= 0:
            os.close(handle)
        if time.monotonic() >= end:
            raise OutputError(f"{place.parent}: another program is writing there; try again when it is done")
        time.sleep(_PAUSE)


def _held(handle: int) -> bool:
    """Whether the lock could be had; a disk that knows no locks is written without."""
    try:
        if fcntl is not None:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        elif msvcrt is not None:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return True
    return True
