"""Work that is killed at a chosen step: a forked process dies, without any clean-up, before one of its calls to the
system that change a disk. So every moment at which a kill can matter is tried, each once, none by chance."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

#: Calls that change what stands on a disk, or make it last.
CALLS = ("open", "replace", "link", "fsync", "mkdir", "unlink", "rmdir", "rename", "chmod", "write", "close")


def killed_at(step: int, work: Callable[[], object]) -> bool:
    """Do some work in a process that dies at its ``step``-th call; whether it died, rather than came to its end."""
    child = os.fork()
    if child == 0:
        try:
            _arm(step)
            work()
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


def _arm(step: int) -> None:
    left = [step]

    def counted(call: Callable[..., Any]) -> Callable[..., Any]:
        def counting(*arguments: Any, **named: Any) -> Any:
            if left[0] == 0:
                os._exit(9)
            left[0] -= 1
            return call(*arguments, **named)

        return counting

    for name in CALLS:
        setattr(os, name, counted(getattr(os, name)))
