"""Starts the server on this machine only, and opens the browser."""

from __future__ import annotations

import errno
import logging
import os
import socket
import threading
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING, Final

from silhouette.asked.faults import OutputError, UsageError
from silhouette.page.keys import KEY, Keys

if TYPE_CHECKING:
    import uvicorn

    from silhouette.page.connections import Connection

HERE: Final = "127.0.0.1"
USUAL_PORT: Final = 8653


def serve(root: Path, port: int = USUAL_PORT, *, open_browser: bool = True, log: Path | None = None) -> None:
    """Serve the page for a clients' folder until it is stopped.

    Raises ``UsageError`` or ``OutputError`` when it cannot start. ``port`` 0 picks a free one. The folder is made
    when it is missing. ``log`` receives the details of failures inside this program; without it they are kept quiet.
    """
    write_log(log)
    check_root(root)
    listening = listen(port)
    port = listening.getsockname()[1]
    keys = Keys(port)
    address = f"http://{HERE}:{port}/?{KEY}="
    print(f"The consultation page is at {address}{keys.printed}", flush=True)
    print(
        f"Clients are kept in {root.resolve()}; they stay on this machine. The address lets in whoever has it: "
        "keep it to yourself. Ctrl+C closes the page.",
        flush=True,
    )
    if open_browser:
        threading.Timer(0.3, webbrowser.open, [address + keys.opening]).start()
    run(root, listening, keys)


def run(root: Path, listening: socket.socket, keys: Keys) -> None:
    """Answer on a socket until stopped."""
    from silhouette.page.connections import Connection

    server_of(root, listening.getsockname()[1], keys, Connection).run(sockets=[listening])


def server_of(root: Path, port: int, keys: Keys, connection: type[Connection]) -> uvicorn.Server:
    """The HTTP server for one folder."""
    import uvicorn

    from silhouette.page.app import page_app

    config = uvicorn.Config(
        page_app(root, port, keys),
        log_level="error",
        log_config=None,
        access_log=False,
        lifespan="off",
        http=connection,
        ws="none",
        server_header=False,
        timeout_graceful_shutdown=2,
    )
    return uvicorn.Server(config)


def write_log(path: Path | None) -> None:
    """Let failures inside this program, and the server's own, go to a file; nothing of them to the terminal."""
    handler: logging.Handler = logging.NullHandler()
    if path is not None:
        try:
            handler = logging.FileHandler(path, encoding="utf-8")
        except OSError as error:
            raise OutputError(f"{path}: the log cannot be written: {error.strerror or error}") from error
        handler.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
    for name in ("silhouette", "uvicorn"):
        logging.getLogger(name).addHandler(handler)


def check_root(root: Path) -> None:
    """Make the folder if need be and see that it can be read and written."""
    if root.exists() and not root.is_dir():
        raise UsageError(f"{root}: a file; name a folder in which clients are kept")
    try:
        root.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{root}: cannot be made: {error.strerror or error}") from error
    if not os.access(root, os.R_OK | os.W_OK | os.X_OK):
        raise OutputError(f"{root}: cannot be read and written")


def listen(port: int) -> socket.socket:
    """A listening socket on this machine's own address.

    Raises ``UsageError`` for a port that cannot exist and ``OutputError`` for one that is taken or forbidden.
    """
    if not 0 <= port <= 65535:
        raise UsageError(f"port {port}: must be 0 to 65535 (0 picks a free one)")
    # the protocol by name: only then are replies sent off at once, not held back for an acknowledgement (40 ms)
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if os.name == "posix":  # elsewhere this would let a second server share the port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((HERE, port))
        listening.listen(256)
    except OSError as error:
        listening.close()
        if error.errno == errno.EADDRINUSE:
            raise OutputError(
                f"port {port}: already taken on this machine, perhaps by a page that is still open at "
                f"http://{HERE}:{port}/ (port 0 picks a free one)"
            ) from error
        raise OutputError(f"port {port}: cannot be used: {error.strerror or error}") from error
    listening.set_inheritable(True)
    return listening
