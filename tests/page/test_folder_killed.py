"""Two pages on one folder, and servers that are killed in the midst of a save: a whole sheet is left, always."""

from __future__ import annotations

import contextlib
import http.client
import json
import multiprocessing
import os
import random
import signal
import socket
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from threading import Timer

import pytest

import silhouette
from silhouette.page.clients_folder import Folder, Kept
from silhouette.page.incoming import Refused
from silhouette.page.keys import Keys
from silhouette.page.serve import listen, run
from tests.page.sheets import DEMO, thick
from tests.shown.killed import killed_at

#: More of them on demand: SILHOUETTE_KILLS=1000 python -m pytest tests/page/test_folder_killed.py -k killed_in -s
KILLS = int(os.environ.get("SILHOUETTE_KILLS", "40"))
COOKIE = "known-to-the-test"


def test_two_pages_on_one_folder(tmp_path: Path) -> None:
    """Of two that save at once over the same version one is refused, in whichever order."""
    pages = Folder(tmp_path), Folder(tmp_path)
    mark = pages[0].save("Ada", thick(10), None).mark

    def save(turn: int, page: Folder, base: str) -> str:
        try:
            return page.save("Ada", thick(11 + turn), base).mark
        except Refused as refused:
            assert refused.status == 409
            return ""

    for turn in range(20):
        base = mark
        with ThreadPoolExecutor(2) as pool:
            both = list(pool.map(save, (2 * turn, 2 * turn + 1), pages, (base, base)))
        assert sorted(map(bool, both)) == [False, True]
        mark = max(both)
        assert pages[0].read("Ada").mark == mark
    assert len(pages[0].earlier("Ada")) == 20


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")
def test_a_save_killed_at_every_step(tmp_path: Path) -> None:
    """The sheet is the old or the new one, the old one is among the versions once the new one stands."""
    steps, found = 0, set[str]()
    while True:
        root = tmp_path / str(steps)
        root.mkdir()
        held = Folder(root)
        old = held.save("Ada", thick(10), None)
        died = killed_at(steps, partial(held.save, "Ada", thick(11), old.mark, []))
        next_start = Folder(root)
        now = next_start.read("Ada")
        if now.raw != old.raw:
            assert now.plain["pads"]["thickness"] == "11 mm"
            assert [next_start.read_earlier("Ada", v["version"]).raw for v in next_start.earlier("Ada")] == [old.raw]
        found.add("old" if now.raw == old.raw else "new")
        next_start.save("Ada", thick(12), now.mark)
        Folder(root)
        assert not [p for p in root.rglob(".*") if p.name not in (".earlier", ".variants")]
        if not died:
            break
        steps += 1
    assert steps > 20 and found == {"old", "new"}


def test_what_an_earlier_server_moved_away_is_brought_back_at_start(tmp_path: Path) -> None:
    """A kill between moving the old sheet away and putting the new one in place left none, and the start both away."""
    raw = Folder(tmp_path).save("Ada", DEMO, None).raw
    waiting = tmp_path / ".unfinished-abc"
    waiting.mkdir()
    (tmp_path / "Ada.toml").rename(waiting / "before Ada.toml")
    (waiting / "Ada.toml").write_bytes(raw[:40])
    os.utime(waiting, (0, 0))
    assert Folder(tmp_path).read("Ada").raw == raw


def test_file_that_is_not_toml_is_replaced_but_kept(tmp_path: Path) -> None:
    held = Folder(tmp_path)
    (tmp_path / "Broken.toml").write_text("girths = [")
    with pytest.raises(Refused):
        _ = held.read("Broken").plain
    held.save("Broken", DEMO, held.read("Broken").mark)
    assert held.read_earlier("Broken", held.earlier("Broken")[0]["version"]).raw == b"girths = ["


def serve(root: Path, listening: socket.socket, cookie: str) -> None:
    """The page's server, in a process of its own, with a cookie that the test knows."""
    keys = Keys(listening.getsockname()[1])
    keys.cookie = cookie
    run(root, listening, keys)


def test_killed_in_the_midst_of_saves(tmp_path: Path) -> None:
    """``kill -9`` of the server in the midst of saves: every sheet is a whole old or a whole new one.

    The servers are forked from a process that has everything imported, so that a round takes milliseconds.
    """
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["silhouette.page.app", "silhouette.page.serve", "uvicorn"])
    chance = random.Random(3)
    names = ("Ada", "Bea", "Cleo")
    held = Folder(tmp_path)
    old = {name: held.save(name, thick(10), None) for name in names}
    flights = news = 0
    for turn in range(KILLS):
        listening = listen(0)
        server = context.Process(target=serve, args=(tmp_path, listening, COOKIE), daemon=True)
        server.start()
        port = listening.getsockname()[1]
        listening.close()
        assert server.pid is not None
        flying: tuple[str, bytes] | None = None
        killer = Timer(chance.uniform(0.0, 0.03), os.kill, [server.pid, signal.SIGKILL])
        link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        headers = {"Content-Type": "application/json", "Cookie": f"silhouette-{port}={COOKIE}"}
        with contextlib.suppress(OSError, http.client.HTTPException):
            for step in range(10_000):
                name = names[step % len(names)]
                sheet = thick(10 + (turn * 31 + step * 7) % 997 / 100)
                new = silhouette.sheet_toml(silhouette.from_plain(sheet), old[name].raw.decode()).encode()
                flying = (name, new)
                body = json.dumps({"name": name, "sheet": sheet, "base": old[name].mark})
                link.request("POST", "/clients/save", body, headers)
                reply = link.getresponse()
                text = reply.read()
                assert reply.status == 200, text
                old[name], flying = Kept(name, new), None
                if step == 1:  # the server is up and saving: from now on it may die at any moment
                    killer.start()
        link.close()
        assert killer.ident is not None, "the server died before it was killed"
        killer.join()
        server.join(60)
        assert server.exitcode == -signal.SIGKILL
        flights += flying is not None
        for name in names:
            now = (tmp_path / f"{name}.toml").read_bytes()
            possible = {old[name].raw} | ({flying[1]} if flying and flying[0] == name else set())
            assert now in possible, (turn, name)
            news += now != old[name].raw
            old[name] = Kept(name, now)
            for version in held.earlier(name)[:1]:  # the one that may have been under way; those before it are done
                silhouette.from_plain(held.read_earlier(name, version["version"]).plain)
    print(f"{KILLS} kills, {flights} while a save was asked for, {news} of these came through, 0 sheets lost")
    assert flights > KILLS / 2  # most kills came while a save was under way
    Folder(tmp_path)
    assert list(tmp_path.rglob(".unfinished-*")) == []  # what kills leave behind is cleared away
