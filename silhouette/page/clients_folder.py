"""The clients' folder: one sheet file for each client, earlier versions kept, nothing outside ever touched."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from silhouette.asked.faults import Fault, OutputError, SheetError
from silhouette.asked.reading import from_plain
from silhouette.asked.sheet_bytes import LARGEST_FILE, TOO_LARGE, decoded, plain_file_bytes
from silhouette.asked.toml_text import encoded_like, plain_of
from silhouette.asked.writing import sheet_toml
from silhouette.page.client_names import checked_name, file_for, name_as_file, sheet_file, sheet_files
from silhouette.page.incoming import Refused
from silhouette.shown.file_sets import recover, recover_held
from silhouette.shown.files import ready
from silhouette.shown.locks import locked
from silhouette.shown.placing import place_file
from silhouette.shown.versions import EARLIER, hidden_folder, keep_version, mark_of, same_name, versions_of

VARIANTS: Final = ".variants"
MOST_VARIANTS: Final = 4
LARGEST_RECORD: Final = 1_000_000  #: bytes of a client's variants: as much as the page may send at once
_Look = tuple[int, int, int]  # when a file was last written, its size, its number on the disk


@dataclass(frozen=True)
class Kept:
    """A sheet file as it stands: its name, its bytes and the mark that changes whenever they do."""

    name: str
    raw: bytes

    @property
    def mark(self) -> str:
        return mark_of(self.raw)

    @property
    def plain(self) -> dict[str, Any]:
        """The nested plain values as written, faulty or not. Raises :class:`Refused` when it is not TOML."""
        try:
            return plain_of(decoded(self.raw, self.name))
        except SheetError as error:
            raise Refused(422, [_named(self.name, fault) for fault in error.faults]) from error


class Folder:
    """Reads and saves the sheets of one folder. Every method raises :class:`Refused` with a reason in plain words."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._lock = threading.Lock()
        self._listed: dict[str, tuple[_Look, dict[str, Any]]] = {}
        self._mend()

    def listing(self) -> list[dict[str, Any]]:
        """Every sheet file, the latest first: name, when saved, the client's name and notes.

        A file that cannot be opened as a client's sheet is listed with its ``fault``.
        """
        rows = []
        for stem, path in sheet_files(self.root):
            try:
                state = path.stat(follow_symlinks=True)
                look = (state.st_mtime_ns, state.st_size, state.st_ino)
                known = self._listed.get(stem)
                if known is None or known[0] != look:
                    self._listed[stem] = known = (look, self._summary(stem, path))
                saved, said = _iso(state.st_mtime), known[1]
            except OSError as error:
                saved, said = _iso(0.0), _faulty(f"cannot be read: {error.strerror or error}")
            name = stem.encode("utf-8", "replace").decode()  # bytes that are no letters cannot be sent on
            rows.append({"name": name, "saved": saved, **said})
        return sorted(rows, key=lambda row: (row["saved"], row["name"]), reverse=True)

    def read(self, name: object) -> Kept:
        """A client's sheet as it stands."""
        stem, place = sheet_file(self.root, name)
        return Kept(stem, self._bytes(place, stem))

    def save(self, name: object, plain: Mapping[str, Any], base: object, variants: object = None) -> Kept:
        """Save a sheet, the version before it kept.

        ``base`` is the mark of the version that was being edited, or None for a new client. When the file is
        not that version any more, nothing is written: 409, with the mark that stands there now.
        """
        checked_name(name)
        sheet = from_plain(plain, self.root)
        kept_variants = None if variants is None else _checked_variants(variants)
        with self._lock, ready(self.root):
            stem, place = file_for(self.root, name)
            now = Kept(stem, self._bytes(place, stem)) if place.is_symlink() or place.exists() else None
            if (now.mark if now else None) != base:
                raise Refused(
                    409,
                    [Fault(stem, _conflict_words(now, base))],
                    mark=now.mark if now else None,
                    saved=_iso(place.stat().st_mtime) if now else None,
                )
            raw = _written_over(now, sheet)
            if now and now.raw != raw:
                keep_version(self.root, stem, now.raw)
            if kept_variants is not None:
                hidden_folder(self.root, VARIANTS).mkdir(exist_ok=True)
                record = json.dumps(kept_variants, ensure_ascii=False).encode("utf-8")
                place_file(self.root / VARIANTS / f"{stem}.json", record, within=self.root / VARIANTS)
            if not now or now.raw != raw:
                place_file(place, raw, fresh=now is None, within=self.root)
            return Kept(stem, raw)

    def copy(self, name: object, to: object) -> Kept:
        """A client's sheet, variants and all, under another name that is free."""
        checked_name(to)
        with self._lock, ready(self.root):
            return self._copied(self.read(name), to)

    def rename(self, name: object, to: object) -> Kept:
        """The same sheet under another name that is free; what stood under the old one is kept as a version of it."""
        checked_name(to)
        with self._lock, ready(self.root):
            old = self.read(name)
            new = self._copied(old, to)
            self._taken_away(old)
            return new

    def remove(self, name: object) -> None:
        """Take a client away; the sheet stays among the earlier versions of that name."""
        with self._lock, ready(self.root):
            self._taken_away(self.read(name))

    def gone(self) -> list[dict[str, str]]:
        """Clients that were taken away and can be brought back: name, version, when that was kept."""
        place = hidden_folder(self.root, EARLIER)
        here = [stem for stem, _ in sheet_files(self.root)]
        rows = []
        for name in sorted(p.name for p in place.iterdir()) if place.is_dir() else ():
            versions = versions_of(self.root, name)
            if versions and not any(same_name(name, stem) for stem in here):
                rows.append({"name": name, "version": versions[-1].path.stem, "saved": _iso(versions[-1].saved)})
        return rows

    def _copied(self, old: Kept, to: object) -> Kept:
        stem, place = file_for(self.root, to)
        if place.is_symlink() or place.exists():
            raise Refused(409, [Fault(stem, "there is already a client of this name; choose another name")])
        record = json.dumps(self.variants(old.name), ensure_ascii=False).encode("utf-8")
        hidden_folder(self.root, VARIANTS).mkdir(exist_ok=True)
        place_file(self.root / VARIANTS / f"{stem}.json", record, within=self.root / VARIANTS)
        place_file(place, old.raw, fresh=True, within=self.root)
        return Kept(stem, old.raw)

    def _taken_away(self, old: Kept) -> None:
        keep_version(self.root, old.name, old.raw)
        (self.root / f"{old.name}.toml").unlink()

    def variants(self, name: str) -> list[dict[str, Any]]:
        """The variants that were kept with a client; an unreadable record counts as none."""
        try:
            raw = self._bytes(hidden_folder(self.root, VARIANTS) / f"{name}.json", name, LARGEST_RECORD)
            return _checked_variants(json.loads(raw))
        except (Refused, SheetError, OutputError, ValueError, RecursionError):
            return []

    def earlier(self, name: object) -> list[dict[str, str]]:
        """Earlier versions of a client's sheet, the latest first."""
        versions = versions_of(self.root, self._stem(name))
        return [{"version": version.path.stem, "saved": _iso(version.saved)} for version in reversed(versions)]

    def read_earlier(self, name: object, version: object) -> Kept:
        """One earlier version as it was."""
        stem = self._stem(name)
        for one in versions_of(self.root, stem):
            if one.path.stem == version:
                return Kept(stem, self._bytes(one.path, "version"))
        raise Refused(404, [Fault("version", "no such version")])

    def _stem(self, name: object) -> str:
        """The name of a client whose versions are asked for; the file itself may be gone."""
        try:
            return sheet_file(self.root, name)[0]
        except Refused as refused:
            if refused.status != 404:
                raise
            return checked_name(name)

    def _bytes(self, place: Path, name: str, most: int = LARGEST_FILE) -> bytes:
        if not place.resolve().is_relative_to(self.root.resolve()):
            raise Refused(403, [Fault(name, "is not a file of this folder")])
        try:
            raw = plain_file_bytes(place, most)
        except FileNotFoundError as error:
            raise Refused(404, [Fault(name, "no such client in this folder")]) from error
        except OSError as error:
            raise Refused(403, [Fault(name, f"cannot be read: {error.strerror or error}")]) from error
        if raw is None:
            raise Refused(422, [Fault(name, TOO_LARGE)])
        return raw

    def _summary(self, stem: str, path: Path) -> dict[str, Any]:
        """What the list shows of a file."""
        if fault := name_as_file(stem):
            return _faulty(fault)
        try:
            plain = Kept(stem, self._bytes(path, stem)).plain
        except Refused as refused:
            first = refused.faults[0]
            return _faulty(f"{first.place}: {first.message}".removeprefix(stem).lstrip(":, "))
        if not isinstance(plain.get("girths"), dict) and not isinstance(plain.get("body"), dict):
            return _faulty("not a client's sheet: it holds no girths")
        client = plain.get("client")
        client = client if isinstance(client, dict) else {}
        found = {"client": str(client.get("name", ""))[:200], "notes": str(client.get("notes", ""))[:200]}
        try:
            from_plain(plain)
        except SheetError as error:
            found["fault"] = str(error.faults[0])
        return found

    def _mend(self) -> None:
        """Finish or take back what a killed program left; where one is at work, leave it alone."""
        recover(self.root)
        with suppress(OSError, OutputError), locked(self.root, 0.0):  # whoever writes below holds this lock
            for place in _below(self.root):
                recover_held(place, copies=True)
        for place in self.root.glob("* templates"):
            if place.is_dir() and not place.is_symlink():
                recover(place)


