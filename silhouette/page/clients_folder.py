"""The clients' folder: one sheet file for each client, earlier versions kept, nothing outside ever touched."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import threading
import time
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from silhouette.asked.faults import Fault, OutputError, SheetError
from silhouette.asked.reading import LARGEST_FILE, from_plain
from silhouette.asked.writing import sheet_toml
from silhouette.page.incoming import Refused
from silhouette.shown.files import write_file

EARLIER: Final = ".earlier"
VARIANTS: Final = ".variants"
KEPT_VERSIONS: Final = 100
MOST_VARIANTS: Final = 4
LONGEST_NAME: Final = 100
_DEVICES: Final = {"con", "prn", "aux", "nul", "conin$", "conout$", "clock$"} | {
    f"{port}{digit}" for port in ("com", "lpt") for digit in "0123456789¹²³"
}
_VERSION: Final = re.compile(r"\d{8}T\d{12}-[0-9a-f]{20}")
_STALE: Final = 60.0  #: seconds after which a half-written folder belongs to nobody


@dataclass(frozen=True)
class Kept:
    """A sheet file as it stands: its name, its bytes and the mark that changes whenever they do."""

    name: str
    raw: bytes

    @property
    def mark(self) -> str:
        return hashlib.sha256(self.raw).hexdigest()[:20]

    @property
    def plain(self) -> dict[str, Any]:
        """The nested plain values as written, faulty or not. Raises :class:`Refused` when it is not TOML."""
        try:
            return tomllib.loads(self.raw.decode("utf-8-sig"))
        except (ValueError, RecursionError) as error:
            raise Refused(422, [Fault(self.name, f"not valid TOML: {error or 'too deeply nested'}")]) from error


def checked_name(name: object) -> str:
    """A client's name that is safe as a file name on Windows, macOS and Linux. Raises :class:`Refused`.

    >>> checked_name("  Ada, act two ")
    'Ada, act two'
    """
    if not isinstance(name, str):
        raise Refused(422, [Fault("name", "must be text")])
    tidy = unicodedata.normalize("NFC", name).strip()
    shown = "".join(c if c.isprintable() else "?" for c in tidy[:40])
    reason = ""
    if not tidy:
        reason = "give the client a name"
    elif len(tidy) > LONGEST_NAME or len(tidy.encode("utf-8", "replace")) > 2 * LONGEST_NAME:
        reason = f"at most {LONGEST_NAME} characters"
    elif any(c in '/\\<>:"|?*' or not c.isprintable() or 0xD800 <= ord(c) <= 0xDFFF for c in tidy):
        reason = 'without / \\ < > : " | ? * and without control characters'
    elif tidy[0] == "." or tidy[-1] == "." or ".." in tidy:
        reason = "must not begin or end with a dot, nor hold two in a row"
    elif tidy.split(".")[0].strip().lower() in _DEVICES:
        reason = "is the name of a device on some computers; choose another"
    if reason:
        raise Refused(422, [Fault(f"name {shown}".strip(), reason)])
    return tidy


class Folder:
    """Reads and saves the sheets of one folder. Every method raises :class:`Refused` with a reason in plain words."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._lock = threading.Lock()
        self._listed: dict[str, tuple[float, int, dict[str, Any] | None]] = {}
        self._sweep()

    def listing(self) -> list[dict[str, Any]]:
        """Every client, the latest first. Other TOML files in the folder are left out."""
        rows: list[dict[str, Any]] = []
        for path in self.root.glob("*.toml"):
            try:
                checked_name(path.stem)
                state = path.stat()
                if not self._inside(path) or state.st_size > LARGEST_FILE:
                    continue
                known = self._listed.get(path.stem)
                if known is None or known[:2] != (state.st_mtime, state.st_size):
                    known = (state.st_mtime, state.st_size, _summary(path.read_bytes()))
                    self._listed[path.stem] = known
            except (OSError, Refused):
                continue
            if known[2] is not None:
                rows.append({"name": path.stem, "saved": _iso(known[0]), **known[2]})
        return sorted(rows, key=lambda row: (row["saved"], row["name"]), reverse=True)

    def read(self, name: object) -> Kept:
        """A client's sheet as it stands."""
        tidy = checked_name(name)
        return Kept(tidy, self._bytes(self.root / f"{tidy}.toml", tidy))

    def save(self, name: object, plain: Mapping[str, Any], base: object, variants: object = None) -> Kept:
        """Save a sheet, the version before it kept.

        ``base`` is the mark of the version that was being edited, or None for a new client. When the file is
        not that version any more, nothing is written: 409, with the mark that stands there now.
        """
        tidy = checked_name(name)
        sheet = from_plain(plain)
        kept_variants = None if variants is None else _checked_variants(variants)
        with self._lock:
            place = self.root / f"{tidy}.toml"
            now = self._standing(tidy, place)
            if (now.mark if now else None) != base:
                raise Refused(
                    409, [Fault(tidy, _conflict_words(now, base))], mark=now.mark if now else None,
                    saved=_iso(place.stat().st_mtime) if now else None,
                )  # fmt: skip
            try:
                over = now.raw.decode("utf-8-sig") if now else None
                raw = sheet_toml(sheet, over).encode("utf-8")
            except (ValueError, RecursionError):
                raw = sheet_toml(sheet).encode("utf-8")  # what stood there was not TOML; it is kept as it was
            if now and now.raw != raw:
                self._keep(now)
            if kept_variants is not None:
                write_file(self._within(VARIANTS) / f"{tidy}.json", json.dumps(kept_variants, ensure_ascii=False))
            if not now or now.raw != raw:
                write_file(place, raw)
            return Kept(tidy, raw)

    def variants(self, name: str) -> list[dict[str, Any]]:
        """The variants that were kept with a client; an unreadable record counts as none."""
        try:
            raw = self._bytes(self._within(VARIANTS) / f"{name}.json", name)
            return _checked_variants(json.loads(raw))
        except (Refused, SheetError, ValueError, RecursionError):
            return []

    def earlier(self, name: object) -> list[dict[str, str]]:
        """Earlier versions of a client's sheet, the latest first."""
        return [
            {"version": p.stem, "saved": _iso(_moment(p.stem))} for p in reversed(self._versions(checked_name(name)))
        ]

    def read_earlier(self, name: object, version: object) -> Kept:
        """One earlier version as it was."""
        tidy = checked_name(name)
        if not isinstance(version, str) or not _VERSION.fullmatch(version):
            raise Refused(404, [Fault("version", "no such version")])
        return Kept(tidy, self._bytes(self._within(EARLIER) / tidy / f"{version}.toml", "version"))

    def _keep(self, kept: Kept) -> None:
        versions = self._versions(kept.name)
        if versions and versions[-1].stem.endswith(kept.mark):
            return
        stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
        write_file(self._within(EARLIER) / kept.name / f"{stamp}-{kept.mark}.toml", kept.raw)
        for old in versions[: max(0, len(versions) + 1 - KEPT_VERSIONS)]:
            old.unlink(missing_ok=True)

    def _versions(self, name: str) -> list[Path]:
        return sorted(p for p in (self._within(EARLIER) / name).glob("*.toml") if _VERSION.fullmatch(p.stem))

    def _standing(self, name: str, place: Path) -> Kept | None:
        others = [p.stem for p in self.root.glob("*.toml") if p.stem.casefold() == name.casefold() and p.stem != name]
        if others and not place.exists():
            raise Refused(409, [Fault(name, f"is already there, spelled {others[0]}; open that one or choose another")])
        return Kept(name, self._bytes(place, name)) if place.is_symlink() or place.exists() else None

    def _bytes(self, place: Path, name: str) -> bytes:
        try:
            if not place.exists() and not place.is_symlink():
                raise Refused(404, [Fault(name, "no such client in this folder")])
            if not self._inside(place) or not place.is_file():
                raise Refused(403, [Fault(name, "is not a file of this folder")])
            with place.open("rb") as file:
                raw = file.read(LARGEST_FILE + 1)
        except OSError as error:
            raise Refused(404, [Fault(name, f"cannot be read: {error.strerror or error}")]) from error
        if len(raw) > LARGEST_FILE:
            raise Refused(422, [Fault(name, "larger than 1 MB; a sheet is a page of text")])
        return raw

    def _within(self, hidden: str) -> Path:
        place = self.root / hidden
        if not self._inside(place):
            raise OutputError(f"{hidden}: leads out of the folder")
        return place

    def _inside(self, place: Path) -> bool:
        return place.resolve().is_relative_to(self.root.resolve())

    def _sweep(self) -> None:
        """Clear away what a killed server left half-written."""
        for place in [*self.root.glob(".unfinished-*"), *self.root.glob(".*/**/.unfinished-*")]:
            try:
                if place.is_dir() and not place.is_symlink() and time.time() - place.stat().st_mtime > _STALE:
                    shutil.rmtree(place, ignore_errors=True)
            except OSError:
                continue


