"""The page's server on a thread of this process: its patience can be shortened and its rooms be made to fail."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import uvicorn

from silhouette.page.connections import Connection
from silhouette.page.keys import Keys
from silhouette.page.serve import HERE, listen, server_of


@contextmanager
def running(root: Path, connection: type[Connection] = Connection) -> Iterator[tuple[int, Keys]]:
    """Its port and its keys."""
    listening = listen(0)
    port = listening.getsockname()[1]
    keys = Keys(port)
    server: uvicorn.Server = server_of(root, port, keys, connection)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield port, keys
    finally:
        server.should_exit = True
        thread.join(timeout=20)
        listening.close()


@contextmanager
def link_to(port: int) -> Iterator[socket.socket]:
    """A bare connection that gives up after a long while."""
    with socket.create_connection((HERE, port), timeout=60) as link:
        yield link


def rest_of(link: socket.socket) -> bytes:
    """Everything until the other end closes, in whichever way."""
    parts = []
    try:
        while part := link.recv(65536):
            parts.append(part)
    except ConnectionResetError:
        pass
    return b"".join(parts)


def refused(reply: httpx.Response, status: int, words: str = "") -> None:
    assert reply.status_code == status, reply.text
    faults = reply.json()["faults"]
    assert faults and any(words in f"{f['place']}: {f['message']}" for f in faults), faults
