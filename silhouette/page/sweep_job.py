"""The map of two choices from the page: tried in a process of its own, told as it goes on, ended with its asker."""

from __future__ import annotations

import asyncio
import json
import logging
import math
import os
import threading
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import suppress
from typing import Any, Final

import numpy as np

from silhouette.asked.declared import FRACTION, LENGTH
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.sheet import Sheet, is_key, parameter_for
from silhouette.page.incoming import BROKEN
from silhouette.search.sweep import Axis, Sweep, sweep
from silhouette.search.workers import workers

STEPS: Final = 13  #: values of either choice: a map of 169 pairs is drawn within seconds
_LOG: Final = logging.getLogger(__name__)


class _Stopped(Exception):
    """Nobody waits for this map any more."""


class Sweeps:
    """The maps of one page, one at a time: a new one stops the one before."""

    def __init__(self) -> None:
        self._stop = threading.Event()

    async def lines(self, sheet: Sheet, first: Axis, second: Axis) -> AsyncIterator[str]:
        """JSON lines: ``{"done": 13, "of": 169}`` as it goes on, then the map, or ``{"faults": […]}``.

        It is stopped by the end of whoever reads the lines, and by the next map.
        """
        loop, queue = asyncio.get_running_loop(), asyncio.Queue[dict[str, Any] | None]()
        self._stop.set()
        self._stop = stop = threading.Event()

        def tell(line: dict[str, Any] | None) -> None:
            with suppress(RuntimeError):  # the server has ended meanwhile
                loop.call_soon_threadsafe(queue.put_nowait, line)

        threading.Thread(target=_run, args=(sheet, first, second, stop, tell), daemon=True).start()
        try:
            while (line := await queue.get()) is not None:
                yield json.dumps(line, ensure_ascii=False, separators=(",", ":")) + "\n"
        finally:
            stop.set()


def axes_in(body: Mapping[str, Any]) -> tuple[Axis, Axis]:
    """The two choices and their ranges, mm for lengths. Raises ``SheetError`` with every fault."""
    faults: list[Fault] = []
    axes = [axis for name in ("first", "second") if (axis := _axis(name, body.get(name), faults)) is not None]
    if len(axes) == 2 and axes[0].key == axes[1].key:
        faults.append(Fault("map", "the same choice twice"))
    if faults:
        raise SheetError(faults)
    return axes[0], axes[1]


def _axis(name: str, raw: Any, faults: list[Fault]) -> Axis | None:
    raw = raw if isinstance(raw, Mapping) else {}
    key, ends = raw.get("key"), (raw.get("low"), raw.get("high"))
    if not isinstance(key, str) or not is_key(key) or parameter_for(key).kind not in (LENGTH, FRACTION):
        faults.append(Fault(name, "needs the key of a choice that has a range"))
        return None
    if any(isinstance(end, bool) or not isinstance(end, int | float) or not math.isfinite(end) for end in ends):
        faults.append(Fault(name, "needs low and high as numbers"))
        return None
    low, high = float(ends[0]), float(ends[1])
    declared = parameter_for(key)
    assert declared.low is not None and declared.high is not None
    if not declared.low - 1e-6 <= low < high <= declared.high + 1e-6:
        faults.append(Fault(name, f"{declared.label} has a range within {declared.low:g} to {declared.high:g}"))
        return None
    return Axis(key, low, high)


def _run(
    sheet: Sheet,
    first: Axis,
    second: Axis,
    stop: threading.Event,
    tell: Callable[[dict[str, Any] | None], None],
) -> None:
    """Try every pair, leaving one core to the page, and tell what came of it."""
    done = 0

    def progress(pairs: int) -> None:
        nonlocal done
        if stop.is_set():
            raise _Stopped
        done += pairs
        tell({"done": done, "of": STEPS * STEPS})

    pool = workers(max((os.cpu_count() or 1) - 1, 1), fresh=True)
    try:
        tell(_plain(sweep(sheet, first, second, STEPS, pool, progress)))
    except _Stopped:
        pass
    except SheetError as error:
        tell({"faults": [{"place": f.place, "message": f.message} for f in error.faults]})
    except Exception:  # the page must hear of it, whatever it was
        _LOG.exception("map")
        tell({"faults": [{"place": "map", "message": f"could not be drawn: it {BROKEN}"}]})
    finally:
        pool.shutdown(cancel_futures=True)
        tell(None)


def _plain(swept: Sweep) -> dict[str, Any]:
    """Rows follow the second choice, columns the first; null where a pair cannot be made, and ``why`` says so."""
    return {"hip": _numbers(swept.hip, 1), "look": _numbers(swept.look, 3), "why": swept.why.tolist()}


def _numbers(grid: np.ndarray[Any, np.dtype[np.float64]], digits: int) -> list[list[float | None]]:
    return [[None if math.isnan(value) else round(value, digits) for value in row] for row in grid.tolist()]