def _below(root: Path) -> Iterator[Path]:
    """The folders of records."""
    for hidden in (root / EARLIER, root / VARIANTS):
        if hidden.is_dir() and not hidden.is_symlink():
            yield hidden
            yield from (place for place in hidden.iterdir() if place.is_dir() and not place.is_symlink())


def _written_over(now: Kept | None, sheet: Any) -> bytes:
    """The bytes of a sheet in the manner of the file that stands; what is not TOML there has been kept as it was."""
    if now is None:
        return sheet_toml(sheet).encode("utf-8")
    try:
        over = decoded(now.raw, now.name)
        plain_of(over)
    except SheetError:
        return sheet_toml(sheet).encode("utf-8")
    return encoded_like(sheet_toml(sheet, over), now.raw)


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


def _named(name: str, fault: Fault) -> Fault:
    return fault if fault.place == name else Fault(f"{name}, {fault.place}", fault.message)


def _faulty(reason: str) -> dict[str, Any]:
    return {"client": "", "notes": "", "fault": reason}


def _conflict_words(now: Kept | None, base: object) -> str:
    if now is None:
        return "the file is gone from the folder; save it as new, or leave it"
    if base is None:
        return "there is already a client of this name; open that one or choose another name"
    return "was saved elsewhere since you opened it; nothing was overwritten"


def _iso(seconds: float) -> str:
    try:
        return datetime.fromtimestamp(seconds).astimezone().isoformat(timespec="seconds")
    except (ValueError, OverflowError, OSError):  # a moment that no calendar knows
        return datetime.fromtimestamp(0.0).astimezone().isoformat(timespec="seconds")
