"""What the server refuses: foreign pages, paths outside the folder, bodies that are too long or not sheets."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import silhouette
from silhouette.page.client_names import checked_name
from silhouette.page.clients_folder import Folder
from silhouette.page.incoming import Refused
from silhouette.page.serve import listen
from tests.page.browser import ROOT, bare
from tests.page.running import refused
from tests.page.sheets import DEMO

POSTS = (
    "/start",
    "/preview",
    "/clients",
    "/clients/open",
    "/clients/save",
    "/clients/mark",
    "/clients/earlier",
    "/handover",
    "/fittings",
    "/fittings/record",
    "/fittings/take-back",
    "/map",
    "/templates",
)


def port_of(address: str) -> int:
    return int(bare(address).rsplit(":", 1)[1].strip("/"))


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example", "[::1]", ""]
)
def test_foreign_host(client: httpx.Client, host: str) -> None:
    for path in ("/", "/page/main.js"):
        reply = client.get(path, headers={"Host": host})
        assert reply.status_code in (400, 403)
    assert client.post("/preview", json={"sheet": DEMO}, headers={"Host": host}).status_code in (400, 403)


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "https://127.0.0.1", "http://127.0.0.1:1", "file://"]
)
def test_foreign_origin(client: httpx.Client, origin: str) -> None:
    for path in POSTS:
        refused(client.post(path, json={"sheet": DEMO}, headers={"Origin": origin}), 403, "other pages")


def test_own_origin_is_answered(client: httpx.Client, address: str) -> None:
    assert (
        client.post("/preview", json={"sheet": DEMO}, headers={"Origin": bare(address).rstrip("/")}).status_code == 200
    )
    port = port_of(address)
    assert client.get("/", headers={"Host": f"localhost:{port}"}).status_code == 200


def test_cross_site_fetch(client: httpx.Client) -> None:
    foreign = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}
    refused(client.get("/page/main.js", headers=foreign), 403)
    refused(client.get("/", headers=foreign), 403)
    assert (
        client.get("/", headers={"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}).status_code == 200
    )  # a link


def test_policy_on_every_reply(client: httpx.Client) -> None:
    replies = [
        client.get("/"),
        client.get("/nowhere"),
        client.get("/page/main.js"),
        client.post("/preview", json={"sheet": DEMO}),
        client.post("/preview", json=[]),
        client.get("/", headers={"Host": "evil.example"}),
    ]
    for reply in replies:
        policy = reply.headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["cache-control"] == "no-store"
        assert "access-control-allow-origin" not in reply.headers
        assert "server" not in reply.headers


@pytest.mark.parametrize(
    "path",
    [
        "/page/../app.py",
        "/page/%2e%2e/app.py",
        "/page/..%2fapp.py",
        "/page/..%5capp.py",
        "/page/%00",
        "/page/" + "a" * 300,
        "/page//etc/passwd",
        "/page/handover.py",
        "/clients/../../etc/passwd",
        "/page/index.html",
    ],
)
def test_no_file_outside_the_page(client: httpx.Client, path: str) -> None:
    reply = client.send(client.build_request("GET", str(client.base_url).rstrip("/") + path))
    assert reply.status_code in (404, 405)


def test_raw_path_with_dots(client: httpx.Client, address: str) -> None:
    """A client that does not tidy the path up."""
    port = port_of(address)
    cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    for path in ("/page/../../asked/demo.toml", "/../../../etc/passwd", "//etc/passwd"):
        with socket.create_connection(("127.0.0.1", port)) as link:
            head = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n"
            link.sendall(head.encode())
            assert link.recv(200).split()[1] in (b"404", b"400")


BAD_NAMES: list[Any] = [
    "..",
    "../Ada",
    "a/b",
    "a\\b",
    "/etc/passwd",
    "C:\\x",
    "a\0b",
    "a" * 300,
    "é" * 101,
    "",
    "   ",
    ".hidden",
    ".earlier",
    "a..b",
    "end.",
    "CON",
    "con",
    "nul.txt",
    "COM1",
    "lpt9.a",
    "AUX ",
    "a:b",
    'a"b',
    "a<b",
    "a|b",
    "a?b",
    "a*b",
    "a\nb",
    "\u202e",
    "\ud800",
    None,
    5,
    [],
    {},
    True,
]


@pytest.mark.parametrize("name", BAD_NAMES, ids=repr)
def test_bad_names(client: httpx.Client, folder: Path, name: Any) -> None:
    before = sorted(p for p in folder.parent.rglob("*"))
    for path, more in (
        ("/clients/open", {}),
        ("/clients/save", {"sheet": DEMO, "base": None}),
        ("/clients/mark", {}),
        ("/clients/earlier", {}),
        ("/clients/earlier", {"version": "x"}),
        ("/templates", {"sheet": DEMO}),
    ):
        reply = client.post(
            path, content=json.dumps({"name": name, **more}), headers={"Content-Type": "application/json"}
        )
        assert 400 <= reply.status_code < 500, (path, reply.text)
    assert sorted(p for p in folder.parent.rglob("*")) == before


@pytest.mark.parametrize("version", ["../../x", "..", "20260101T000000000000-" + "g" * 20, "a" * 500, None, 7, "\0"])
def test_bad_versions(client: httpx.Client, version: Any) -> None:
    client.post("/clients/save", json={"name": "Versions", "sheet": DEMO, "base": None})
    refused(client.post("/clients/earlier", json={"name": "Versions", "version": version}), 404)


@given(st.text(max_size=130))
@settings(max_examples=300, deadline=None)
def test_any_name_stays_inside_or_is_refused(name: str) -> None:
    root = Path("/somewhere/clients")
    try:
        tidy = checked_name(name)
    except Refused:
        return
    place = root / f"{tidy}.toml"
    assert place.parent == root and os.path.normpath(place) == str(place)
    assert len(place.name.encode()) < 255 and "\0" not in tidy


@pytest.mark.skipif(os.name == "nt", reason="links need rights on Windows")
def test_links_out_of_the_folder(tmp_path: Path) -> None:
    inside, outside = tmp_path / "in", tmp_path / "out"
    inside.mkdir()
    outside.mkdir()
    secret = outside / "secret.toml"
    secret.write_text('unit = "cm"\n[girths]\nwaist = 70\nhip = 100\n')
    (inside / "Link.toml").symlink_to(secret)
    (inside / ".earlier").symlink_to(outside)
    held = Folder(inside)
    assert [row["fault"] for row in held.listing()] == ["is not a file of this folder"]
    for act in (
        lambda: held.read("Link"),
        lambda: held.save("Link", DEMO, None),
        lambda: held.earlier("Link"),
    ):
        with pytest.raises((Refused, silhouette.OutputError)):
            act()
    assert sorted(p.name for p in outside.iterdir()) == ["secret.toml"]
    assert "waist = 70" in secret.read_text()


def run_page(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "silhouette", "page", *arguments],
        capture_output=True,
        text=True,
        timeout=30,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


def test_taken_port_is_said_plainly(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = run_page(str(tmp_path), "--port", str(port), "--no-browser")
    assert done.returncode == 2 and f"--port {port}: already taken" in done.stderr and "Traceback" not in done.stderr


def test_bad_folder_and_port(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("x")
    for arguments, words in (
        ([str(file)], "name a folder"),
        ([str(file / "below")], "cannot be made"),
        ([str(tmp_path), "--port", "70000"], "0 to 65535"),
        ([str(tmp_path), "--port", "-1"], "0 to 65535"),
    ):
        done = run_page(*arguments, "--no-browser")
        assert done.returncode == 2 and words in done.stderr and "Traceback" not in done.stderr


def test_only_this_machine_can_ask(address: str) -> None:
    with listen(0) as listening:
        assert listening.getsockname()[0] == "127.0.0.1"
    port = port_of(address)
    with socket.create_connection(("127.0.0.1", port), timeout=20):
        pass
    with pytest.raises(OSError), socket.create_connection(("127.0.0.2", port), timeout=2):  # not all of its addresses
        pass
    names = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)} - {"127.0.0.1"}
    for name in names:
        with pytest.raises(OSError), socket.create_connection((str(name), port), timeout=2):
            pass
