"""The clients' folder without a browser: whole files, kept versions, conflicts; and the kill test."""

from __future__ import annotations

import contextlib
import http.client
import json
import multiprocessing
import os
import random
import signal
from pathlib import Path
from threading import Timer
from typing import Any

import pytest

import silhouette
from silhouette.page.clients_folder import KEPT_VERSIONS, Folder, Kept
from silhouette.page.incoming import Refused
from silhouette.page.serve import listen, run
from tests.page.test_change import DEMO, changed

KILLS = 200


def thick(mm: float) -> dict[str, Any]:
    return changed(DEMO, "pads.thickness", f"{mm} mm")


def test_every_version_is_kept(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    marks = [None]
    for mm in (10, 11, 12, 12, 13):
        marks.append(held.save("Ada", thick(mm), marks[-1]).mark)
    versions = held.earlier("Ada")
    found = [silhouette.from_plain(held.read_earlier("Ada", v["version"]).plain).pads.thickness for v in versions]
    assert found == [12, 11, 10]  # the latest first; saving the same again keeps nothing twice
    assert [v["saved"] for v in versions] == sorted((v["saved"] for v in versions), reverse=True)


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


def test_listing_shows_sheets_alone(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    held.save("Ada", DEMO, None)
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "x"\n')
    (tmp_path / "noise.toml").write_bytes(os.urandom(2000))
    (tmp_path / "big.toml").write_bytes(b"#" * 1_100_000)
    (tmp_path / "folder.toml").mkdir()
    assert [row["name"] for row in held.listing()] == ["Ada"]
    assert held.listing()[0]["client"] == "Market keeper, act two"


def test_file_that_is_not_toml_is_replaced_but_kept(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    (tmp_path / "Broken.toml").write_text("girths = [")
    with pytest.raises(Refused):
        _ = held.read("Broken").plain
    held.save("Broken", DEMO, held.read("Broken").mark)
    assert held.read_earlier("Broken", held.earlier("Broken")[0]["version"]).raw == b"girths = ["


def test_killed_two_hundred_times(tmp_path: Path) -> None:
    """``kill -9`` of the server in the midst of saves: every sheet is a whole old or a whole new one.

    The servers are forked from a process that has everything imported, so that a round takes milliseconds.
    """
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["silhouette.page.app", "silhouette.page.serve", "uvicorn"])
    chance = random.Random(3)
    names = ("Ada", "Bea", "Cleo")
    held = Folder(tmp_path)
    old = {name: held.save(name, thick(10), None) for name in names}
    olds = news = 0
    for turn in range(KILLS):
        listening = listen(0)
        server = context.Process(target=run, args=(tmp_path, listening), daemon=True)
        server.start()
        port = listening.getsockname()[1]
        listening.close()
        assert server.pid is not None
        flying: tuple[str, bytes] | None = None
        killer = Timer(chance.uniform(0.0, 0.03), os.kill, [server.pid, signal.SIGKILL])
        link = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        with contextlib.suppress(OSError, http.client.HTTPException):
            for step in range(10_000):
                name = names[step % len(names)]
                sheet = thick(10 + (turn * 31 + step * 7) % 997 / 100)
                new = silhouette.sheet_toml(silhouette.from_plain(sheet), old[name].raw.decode()).encode()
                flying = (name, new)
                body = json.dumps({"name": name, "sheet": sheet, "base": old[name].mark})
                link.request("POST", "/clients/save", body, {"Content-Type": "application/json"})
                reply = link.getresponse()
                told = reply.read()
                assert reply.status == 200, told
                old[name], flying = Kept(name, new), None
                if step == 1:  # the server is up and saving: from now on it may die at any moment
                    killer.start()
        link.close()
        killer.join()
        server.join(10)
        assert server.exitcode == -signal.SIGKILL
        for name in names:
            now = (tmp_path / f"{name}.toml").read_bytes()
            possible = {old[name].raw} | ({flying[1]} if flying and flying[0] == name else set())
            assert now in possible, (turn, name)
            news += now != old[name].raw
            olds += flying is not None and flying[0] == name and now == old[name].raw
            old[name] = Kept(name, now)
            for version in held.earlier(name)[:1]:  # the one that may have been under way; those before it are done
                silhouette.from_plain(held.read_earlier(name, version["version"]).plain)
    assert olds > 0 and olds + news > KILLS / 2  # most kills came while a save was under way
    for place in tmp_path.rglob(".unfinished-*"):  # what kills leave behind is cleared away once it is old
        os.utime(place, (0, 0))
    Folder(tmp_path)
    assert list(tmp_path.rglob(".unfinished-*")) == []
