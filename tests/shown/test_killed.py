"""A writer killed at any step, and what the next one makes of what it left."""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path

import pytest

from silhouette.shown.file_sets import recover
from silhouette.shown.files import write_file, write_files
from silhouette.shown.locks import LOCK, locked
from tests.shown.folders import FORKS, LINKS, everything
from tests.shown.killed import killed_at


@FORKS
def test_one_file_killed_at_every_step(tmp_path: Path) -> None:
    """The sheet is the old one or the new one after a kill at any call, and what is left lying is swept."""
    path = tmp_path / "anna.toml"
    path.write_bytes(b"old")
    steps, new = 0, 0
    while killed_at(steps, lambda: write_file(path, b"new")):
        assert path.read_bytes() in (b"old", b"new"), steps
        new += path.read_bytes() == b"new"
        path.write_bytes(b"old")
        steps += 1
    assert path.read_bytes() == b"new"
    assert steps > 8 and 0 < new < steps
    recover(tmp_path)
    assert {p.name for p in tmp_path.iterdir()} - {LOCK} == {"anna.toml"}


@FORKS
@pytest.mark.parametrize("linked", [False, pytest.param(True, marks=LINKS)])
def test_a_set_killed_at_every_step_is_all_old_or_all_new(tmp_path: Path, linked: bool) -> None:
    """After a kill at any call the next start finds the whole old set or the whole new one."""
    old = {"a.txt": b"old a", "b.txt": b"old b"}
    new = {"a.txt": b"new a", "b.txt": b"new b", "c.txt": b"new c"}
    found, steps = set[str](), 0
    while True:
        out, far = tmp_path / str(steps), tmp_path / f"far {steps}"
        out.mkdir()
        far.mkdir()
        if linked:
            (out / "b.txt").symlink_to(far / "real.txt")
        write_files(out, old)
        (out / "mine.txt").write_bytes(b"mine")
        died = killed_at(steps, partial(write_files, out, new))
        recover(out)
        left = {p.name: p.read_bytes() for p in out.iterdir() if p.name != LOCK}
        assert left.pop("mine.txt") == b"mine"
        assert left in (old, new), (steps, left)
        assert (out / "b.txt").is_symlink() == linked
        found.add("old" if left == old else "new")
        if not died:
            break
        steps += 1
    assert steps > 30 and found == {"old", "new"}


@FORKS
def test_a_recovery_killed_at_every_step_is_finished_by_the_next(tmp_path: Path) -> None:
    old, new = {"a.txt": b"old a", "b.txt": b"old b"}, {"a.txt": b"new a", "b.txt": b"new b"}
    for first in range(200):
        second = 0
        while True:
            out = tmp_path / f"{first} {second}"
            write_files(out, old)
            if not killed_at(first, partial(write_files, out, new)):
                return
            again = killed_at(second, partial(recover, out))
            recover(out)
            assert {p.name: p.read_bytes() for p in out.iterdir() if p.name != LOCK} in (old, new), (first, second)
            assert not list(out.glob(".unfinished-*"))
            if not again:
                break
            second += 11  # every step of the writing, every eleventh of the recovery
    raise AssertionError("the writing never came to its end")


def test_what_an_earlier_writer_moved_away_is_brought_back(tmp_path: Path) -> None:
    """A kill between moving the old file away and putting the new one in its place left only hidden copies."""
    waiting = tmp_path / ".unfinished-abc"
    waiting.mkdir()
    (waiting / "before anna.toml").write_bytes(b"old")
    (waiting / "anna.toml").write_bytes(b"new")
    recover(tmp_path)
    assert everything(tmp_path) == {"anna.toml": b"old"}


def test_the_only_copy_of_a_file_is_never_swept(tmp_path: Path) -> None:
    (tmp_path / ".unfinished-abc").mkdir()
    (tmp_path / ".unfinished-abc" / "anna.toml").write_bytes(b"only")
    (tmp_path / ".unfinished-12345678-bea.toml").write_bytes(b"only")
    before = everything(tmp_path)
    recover(tmp_path)
    assert everything(tmp_path) == before
    (tmp_path / "bea.toml").write_bytes(b"stands")
    recover(tmp_path)
    assert ".unfinished-12345678-bea.toml" not in everything(tmp_path)


def test_nothing_is_swept_while_another_program_writes(tmp_path: Path) -> None:
    (tmp_path / "anna.toml").write_bytes(b"old")
    (tmp_path / ".unfinished-12345678-anna.toml").write_bytes(b"half")
    with locked(tmp_path):
        recover(tmp_path)
        assert (tmp_path / ".unfinished-12345678-anna.toml").exists()
    recover(tmp_path)
    assert everything(tmp_path) == {"anna.toml": b"old"}


def test_what_was_changed_since_a_kill_is_not_overwritten_by_the_recovery(tmp_path: Path) -> None:
    write_files(tmp_path, {"a.txt": b"old a", "b.txt": b"old b"})
    steps = 0
    while not list(tmp_path.glob(".unfinished-set-*/forward")):
        if not hasattr(os, "fork") or not killed_at(
            steps, lambda: write_files(tmp_path, {"a.txt": b"new", "b.txt": b"new"})
        ):
            pytest.skip("no fork on this system")
        steps += 1
    os.replace(_written(tmp_path / "mine", b"by hand"), tmp_path / "a.txt")
    recover(tmp_path)
    assert everything(tmp_path) == {"a.txt": b"by hand", "b.txt": b"new"}


def _written(path: Path, raw: bytes) -> Path:
    path.write_bytes(raw)
    return path
