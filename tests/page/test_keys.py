"""Who is let in, what every reply carries even when the program fails, and what ends by itself."""

from __future__ import annotations

import asyncio
import json
import logging
import socket
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx
import pytest

import silhouette
from silhouette.asked.faults import Fault
from silhouette.page import templates_job
from silhouette.page.connections import MOST_DROPPED, Connection
from silhouette.page.guard import HEADERS
from silhouette.page.incoming import MOST_FAULTS, refusal
from silhouette.page.keys import KEY, Keys
from silhouette.page.serve import HERE, listen, write_log
from tests.page.running import link_to, rest_of, running
from tests.page.sheets import DEMO
from tests.page.test_guard import POSTS

STATIC = ("/", "/page/main.js", "/page/page.css", "/nowhere")


class Hasty(Connection):
    patience = 0.3


def carries_headers(reply: httpx.Response) -> bool:
    return all(reply.headers.get(name) == value for name, value in HEADERS.items())


def inside(port: int, keys: Keys) -> httpx.Client:
    client = httpx.Client(base_url=f"http://{HERE}:{port}", trust_env=False)
    client.cookies.set(keys.cookie_name, keys.cookie)
    return client


def alone(job: Coroutine[Any, Any, int]) -> int:
    """Run a coroutine on a thread of its own: this one may already carry a browser's loop."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, job).result()


def test_nothing_without_the_key(tmp_path: Path) -> None:
    """Another user of this machine reaches the port, and nothing behind it."""
    with running(tmp_path) as (port, keys), httpx.Client(base_url=f"http://{HERE}:{port}", trust_env=False) as other:
        guesses: tuple[dict[str, str], ...] = (
            {},
            {keys.cookie_name: "guess"},
            {"silhouette-1": keys.cookie},
            {keys.cookie_name: keys.printed},
        )
        for cookies in guesses:
            other.cookies = httpx.Cookies(cookies)
            replies = [other.get(path) for path in STATIC] + [other.post(path, json={}) for path in POSTS]
            replies += [other.get(f"/?{KEY}={guess}") for guess in ("", "guess", keys.cookie)]
            replies += [other.get(f"/page/main.js?{KEY}={keys.printed}"), other.post(f"/start?{KEY}={keys.printed}")]
            for reply in replies:
                assert reply.status_code == 403 and carries_headers(reply), reply.url
                assert "set-cookie" not in reply.headers
                assert keys.cookie not in reply.text and keys.printed not in reply.text
    assert list(tmp_path.iterdir()) == []


def test_the_key_is_exchanged_for_a_cookie(tmp_path: Path) -> None:
    with running(tmp_path) as (port, keys):
        for _ in range(2):  # the printed one stays good, for a second browser
            with httpx.Client(base_url=f"http://{HERE}:{port}", trust_env=False) as own:
                first = own.get(f"/?{KEY}={keys.printed}")
                assert first.status_code == 200
                flags = {part.strip() for part in first.headers["set-cookie"].split(";")[1:]}
                assert flags == {"Path=/", "HttpOnly", "SameSite=Strict"}
                assert own.get("/page/main.js").status_code == 200
                assert own.post("/start", json={}).status_code == 200
                assert own.get(f"/?{KEY}=stale").status_code == 200  # an old address in a browser that is in already


def test_the_opening_key_is_good_once() -> None:
    """A starting browser's arguments can be read by everybody; who comes second with them stays outside."""
    keys = Keys(1)
    assert keys.lets_in(keys.opening) and not keys.lets_in(keys.opening)
    assert keys.lets_in(keys.printed) and keys.lets_in(keys.printed)
    assert not keys.lets_in("") and not keys.lets_in("\udcff") and not keys.lets_in(keys.cookie)
    assert len({keys.cookie, keys.printed, keys.opening, Keys(1).cookie}) == 4


