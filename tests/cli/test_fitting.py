"""Writing down a fitting from the command line: nothing that stands in the sheet is lost by it."""

from __future__ import annotations

import os
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from silhouette.asked.fittings import read_fittings
from silhouette.asked.toml_text import comments_of
from silhouette.asked.writing import starter_sheet
from silhouette.cli.commands import main
from silhouette.search.learning import learn
from silhouette.shown.locks import LOCK
from silhouette.shown.versions import versions_of

TEXT = 'unit = "in"   # her tape\n[girths]\nwaist = 31\nhip = 42\n[pads]\nthickness = 0.75\n'
DAY = ("--date", "2026-11-25")


def run(*arguments: object) -> int:
    try:
        main([str(a) for a in arguments])
    except SystemExit as end:
        return int(end.code or 0)
    return 0


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "anna.toml"
    place.write_text(TEXT, "utf-8")
    return place


def girths(path: Path) -> list[float]:
    return [round(one.girth / 25.4, 3) for one in read_fittings(path.read_text("utf-8"))]


def test_the_version_before_is_kept(path: Path) -> None:
    run("fitted", path, "--hip", "45 1/4 in", *DAY)
    run("fitted", path, "--hip", "45 1/2 in", "--date", "2026-11-26")
    kept = versions_of(path.parent, "anna")
    assert [v.number for v in kept] == [1, 2]
    assert kept[0].path.read_text("utf-8") == TEXT and len(read_fittings(kept[1].path.read_text("utf-8"))) == 1
    assert {p.name for p in path.parent.iterdir()} == {"anna.toml", ".earlier"}


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
def test_line_ends_stay(path: Path, bom: bytes) -> None:
    raw = bom + TEXT.encode().replace(b"\n", b"\r\n")
    path.write_bytes(raw)
    assert run("fitted", path, "--hip", "45 1/4 in", "--use", *DAY) == 0
    now = path.read_bytes()
    assert now.startswith(bom + b'unit = "in"   # her tape\r\n') and now.count(b"\n") == now.count(b"\r\n") > 12


@pytest.mark.skipif(os.name == "nt", reason="this system has no such modes")
def test_links_and_modes_stay(path: Path) -> None:
    path.chmod(0o600)
    link = path.parent / "by another name.toml"
    link.symlink_to(path)
    assert run("fitted", link, "--hip", "45 1/4 in", *DAY) == 0
    assert link.is_symlink() and girths(path) == [45.25] and stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_read_only_sheet_is_refused(path: Path, capsys: Any) -> None:
    path.chmod(0o444)
    assert run("fitted", path, "--hip", "45 1/4 in", *DAY) == 2
    assert "read-only" in capsys.readouterr().err and path.read_text("utf-8") == TEXT


def test_the_same_day_twice_asks_first(path: Path, capsys: Any) -> None:
    assert run("fitted", path, "--hip", "45 1/4 in", *DAY) == 0
    before = path.read_bytes()
    assert run("fitted", path, "--hip", "45 3/4 in", *DAY) == 2
    assert "--replace" in capsys.readouterr().err and path.read_bytes() == before
    assert run("fitted", path, "--hip", "45 3/4 in", "--over", "pads", *DAY) == 0  # another reading of that day
    assert run("fitted", path, "--hip", "45 1/2 in", "--replace", *DAY) == 0
    assert sorted(girths(path)) == [45.5, 45.75]


def test_one_record_is_taken_back(path: Path, capsys: Any) -> None:
    for day, hip in (("2026-11-25", 45.25), ("2026-11-26", 45.5)):
        run("fitted", path, "--hip", f"{hip} in", "--date", day)
    run("fitted", path, "--hip", "45 3/4 in", "--over", "pads", *DAY)
    capsys.readouterr()
    for arguments, words in (
        (["2026-11-25"], "say which with --over"),
        (["2026-11-24"], "there are those of 2026-11-25, 2026-11-26"),
        (["soon"], "a date belongs here"),
        (["2026-11-25", "--hip", "45 in"], "--take-back DATE"),
    ):
        assert run("fitted", path, "--take-back", *arguments) == 2
        assert words in capsys.readouterr().err
    assert run("fitted", path, "--take-back", "2026-11-25", "--over", "cloth") == 0
    assert sorted(girths(path)) == [45.5, 45.75]
    assert run("fitted", path, "--take-back", "2026-11-25") == 0
    assert run("fitted", path, "--take-back", "2026-11-26") == 0
    assert path.read_text("utf-8") == TEXT


def test_an_edit_made_meanwhile_is_not_written_over(path: Path, monkeypatch: Any, capsys: Any) -> None:
    def slow(*arguments: Any) -> Any:
        path.write_text(TEXT + "# by hand\n", "utf-8")  # somebody saves while the fitting is worked out
        return learn(*arguments)

    monkeypatch.setattr("silhouette.search.fitted.learn", slow)
    assert run("fitted", path, "--hip", "45 1/4 in", *DAY) == 2
    said = capsys.readouterr().err
    assert "was changed by another program in the meantime; nothing was written" in said
    assert path.read_text("utf-8") == TEXT + "# by hand\n"


def test_many_at_once_lose_nothing(path: Path) -> None:
    """Each either has its record in the sheet or has said, with exit status 2, that it has not."""
    days = [f"2026-11-{day:02d}" for day in range(1, 13)]
    with ThreadPoolExecutor(4) as pool:
        ends = list(pool.map(lambda day: run("fitted", path, "--hip", "45 1/4 in", "--date", day), days))
    kept = {one.date.isoformat() for one in read_fittings(path.read_text("utf-8"))}
    assert kept == {day for day, end in zip(days, ends, strict=True) if end == 0} and kept
    assert set(ends) <= {0, 2} and not (path.parent / LOCK).exists()


def test_comments_of_a_starter_sheet_stay(path: Path) -> None:
    path.write_text(starter_sheet("in"), "utf-8")
    assert run("fitted", path, "--hip", "41 3/4 in", "--use", *DAY) == 0
    assert [c for c in comments_of(starter_sheet("in")) if c not in comments_of(path.read_text("utf-8"))] == []


@pytest.mark.parametrize("name", ["con.toml", "Anna .toml ", "a?.toml", "lpt1", "anna."])
def test_a_new_sheet_has_a_name_that_every_system_takes(tmp_path: Path, name: str, capsys: Any) -> None:
    assert run("new", tmp_path / name) == 2
    assert "such a name" in capsys.readouterr().err and not list(tmp_path.iterdir())
