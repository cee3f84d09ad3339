"""Files written whole or not at all, and nobody else's files touched."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from threading import Event, Thread

import pytest

from silhouette.asked.faults import OutputError
from silhouette.shown import locks, placing
from silhouette.shown.files import check_folder, write_file, write_files
from silhouette.shown.locks import LOCK, locked
from tests.shown.folders import LINKS, everything


def test_files_arrive_whole_and_others_stay(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    (tmp_path / "a.txt").write_text("old")
    write_files(tmp_path, {"a.txt": "new ½", "b.bin": b"\0\xff"})
    assert everything(tmp_path) == {"a.txt": "new ½".encode(), "b.bin": b"\0\xff", "mine.txt": b"mine"}


def test_folders_are_made(tmp_path: Path) -> None:
    write_file(tmp_path / "one" / "two" / "a.txt", "x")
    assert (tmp_path / "one" / "two" / "a.txt").read_text() == "x"


@pytest.mark.parametrize("step", ["rename", "write", "interrupt"])
@pytest.mark.parametrize("below", ["", "new/deeper"])
def test_a_failure_half_way_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, below: str
) -> None:
    (tmp_path / "b.txt").write_text("old b")
    (tmp_path / "mine.txt").write_text("mine")
    before = everything(tmp_path)
    real = os.replace
    calls: list[Path | int] = []

    def fails_late(source: Path, target: Path) -> None:
        if Path(target).name == "c.txt" and step != "write":
            calls.append(target)
            raise OSError(28, "No space left on device") if step == "rename" else KeyboardInterrupt
        real(source, target)

    def fails_writing(file: int) -> None:
        calls.append(file)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fails_late)
    if step == "write":
        monkeypatch.setattr(os, "fsync", fails_writing)
    with pytest.raises(KeyboardInterrupt if step == "interrupt" else OutputError) as caught:
        write_files(tmp_path / below, {"a.txt": "new", "b.txt": "new", "c.txt": "new"})
    assert calls
    if step != "interrupt":
        assert "No space left on device" in str(caught.value)
    assert everything(tmp_path) == before


def test_a_folder_in_the_place_of_a_file(tmp_path: Path) -> None:
    (tmp_path / "a.txt").mkdir()
    before = everything(tmp_path)
    with pytest.raises(OutputError, match=r"a\.txt: a folder stands"):
        write_files(tmp_path, {"b.txt": "b", "a.txt": "a"})
    assert everything(tmp_path) == before


def test_a_file_in_the_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    for place in ("out", "out/below", "out/below/deeper"):
        with pytest.raises(OutputError, match="a file stands where"):
            check_folder(tmp_path / place)
        with pytest.raises(OutputError):
            write_files(tmp_path / place, {"a.txt": "x"})
    assert (tmp_path / "out").read_text() == "mine"


def test_a_folder_that_may_not_be_written_is_refused_before_any_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    check_folder(tmp_path / "fine" / "deeper")
    assert everything(tmp_path) == {}
    monkeypatch.setattr(os, "access", lambda place, mode: False)  # whoever runs the tests may be allowed everything
    with pytest.raises(OutputError, match="you may not write in"):
        check_folder(tmp_path / "fine")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="this user may write everywhere")
def test_a_folder_without_permission(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(OutputError, match="cannot be written"):
            write_files(tmp_path / "out", {"a.txt": "x"})
    finally:
        tmp_path.chmod(0o700)


def test_a_name_too_long_for_the_disk(tmp_path: Path) -> None:
    for call in (check_folder, lambda place: write_files(place, {"a": "x"})):
        with pytest.raises(OutputError, match="cannot be written"):
            call(tmp_path / ("x" * 300))
    assert everything(tmp_path) == {}


@LINKS
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "anna.toml").write_bytes(b"old")
    (tmp_path / "anna.toml").symlink_to(tmp_path / "real" / "anna.toml")
    write_file(tmp_path / "anna.toml", "new")
    assert (tmp_path / "anna.toml").is_symlink() and (tmp_path / "real" / "anna.toml").read_bytes() == b"new"
    write_files(tmp_path, {"anna.toml": "newer", "b.txt": "b"})
    assert (tmp_path / "anna.toml").is_symlink() and (tmp_path / "real" / "anna.toml").read_bytes() == b"newer"
    assert not list(tmp_path.rglob(".*"))
    with pytest.raises(OutputError, match="leads out of the folder"):
        write_files(tmp_path / "real", {"b.txt": "b", "out": "x"}, within=tmp_path / "elsewhere")


@pytest.mark.skipif(os.name == "nt", reason="this system has no such modes")
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664])
def test_modes_stay(tmp_path: Path, mode: int) -> None:
    path = tmp_path / "anna.toml"
    path.write_bytes(b"old")
    path.chmod(mode)
    write_file(path, b"new")
    assert stat.S_IMODE(path.stat().st_mode) == mode
    write_files(tmp_path, {"anna.toml": b"newer", "b.txt": b"b"})
    assert stat.S_IMODE(path.stat().st_mode) == mode and path.read_bytes() == b"newer"


def test_a_read_only_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "anna.toml"
    path.write_bytes(b"old")
    path.chmod(0o444)
    for write in (lambda: write_file(path, b"new"), lambda: write_files(tmp_path, {"a": b"a", "anna.toml": b"new"})):
        with pytest.raises(OutputError, match="read-only"):
            write()
    assert everything(tmp_path) == {"anna.toml": b"old"}


def test_a_fresh_file_is_never_written_over_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "anna.toml"
    write_file(path, b"first", fresh=True)
    with pytest.raises(OutputError, match="already exists"):
        write_file(path, b"second", fresh=True)
    path.unlink()
    real = placing.stage

    def overtaken(place: Path, raw: bytes, like: Path) -> None:
        real(place, raw, like)
        path.write_bytes(b"theirs")  # another program, between the look and the writing

    monkeypatch.setattr(placing, "stage", overtaken)
    with pytest.raises(OutputError, match="already exists"):
        write_file(path, b"mine", fresh=True)
    assert everything(tmp_path) == {"anna.toml": b"theirs"}


def test_two_writers_wait_for_each_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    taken, go = Event(), Event()

    def hold() -> None:
        with locked(tmp_path):
            taken.set()
            go.wait(30)

    holder = Thread(target=hold)
    holder.start()
    assert taken.wait(30)
    monkeypatch.setattr("silhouette.shown.files.locked", lambda folder: locked(folder, 0.05))
    with pytest.raises(OutputError, match="another program is writing there"):
        write_file(tmp_path / "a.txt", b"x")
    go.set()
    holder.join()
    write_file(tmp_path / "a.txt", b"x")
    assert everything(tmp_path) == {"a.txt": b"x"}


class _WindowsLocks:
    """How the locks of Windows answer, on this system's own: a byte that is held is refused with EACCES."""

    LK_NBLCK = 2

    def __init__(self) -> None:
        self.held: dict[tuple[int, int], int] = {}

    def locking(self, handle: int, mode: int, count: int) -> None:
        state = os.fstat(handle)
        holder = self.held.setdefault((state.st_dev, state.st_ino), handle)
        try:
            os.fstat(holder)
        except OSError:
            holder = self.held[(state.st_dev, state.st_ino)] = handle
        if holder != handle:
            raise PermissionError(13, "Permission denied")


