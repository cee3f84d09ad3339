"""Several files put into one folder together: all of the old set or all of the new one, whatever happens in between.

The new files are written into a hidden folder beside the old ones, which stay where they are. Once all are on disk a
journal says so; from then on whoever comes next finishes the work. A failure turns the journal, in one rename, into
one that says to go back. ``recover`` acts on what a kill left.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from silhouette.asked.faults import OutputError
from silhouette.shown.locks import locked
from silhouette.shown.placing import UNFINISHED, put, stage, sync_folder, target_of

SET: Final = f"{UNFINISHED}set-"
_FORWARD, _BACK = "forward", "back"  # the journal's names
_BEFORE: Final = "before "  #: how an earlier writer named what it had moved away


@dataclass(frozen=True)
class _Entry:
    """One file of a set: where it goes, where the new one waits, and where the old one is held, if there was one."""

    target: Path
    new: Path
    old: Path
    stood: bool

    def untouched(self) -> bool:
        """Whether what stands is what stood when the set was written, so that nobody's later work is overwritten."""
        if not self.target.exists():
            return not self.stood
        return self.stood and self.old.exists() and _same(self.old, self.target)


def place_set(folder: Path, contents: Mapping[str, bytes], within: Path | None = None) -> None:
    """Put a set of files into a folder that stands and whose lock is held. Raises ``OutputError`` and ``OSError``."""
    targets = {name: target_of(folder / name, within) for name in contents}
    waiting = Path(tempfile.mkdtemp(prefix=SET, dir=folder))
    entries: list[_Entry] = []
    try:
        for number, (name, target) in enumerate(targets.items()):
            entries.append(_entry(waiting, number, folder / name, target.exists()))
            stage(entries[-1].new, contents[name], target)
            if entries[-1].stood:
                _hold(target, entries[-1].old)
        journal = {"names": list(contents), "stood": [entry.stood for entry in entries]}
        stage(waiting / "journal", json.dumps(journal).encode("utf-8"), waiting / "journal")
        put(waiting / "journal", waiting / _FORWARD)
        sync_folder(folder)
        _forward(entries, anyway=True)
    except BaseException:
        if (waiting / _FORWARD).exists():
            os.replace(waiting / _FORWARD, waiting / _BACK)
            _back(entries)
        _clear(waiting, entries)
        raise
    _clear(waiting, entries)


def recover(folder: Path, patience: float = 0.0) -> None:
    """Finish, or take back, what a killed writer left in a folder; where another is at work, leave it to that one.

    The only copy of a file is never removed. Raises nothing: what cannot be mended now is left for the next time.
    """
    try:
        if any(name.startswith(UNFINISHED) for name in os.listdir(folder)):
            with locked(folder, patience):
                recover_held(folder)
    except (OSError, OutputError):
        return


def recover_held(folder: Path, *, copies: bool = False) -> None:
    """``recover`` for a folder whose lock is held; ``copies`` says that what waits there is kept elsewhere too."""
    for place in sorted(folder.glob(f"{UNFINISHED}*")):
        with suppress(OSError, OutputError, ValueError, LookupError, TypeError):
            if place.is_symlink():
                continue
            if not place.is_dir():
                if copies or (folder / place.name.removeprefix(UNFINISHED).partition("-")[2]).is_file():
                    place.unlink()
            elif place.name.startswith(SET):
                _recover_set(folder, place)
            else:
                _recover_moved(folder, place)


def _recover_set(folder: Path, waiting: Path) -> None:
    entries: list[_Entry] = []
    for journal, act in ((_BACK, _back), (_FORWARD, _forward)):
        if (waiting / journal).exists():
            said: dict[str, Any] = json.loads((waiting / journal).read_bytes())
            for number, (name, stood) in enumerate(zip(said["names"], said["stood"], strict=True)):
                if Path(name).name != name:
                    raise ValueError(name)
                entries.append(_entry(waiting, number, folder / name, bool(stood)))
            act(entries)
            break
    _clear(waiting, entries)


def _recover_moved(folder: Path, waiting: Path) -> None:
    """A folder left by a writer that moved the standing file away first: bring back what no longer stands."""
    rest = False
    for place in sorted(waiting.iterdir()):
        name = place.name.removeprefix(_BEFORE)
        if not os.path.lexists(folder / name):
            if place.name.startswith(_BEFORE):
                put(place, folder / name)
            else:
                rest = not (waiting / f"{_BEFORE}{name}").exists()
    if not rest:
        shutil.rmtree(waiting, ignore_errors=True)


def _entry(waiting: Path, number: int, path: Path, stood: bool) -> _Entry:
    """A file of a set; through a link to another folder both copies wait there, for a rename stays on one disk."""
    target = Path(os.path.realpath(path))
    if target.parent == Path(os.path.realpath(waiting.parent)):
        return _Entry(target, waiting / f"{number}.new", waiting / f"{number}.old", stood)
    beside = target.parent / f"{waiting.name}-{number}"
    return _Entry(target, Path(f"{beside}.new"), Path(f"{beside}.old"), stood)


def _hold(target: Path, old: Path) -> None:
    """Keep hold of a standing file without moving it."""
    try:
        os.link(target, old)
    except OSError:  # a disk without hard links
        stage(old, target.read_bytes(), target)


def _forward(entries: list[_Entry], *, anyway: bool = False) -> None:
    for entry in entries:
        if entry.new.exists() and (anyway or entry.untouched()):
            put(entry.new, entry.target)


def _back(entries: list[_Entry]) -> None:
    for entry in entries:
        if entry.old.exists():
            put(entry.old, entry.target)
        elif not entry.stood and not entry.new.exists() and entry.new.parent.name.startswith(SET):
            entry.target.unlink(missing_ok=True)  # never through a link


def _clear(waiting: Path, entries: list[_Entry]) -> None:
    """Remove what is left of a set: first its journal, so that the rest means nothing any more."""
    for journal in (_FORWARD, _BACK):
        (waiting / journal).unlink(missing_ok=True)
    for entry in entries:
        for place in (entry.new, entry.old):
            place.unlink(missing_ok=True)
    shutil.rmtree(waiting, ignore_errors=True)


def _same(one: Path, other: Path) -> bool:
    return os.path.samefile(one, other) or one.read_bytes() == other.read_bytes()
