"""A real server in a process of its own and a real browser, for the tests and the benchmark of the page."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[2]
CHROMIUM: Final = os.environ.get("SILHOUETTE_CHROMIUM", "/usr/bin/chromium")
QUIET: Final = [
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
ARGUMENTS: Final = [*QUIET, "--disable-gpu", "--enable-unsafe-swiftshader"]  # a machine without a graphics card
NO_WEBGL: Final = [*QUIET, "--disable-gpu", "--disable-3d-apis"]


@contextmanager
def server(folder: Path) -> Iterator[str]:
    """The address of a running page for a folder."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    process = subprocess.Popen(
        [sys.executable, "-m", "silhouette", "page", str(folder), "--port", "0", "--no-browser"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+/", line)
        assert found, line + (process.stderr.read() if process.stderr else "")
        yield found[0]
    finally:
        process.terminate()
        process.wait(timeout=10)
        for stream in (process.stdout, process.stderr):
            if stream is not None:
                stream.close()
