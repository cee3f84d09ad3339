"""Processes that share a long search, and end with whoever started them."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor


def workers(count: int, *, fresh: bool = False) -> ProcessPoolExecutor:
    """A pool of ``count`` processes. None of them outlives this process, however it ends.

    ``fresh`` starts each anew, not as a copy of this process: one that serves on threads must not be copied.
    """
    context = multiprocessing.get_context("spawn") if fresh else None
    return ProcessPoolExecutor(count, mp_context=context, initializer=_end_with_parent)


def _end_with_parent() -> None:
    """In a worker: watch the process that started it, which may be killed without a word."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_watch, args=(parent.join,), daemon=True).start()


def _watch(wait: Callable[[], None]) -> None:
    wait()
    os._exit(1)