def _checked_variants(variants: object) -> list[dict[str, Any]]:
    if not isinstance(variants, Sequence) or isinstance(variants, str) or len(variants) > MOST_VARIANTS:
        raise Refused(422, [Fault("variants", f"a list of at most {MOST_VARIANTS}")])
    kept = []
    for variant in variants:
        if not isinstance(variant, Mapping) or not isinstance(variant.get("sheet"), Mapping):
            raise Refused(422, [Fault("variants", "each has a name and a sheet")])
        from_plain(variant["sheet"])
        kept.append({"name": str(variant.get("name", ""))[:80], "sheet": variant["sheet"]})
    return kept


def _summary(raw: bytes) -> dict[str, Any] | None:
    """What the list shows of a sheet; None when the file is not one."""
    try:
        plain = tomllib.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return None
    if not isinstance(plain.get("girths"), dict):
        return None
    client = plain.get("client")
    client = client if isinstance(client, dict) else {}
    return {"client": str(client.get("name", ""))[:200], "notes": str(client.get("notes", ""))[:200]}


def _conflict_words(now: Kept | None, base: object) -> str:
    if now is None:
        return "the file is gone from the folder; save it as new, or leave it"
    if base is None:
        return "there is already a client of this name; open that one or choose another name"
    return "was saved elsewhere since you opened it; nothing was overwritten"


def _moment(version: str) -> float:
    return datetime.strptime(version[:21], "%Y%m%dT%H%M%S%f").replace(tzinfo=UTC).timestamp()


def _iso(seconds: float) -> str:
    return datetime.fromtimestamp(seconds).astimezone().isoformat(timespec="seconds")