def test_the_locks_of_windows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Simulated: this machine has no Windows; the code path is the one that runs there."""
    monkeypatch.setattr(locks, "fcntl", None)
    monkeypatch.setattr(locks, "msvcrt", _WindowsLocks())
    with locked(tmp_path):
        handle = os.open(tmp_path / LOCK, os.O_RDWR)
        assert not locks._held(handle)
        os.close(handle)
        with pytest.raises(OutputError, match="another program is writing"), locked(tmp_path, 0.05):
            raise AssertionError("held twice")
    write_file(tmp_path / "a.txt", b"x")
    assert everything(tmp_path) == {"a.txt": b"x"}


@pytest.mark.parametrize("frees", [True, False])
def test_a_file_that_is_open_elsewhere_on_windows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, frees: bool) -> None:
    """Simulated: Windows replaces no file that another program has open; error 32 is a sharing violation."""
    for name in ("a.pdf", "b.pdf"):
        (tmp_path / name).write_bytes(b"old")
    real, calls = os.replace, []

    def refused(source: Path, target: Path) -> None:
        if Path(target).name == "b.pdf" and ".new" in Path(source).name:
            calls.append(target)
            if not frees or len(calls) < 3:
                error = PermissionError(13, "The process cannot access the file")
                error.winerror = 32  # type: ignore[attr-defined]  # declared for Windows alone
                raise error
        real(source, target)

    monkeypatch.setattr(os, "replace", refused)
    monkeypatch.setattr(placing, "PAUSES", (0.0, 0.0, 0.0))
    if frees:
        write_files(tmp_path, {"a.pdf": b"new", "b.pdf": b"new"})
        assert len(calls) == 3 and everything(tmp_path) == {"a.pdf": b"new", "b.pdf": b"new"}
    else:
        with pytest.raises(OutputError, match=r"b\.pdf: open in another program; close it there and try again"):
            write_files(tmp_path, {"a.pdf": b"new", "b.pdf": b"new"})
        assert len(calls) == 4 and everything(tmp_path) == {"a.pdf": b"old", "b.pdf": b"old"}


def test_a_disk_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Simulated: memory cards know none; a set is still all old or all new, a fresh file still fresh."""

    def none(source: Path, target: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", none)
    write_files(tmp_path, {"a.txt": b"old"})
    real = os.replace

    def full(source: Path, target: Path) -> None:
        if Path(target).name == "b.txt":
            raise OSError(28, "No space left on device")
        real(source, target)

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", full)
        with pytest.raises(OutputError, match="No space left"):
            write_files(tmp_path, {"a.txt": b"new", "b.txt": b"new"})
    assert everything(tmp_path) == {"a.txt": b"old"}
    with pytest.raises(OutputError, match="already exists"):
        write_file(tmp_path / "a.txt", b"mine", fresh=True)
    write_file(tmp_path / "c.txt", b"c", fresh=True)
    assert everything(tmp_path) == {"a.txt": b"old", "c.txt": b"c"}
