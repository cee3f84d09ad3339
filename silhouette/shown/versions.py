"""Earlier versions of a sheet file, kept beside it: ``.earlier/<name>/<number>-<moment>-<mark>.toml``.

The number alone says which came later, so a clock that is set back neither hides nor drops one.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from silhouette.asked.faults import OutputError
from silhouette.shown.placing import place_file

EARLIER: Final = ".earlier"
KEPT_VERSIONS: Final = 100
_VERSION: Final = re.compile(r"(?:(\d{6,9})-)?(\d{8}T\d{12})-([0-9a-f]{20})", re.ASCII)


@dataclass(frozen=True)
class Version:
    """One earlier version: its file, its number (0 where it was kept by date alone), its mark, seconds when kept."""

    path: Path
    number: int
    mark: str
    saved: float


def mark_of(raw: bytes) -> str:
    """What changes whenever the bytes of a file do."""
    return hashlib.sha256(raw).hexdigest()[:20]


def versions_of(folder: Path, name: str) -> list[Version]:
    """The kept versions of a sheet, oldest first. Raises ``OutputError`` where they would lie outside the folder."""
    place = _place(folder, name)
    found = []
    for path in place.glob("*.toml"):
        match = _VERSION.fullmatch(path.stem)
        if match is not None and not path.is_symlink():
            found.append(
                (int(match[1] or 0), path.stem, Version(path, int(match[1] or 0), match[3], _moment(path, match[2])))
            )
    return [version for *_, version in sorted(found, key=lambda row: row[:2])]


def keep_version(folder: Path, name: str, raw: bytes) -> None:
    """Keep what stands before it is written over; the folder's lock is held. The oldest beyond a hundred go.

    Raises ``OutputError`` and ``OSError``.
    """
    versions = versions_of(folder, name)
    mark = mark_of(raw)
    if versions and versions[-1].mark == mark:
        return
    number = versions[-1].number + 1 if versions else 1
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
    place = _place(folder, name)
    place.mkdir(parents=True, exist_ok=True)
    place_file(place / f"{number:06d}-{stamp}-{mark}.toml", raw, fresh=True)
    for old in versions[: max(0, len(versions) + 1 - KEPT_VERSIONS)]:
        old.path.unlink(missing_ok=True)


def hidden_folder(folder: Path, name: str) -> Path:
    """A hidden folder of records inside a folder. Raises ``OutputError`` where a link stands in its place."""
    place = folder / name
    if place.is_symlink() or not place.resolve().is_relative_to(folder.resolve()):
        raise OutputError(f"{name}: leads out of the folder")
    return place


def same_name(one: str, other: str) -> bool:
    """Whether two names are the same letters, composed (``ë``) or decomposed (``e`` and a diaeresis)."""
    return one == other or unicodedata.normalize("NFC", one) == unicodedata.normalize("NFC", other)


def _place(folder: Path, name: str) -> Path:
    """Where a sheet's versions lie: the folder of exactly that name, else of the same letters, else yet to be made."""
    above = hidden_folder(folder, EARLIER)
    if not (above / name).exists() and above.is_dir():
        name = next((p.name for p in sorted(above.iterdir()) if same_name(p.name, name)), name)
    return hidden_folder(above, name)


def _moment(path: Path, stamp: str) -> float:
    with suppress(ValueError, OverflowError, OSError):
        return datetime.strptime(stamp, "%Y%m%dT%H%M%S%f").replace(tzinfo=UTC).timestamp()
    with suppress(OSError):  # an impossible date in a name: when the file was last written says as much
        return path.stat().st_mtime
    return 0.0