def test_two_pages_share_one_browser(tmp_path: Path) -> None:
    """A browser sends a host's cookies to all its ports; each page still knows its own."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    with (
        running(tmp_path / "a") as (one, one_keys),
        running(tmp_path / "b") as (two, two_keys),
        httpx.Client(trust_env=False) as browser,
    ):
        for port, keys in ((one, one_keys), (two, two_keys)):
            assert browser.get(f"http://{HERE}:{port}/?{KEY}={keys.printed}").status_code == 200
        for port, name in ((one, "a"), (two, "b")):
            folder = browser.post(f"http://{HERE}:{port}/start", json={}).json()["folder"]
            assert folder == str((tmp_path / name).resolve())


def test_port_80_goes_without_saying(tmp_path: Path) -> None:
    from silhouette.page.app import page_app

    async def asked(port: int, host: str, origin: str) -> int:
        keys = Keys(port)
        transport = httpx.ASGITransport(app=page_app(tmp_path, port, keys))
        cookies = {keys.cookie_name: keys.cookie}
        async with httpx.AsyncClient(transport=transport, base_url="http://x", cookies=cookies) as client:
            headers = {"Host": host, "Origin": origin}
            return (await client.post("/clients", json={}, headers=headers)).status_code

    for name in ("127.0.0.1", "localhost"):
        for host in (name, f"{name}:80"):
            assert alone(asked(80, host, f"http://{name}")) == 200
        assert alone(asked(81, name, f"http://{name}:81")) == 403
        assert alone(asked(81, f"{name}:81", f"http://{name}")) == 403


def test_failures_carry_the_headers_and_are_logged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fails() -> None:
        raise ZeroDivisionError("deep inside")

    monkeypatch.setattr("silhouette.page.app.controls", fails)
    with running(tmp_path) as (port, keys), inside(port, keys) as client, caplog.at_level(logging.ERROR):
        reply = client.post("/start", json={})
        assert client.get("/").status_code == 200  # the server lives on
    assert reply.status_code == 500 and carries_headers(reply)
    assert "went wrong inside" in reply.json()["faults"][0]["message"] and "deep inside" not in reply.text
    own = [r for r in caplog.records if r.name.startswith("silhouette")]
    assert len(own) == 1 and own[0].exc_info is not None and own[0].exc_info[0] is ZeroDivisionError


def test_what_is_not_http_is_answered_with_the_headers(tmp_path: Path) -> None:
    with running(tmp_path) as (port, _), link_to(port) as link:
        link.sendall(b"\x16\x03\x01 hello\r\n\r\n")
        reply = rest_of(link).decode("latin-1").lower()
    assert reply.startswith("http/1.1 400")
    assert all(f"{name}: {value}".lower() in reply for name, value in HEADERS.items())


@pytest.mark.parametrize(
    "sent",
    [
        "",
        "POST /preview HTTP/1.1\r\nHost: {host}\r\n",
        "POST /start HTTP/1.1\r\n"
        "Host: {host}\r\nCookie: {cookie}\r\nContent-Type: application/json\r\nContent-Length: 9\r\n\r\n{{",
    ],
)
def test_half_open_connections_end(tmp_path: Path, sent: str) -> None:
    with running(tmp_path, Hasty) as (port, keys), link_to(port) as link:
        link.sendall(sent.format(host=f"{HERE}:{port}", cookie=f"{keys.cookie_name}={keys.cookie}").encode())
        assert rest_of(link) == b""
        with inside(port, keys) as client:
            assert client.post("/start", json={}).status_code == 200


def test_a_refused_body_is_not_read_to_its_end(tmp_path: Path) -> None:
    """A terabyte is announced; the refusal comes at once and the connection ends long before."""
    with running(tmp_path) as (port, keys), link_to(port) as link:
        link.sendall(
            f"POST /start HTTP/1.1\r\nHost: {HERE}:{port}\r\nCookie: {keys.cookie_name}={keys.cookie}\r\n"
            "Content-Type: application/json\r\nContent-Length: 999999999999\r\n\r\n".encode()
        )
        assert b" 413 " in link.recv(65536)
        sent = 0
        with pytest.raises((ConnectionResetError, BrokenPipeError)):
            while sent < 50 * MOST_DROPPED:
                sent += link.send(b" " * 65536)


def test_refusals_stay_short() -> None:
    faults = [Fault(f"girths.{'x' * 5000}{n}", "y" * 5000) for n in range(10_000)]
    reply = refusal(422, faults)
    assert len(reply.body) < 60_000 and b"and 9950 more faults" in bytes(reply.body)
    assert b"more" not in bytes(refusal(422, faults[:MOST_FAULTS]).body)
    assert refusal(422, [Fault("\ud800", "half a pair")]).status_code == 422


def test_replies_are_not_held_back() -> None:
    """Accepted connections have TCP_NODELAY: without it, a reply in two parts waits for the browser (40 ms)."""

    async def accepted() -> int:
        listening = listen(0)
        found: asyncio.Future[int] = asyncio.get_running_loop().create_future()

        def took(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            own = writer.get_extra_info("socket")
            found.set_result(own.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        server = await asyncio.start_server(took, sock=listening)
        async with server:
            _, writer = await asyncio.open_connection(*listening.getsockname())
            writer.close()
            return await asyncio.wait_for(found, 30)

    assert alone(accepted()) != 0


def broken_templates(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise ZeroDivisionError("deep inside")

    monkeypatch.setattr("silhouette.cutting.output.template_files", fails)


def test_failing_templates_are_logged_and_owned_up_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    broken_templates(monkeypatch)
    with running(tmp_path) as (port, keys), inside(port, keys) as client, caplog.at_level(logging.ERROR):
        reply = client.post("/templates", json={"name": "Ada", "sheet": DEMO}, timeout=60)
    last = json.loads(reply.text.splitlines()[-1])
    assert "went wrong inside this program" in last["faults"][0]["message"] and "deep inside" not in reply.text
    (record,) = [r for r in caplog.records if r.name.startswith("silhouette")]
    assert record.exc_info is not None and record.exc_info[0] is ZeroDivisionError
    assert not (tmp_path / "Ada templates").exists()


def test_the_log_holds_the_traceback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    broken_templates(monkeypatch)
    before = {name: list(logging.getLogger(name).handlers) for name in ("silhouette", "uvicorn")}
    try:
        write_log(tmp_path / "page.log")
        list(templates_job.start(silhouette.preview(silhouette.from_plain(DEMO)), tmp_path, "Ada"))
    finally:
        for name, handlers in before.items():
            logging.getLogger(name).handlers[:] = handlers
    assert "Traceback" in (text := (tmp_path / "page.log").read_text("utf-8")) and "deep inside" in text
    assert capfd.readouterr().err == ""
    with pytest.raises(silhouette.OutputError, match="log cannot be written"):
        write_log(tmp_path / "no such folder" / "page.log")
