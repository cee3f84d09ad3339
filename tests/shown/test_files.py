"""Files written whole or not at all, and nobody else's files touched."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from silhouette.asked.faults import OutputError
from silhouette.shown.files import check_folder, write_file, write_files


def everything(folder: Path) -> dict[str, bytes | None]:
    return {str(p.relative_to(folder)): p.read_bytes() if p.is_file() else None for p in sorted(folder.rglob("*"))}


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
    calls = []

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
