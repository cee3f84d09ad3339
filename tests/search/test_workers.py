"""Processes of a long search end with the process that started them, also when it is killed without a word."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from silhouette.search.workers import workers
from tests.page.browser import ROOT

PROCESSES = Path("/proc")

pytestmark = pytest.mark.skipif(not PROCESSES.is_dir(), reason="looks at processes through /proc")


def below(parent: int) -> set[int]:
    """The processes that a process has started, and theirs."""
    parents: dict[int, int] = {}
    for entry in PROCESSES.iterdir():
        if entry.name.isdigit():
            try:
                parents[int(entry.name)] = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
            except OSError:  # gone in the meantime
                continue
    found = {pid for pid, above in parents.items() if above == parent}
    return found.union(*(below(pid) for pid in found)) if found else found


def running(pid: int) -> bool:
    try:
        return (PROCESSES / str(pid) / "stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.mark.parametrize("end", [signal.SIGKILL, signal.SIGTERM])
def test_a_killed_sweep_leaves_no_workers(end: signal.Signals) -> None:
    sweep = [
        sys.executable,
        "-m",
        "silhouette",
        "sweep",
        "demo",
        "--steps",
        "201",
        "--cores",
        "3",
        "--vary",
        "pads.thickness=0.25..1.25in",
        "--vary",
        "pads.start=1..3in",
    ]
    process = subprocess.Popen(
        sweep, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    left: set[int] = set()
    try:
        for _ in range(1200):
            if len(left := below(process.pid)) >= 3 or process.poll() is not None:
                break
            time.sleep(0.1)
        assert len(left) >= 3
        process.send_signal(end)
        process.wait()
        for _ in range(600):
            if not any(map(running, left)):
                break
            time.sleep(0.1)
        assert [pid for pid in left if running(pid)] == []
    finally:
        for pid in {process.pid, *left}:
            if running(pid):
                os.kill(pid, signal.SIGKILL)


def test_workers_work() -> None:
    with workers(2) as pool:
        assert list(pool.map(abs, [-1, 2, -3])) == [1, 2, 3]
