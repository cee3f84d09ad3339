"""The clients' folder without a browser: whole files, kept versions, conflicts; and the kill test."""

from __future__ import annotations

import datetime
import json
import os
import stat
from pathlib import Path
from typing import Any

import pytest

import silhouette
from silhouette.asked.faults import OutputError
from silhouette.page.clients_folder import Folder
from silhouette.page.incoming import Refused
from silhouette.shown import versions
from silhouette.shown.versions import KEPT_VERSIONS
from tests.page.sheets import DEMO, thick


def test_every_version_is_kept(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    marks: list[str | None] = [None]
    for mm in (10, 11, 12, 12, 13):
        marks.append(held.save("Ada", thick(mm), marks[-1]).mark)
    kept = held.earlier("Ada")
    found = [silhouette.from_plain(held.read_earlier("Ada", v["version"]).plain).pads.thickness for v in kept]
    assert found == [12, 11, 10]  # the latest first; saving the same again keeps nothing twice
    assert [v["saved"] for v in kept] == sorted((v["saved"] for v in kept), reverse=True)


def test_oldest_versions_go_first(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    mark = None
    for i in range(KEPT_VERSIONS + 5):
        mark = held.save("Ada", thick(10 + i / 100), mark).mark
    assert len(held.earlier("Ada")) == KEPT_VERSIONS


def test_conflicts_write_nothing(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    first = held.save("Ada", thick(10), None)
    second = held.save("Ada", thick(11), first.mark)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    for base in (first.mark, None, "nonsense", 5):
        with pytest.raises(Refused) as refused:
            held.save("Ada", thick(12), base)
        assert refused.value.status == 409 and refused.value.more["mark"] == second.mark
    with pytest.raises(Refused):
        held.save("Nobody", thick(12), second.mark)
    with pytest.raises(Refused):
        held.save("ADA", thick(12), None)  # the same file on Windows and macOS
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before


def test_faulty_sheet_is_not_saved(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    with pytest.raises(silhouette.SheetError):
        held.save("Ada", thick(300), None)
    assert list(tmp_path.iterdir()) == []


def test_every_file_is_listed_with_its_fault(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    held.save("Ada", DEMO, None)
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "x"\n')
    (tmp_path / "noise.toml").write_bytes(b"\xff" * 2000)
    (tmp_path / "broken.toml").write_text("girths = [")
    (tmp_path / "big.toml").write_bytes(b"#" * 1_100_000)
    (tmp_path / "dotted.toml").write_text(("a" + ".b" * 2900 + " = 1\n") * 15)
    (tmp_path / "Ada .toml").write_text("")
    (tmp_path / "folder.toml").mkdir()
    words = {
        "pyproject": "it holds no girths",
        "noise": "not a text file",
        "broken": "line 1",
        "big": "larger than 100 kB",
        "dotted": "names with dots",
        "Ada ": "rename it",
    }
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.toml")
        words["pipe"] = "not a plain file"
    if os.name == "posix":
        (tmp_path / os.fsdecode(b"\xff.toml")).write_text("")
        words["?"] = "rename it"
        (tmp_path / "gone.toml").symlink_to(tmp_path / "nowhere")
        words["gone"] = "cannot be read"
        os.utime(tmp_path / "noise.toml", (10**12, 10**12))  # the year 33658
    rows = {row["name"]: row for row in held.listing()}
    json.dumps([*rows.values()], ensure_ascii=False).encode("utf-8")
    assert rows.pop("Ada")["client"] == "Market keeper, act two"
    assert set(rows) == set(words)
    for name, row in rows.items():
        assert words[name] in row["fault"], row


def test_a_pipe_or_a_file_of_dotted_keys_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    (tmp_path / "dotted.toml").write_text(("a" + ".b" * 2900 + " = 1\n") * 15)
    with pytest.raises(Refused, match="names with dots"):
        _ = held.read("dotted").plain
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.toml")
        with pytest.raises(Refused, match="not a plain file"):
            held.read("pipe")


def test_names_are_exact(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    ada = held.save("Ada", DEMO, None)
    for name in ("Ada ", " Ada", "ada", "Ad", "Ada.toml"):
        with pytest.raises(Refused) as refused:
            held.read(name)
        assert refused.value.status == 404
    assert held.save(" Ada ", thick(11), ada.mark).name == "Ada"  # typed with spaces, she is meant all the same


def test_a_name_that_is_written_decomposed_is_found(tmp_path: Path) -> None:
    """macOS writes the diaeresis apart from its letter; a folder brought from there is read here."""
    composed, apart = "Zo\u00eb", "Zoe\u0308"
    held = Folder(tmp_path)
    held.save(composed, thick(10), None)
    (tmp_path / f"{composed}.toml").rename(tmp_path / f"{apart}.toml")
    found = held.read(composed)
    assert held.read(apart).mark == found.mark
    saved = held.save(composed, thick(11), found.mark)
    assert [p.name for p in tmp_path.glob("*.toml")] == [f"{apart}.toml"]  # no second file beside it
    assert len(held.earlier(composed)) == len(held.earlier(apart)) == 1
    (tmp_path / f"{composed}.toml").write_bytes(found.raw)  # both stand: each name is its own file
    assert held.read(apart).mark == saved.mark and held.read(composed).mark == found.mark


def test_versions_go_by_number_whatever_the_clock_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    years = iter([2026, 2019, 2031, 1990, 2026])

    class Clock(datetime.datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Clock:
            return cls(next(years), 5, 1, tzinfo=tz)

    monkeypatch.setattr(versions, "datetime", Clock)
    held = Folder(tmp_path)
    mark = None
    for mm in (10, 11, 12, 13, 14):
        mark = held.save("Ada", thick(mm), mark).mark
    found = [held.read_earlier("Ada", v["version"]).plain["pads"]["thickness"] for v in held.earlier("Ada")]
    assert found == ["13 mm", "12 mm", "11 mm", "10 mm"]
    monkeypatch.setattr(versions, "KEPT_VERSIONS", 2)
    held.save("Ada", thick(15), mark)
    found = [held.read_earlier("Ada", v["version"]).plain["pads"]["thickness"] for v in held.earlier("Ada")]
    assert found == ["14 mm", "13 mm"]


def test_versions_kept_by_date_alone_come_first_and_impossible_dates_do_no_harm(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    mark = held.save("Ada", thick(10), None).mark
    place = tmp_path / ".earlier" / "Ada"
    place.mkdir(parents=True)
    for stamp in ("20269999T999999999999", "20250101T000000000000", "00000000T000000000000", "00010101T000000000000"):
        (place / f"{stamp}-{'a' * 20}.toml").write_text('unit = "in"')
    held.save("Ada", thick(11), mark)
    listed = held.earlier("Ada")
    assert len(listed) == 5 and listed[0]["version"].startswith("000001-")
    assert all(held.read_earlier("Ada", one["version"]).raw for one in listed)


@pytest.mark.skipif(os.name == "nt", reason="links need a right of their own on this system")
@pytest.mark.parametrize("where", ["inside", "outside"])
def test_records_behind_a_link_are_refused(tmp_path: Path, where: str) -> None:
    root = tmp_path / "clients"
    far = root / "far" if where == "inside" else tmp_path / "far"
    (far / "Ada").mkdir(parents=True)
    held = Folder(root)
    mark = held.save("Ada", thick(10), None).mark
    (root / ".earlier").symlink_to(far)
    with pytest.raises(OutputError, match="leads out of the folder"):
        held.earlier("Ada")
    with pytest.raises(OutputError, match="leads out of the folder"):
        held.save("Ada", thick(11), mark)
    assert held.read("Ada").mark == mark and not list((far / "Ada").iterdir())


def test_line_ends_links_and_modes_stay(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    raw = b"\xef\xbb\xbf" + held.save("Ada", thick(10), None).raw.replace(b"\n", b"\r\n") + b"# by hand\r\n"
    path = tmp_path / "Ada.toml"
    path.write_bytes(raw)
    path.chmod(0o600)
    held.save("Ada", thick(11), held.read("Ada").mark)
    now = path.read_bytes()
    assert now.startswith(b"\xef\xbb\xbf") and now.count(b"\n") == now.count(b"\r\n") and b"# by hand" in now
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    path.chmod(0o400)
    with pytest.raises(OutputError, match="read-only"):
        held.save("Ada", thick(12), held.read("Ada").mark)
    assert path.read_bytes() == now
