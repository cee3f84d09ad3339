"""Two parameters varied together: hip and look at every pair, and the best trade-offs between them."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import Executor, Future, as_completed
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from silhouette.asked.declared import LENGTH, Parameter
from silhouette.asked.faults import SheetError
from silhouette.asked.lengths import in_unit
from silhouette.asked.sheet import Sheet, parameter_for, value_at
from silhouette.asked.writing import with_values
from silhouette.pipeline import preview
from silhouette.search.workers import workers
from silhouette.shape.curves import Array
from silhouette.shape.figure import figure_like

STEPS: Final = 41
MOST_STEPS: Final = 201


@dataclass(frozen=True)
class Axis:
    """One parameter and its range, in mm or the parameter's own unit."""

    key: str
    low: float
    high: float

    @property
    def parameter(self) -> Parameter:
        return parameter_for(self.key)

    def values(self, steps: int) -> Array:
        """``steps`` even values from low to high."""
        return np.linspace(self.low, self.high, steps)


@dataclass(frozen=True, eq=False)
class Sweep:
    """What came of every pair; all arrays (B, A): rows follow the second axis, columns the first.

    ``hip`` and ``added`` in mm over loose foam, both at the level of the new hip, so that ``body`` (there) and
    ``added`` add up to ``hip``; ``worn`` in mm over the shell when the sheet has one; ``look`` is
    0 and below where all is fine, 0 to 1 where something is to be watched, above 1 where it is obvious. Pairs
    that cannot be made hold NaN, and ``why`` says so; elsewhere it names the gravest check, or nothing.
    """

    sheet: Sheet
    first: Axis
    second: Axis
    hip: Array
    added: Array
    worn: Array
    look: Array
    why: NDArray[np.object_]

    @property
    def body(self) -> Array:
        """What a tape reads over the bare body at the level of each pair's new hip, mm."""
        return np.asarray(self.hip - self.added)

    @property
    def possible(self) -> NDArray[np.bool_]:
        """Pairs that can be made."""
        return np.isfinite(self.hip)

    def verdict(self, row: int, column: int) -> str:
        """``fine``, ``watch``, ``obvious``, or ``-`` where the pair cannot be made."""
        look = self.look[row, column]
        return "-" if np.isnan(look) else "fine" if look <= 0 else "watch" if look <= 1 else "obvious"

    def changes(self, row: int, column: int) -> dict[str, float]:
        """The sheet values of one pair."""
        rows, columns = self.hip.shape
        return {
            self.first.key: float(self.first.values(columns)[column]),
            self.second.key: float(self.second.values(rows)[row]),
        }

    def _aside(self) -> Array:
        """How far each pair lies from the sheet's own values, as shares of the two ranges."""
        rows, columns = self.hip.shape
        shares = []
        for axis, count in ((self.first, columns), (self.second, rows)):
            own = value_at(self.sheet, axis.key)
            middle = (axis.low + axis.high) / 2 if own is None else float(own)
            shares.append((axis.values(count) - middle) / (axis.high - axis.low))
        return np.asarray(np.hypot(*np.meshgrid(*shares)))

    def front(self, most: int = 24) -> list[tuple[int, int]]:
        """Pairs that no other beats in both added hip and natural look, from least to most added.

        Where more than ``most`` are as good, an even choice along the added hip.
        """
        place = [(int(row), int(column)) for row, column in np.argwhere(self.possible & (self.added > 0.5))]
        aside = self._aside()
        best, front = np.inf, list[tuple[int, int]]()
        for pair in sorted(
            place, key=lambda rc: (-round(float(self.added[rc]), 1), round(float(self.look[rc]), 3), aside[rc])
        ):
            if round(float(self.look[pair]), 3) < best:
                best = round(float(self.look[pair]), 3)
                front.append(pair)
        front.reverse()
        if len(front) <= most:
            return front
        added = np.array([self.added[pair] for pair in front])
        even = np.searchsorted(added, np.linspace(added[0], added[-1], most) - 1e-9)
        return [front[k] for k in sorted(set(np.minimum(even, len(front) - 1).tolist()))]


def sweep(
    sheet: Sheet,
    first: Axis,
    second: Axis,
    steps: int = STEPS,
    executor: Executor | None = None,
    progress: Callable[[int], None] | None = None,
) -> Sweep:
    """Try every pair of ``steps`` × ``steps`` values.

    ``executor`` is any ``concurrent.futures`` executor (a pool of processes over all cores when None); its workers
    must be able to import this package, and the result is the same on every one of them. On a cluster of machines,
    for example with Dask::

        from dask.distributed import Client

        with Client("scheduler:8786") as client, client.get_executor() as pool:
            swept = sweep(sheet, first, second, executor=pool)

    ``progress`` is called with the number of pairs just done. Raises ``ValueError`` for one parameter twice.
    """
    if first.key == second.key:
        raise ValueError(f"{first.key} is varied twice")
    swapped = second.key.endswith(".thickness")  # foam varies fastest: it only raises pads already drafted
    inner, outer = (second, first) if swapped else (first, second)
    found = np.full((4, steps, steps), np.nan)
    why = np.full((steps, steps), "", dtype=object)
    own = workers(os.cpu_count() or 1) if executor is None else None
    pool = own or executor
    assert pool is not None
    jobs: dict[Future[_Row], int] = {}
    try:
        for row, value in enumerate(outer.values(steps).tolist()):
            job = pool.submit(_try_row, sheet, inner.key, inner.values(steps).tolist(), outer.key, value)
            jobs[job] = row
        for job in as_completed(jobs):
            numbers, reasons = job.result()
            found[:, jobs[job]] = np.array(numbers).T
            why[jobs[job]] = reasons
            if progress is not None:
                progress(steps)
    except BaseException:
        for job in jobs:
            job.cancel()
        raise
    finally:
        if own is not None:
            own.shutdown(cancel_futures=True)
    if swapped:
        found, why = found.swapaxes(1, 2), why.T
    return Sweep(sheet, first, second, found[0], found[1], found[2], found[3], why)


_Row = tuple[list[tuple[float, float, float, float]], list[str]]


def _try_row(sheet: Sheet, inner: str, values: list[float], outer: str, value: float) -> _Row:
    """One row of pairs, in whichever process the executor chose."""
    like = figure_like(sheet)
    with suppress(SheetError):  # each pair says for itself what is wrong
        like = figure_like(with_values(sheet, {outer: value}), like)
    numbers, reasons = [], []
    for tried in values:
        try:
            trial = preview(with_values(sheet, {inner: tried, outer: value}), like, advice=False)
        except SheetError as error:
            numbers.append((np.nan, np.nan, np.nan, np.nan))
            reasons.append(str(error.faults[0].message))
            continue
        figure = trial.figure
        worn = trial.shell.worn_hip if trial.shell.given else figure.new_hip_girth
        numbers.append((figure.new_hip_girth, figure.added, worn, trial.look))
        reasons.append(next(iter(trial.in_the_way), ""))
    return numbers, reasons


def value_text(axis: Axis, value: float, unit: str) -> Any:
    """A swept value as people write it."""
    if axis.parameter.kind == LENGTH:
        return f"{in_unit(value, unit):.3g} {unit}"
    return f"{value:.3g} {axis.parameter.symbol}".rstrip()
