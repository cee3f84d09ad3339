"""Trials of arrangements on one sheet: each previewed once and remembered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.sheet import Sheet
from silhouette.asked.writing import with_values
from silhouette.judged.limits import distance_past
from silhouette.pipeline import Preview, preview
from silhouette.search.arrangement import Arrangement, Free
from silhouette.search.steps import Ground
from silhouette.search.thickness import Option, option_of
from silhouette.shape.curves import Array
from silhouette.shape.figure import figure_like


@dataclass(frozen=True, eq=False)
class Place:
    """An arrangement that was tried: what was found (hip in mm, then how far each check is past its limit), and the
    slopes there, one row for each."""

    one: Arrangement
    found: Array
    slopes: Array
    borrowed: bool  #: whether the slopes began as those of another foam or edge

    @property
    def fine(self) -> bool:
        return float(self.found[1:].max(initial=-1.0)) <= 0


class Trials:
    """The trials on one sheet. Its shell is left out: another hip takes another shell.

    Raises ``SheetError`` where the sheet has no pads.
    """

    def __init__(self, sheet: Sheet, progress: Callable[[int], None] | None = None) -> None:
        self.original = sheet
        bare = replace(sheet, cloth=replace(sheet.cloth, shell_hip=None))
        figure = figure_like(bare)
        if not figure.pads:
            raise SheetError([Fault("pads", "the sheet has no pads, so there is nothing to choose")])
        self.free = Free(bare, figure)
        self.progress = progress
        self.memory: dict[Arrangement, Array | None] = {}
        self.latest = figure
        self.names: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        return len(self.memory)

    @cached_property
    def ground(self) -> Ground:
        return Ground(*self.free.bounds, *self.free.room)

    @property
    def least_bad(self) -> tuple[str, ...]:
        """The checks past their limit where the look came nearest to fine."""
        known = [found for found in self.memory.values() if found is not None]
        if not known:
            return ("pads that fit",)
        return self.past(min(known, key=lambda found: float(found[1:].max())))

    def past(self, found: Array, limit: float = 0.0) -> tuple[str, ...]:
        """Names of the checks beyond ``limit``, gravest first."""
        return tuple(self.names[i] for i in np.argsort(-found[1:]) if found[1 + i] > limit)

    def trial(self, one: Arrangement) -> Array | None:
        """Hip and the distance past its limit of every check; None where such pads cannot be made."""
        if one not in self.memory:
            try:
                result = preview(self.free.sheet_with(one), self.latest, advice=False)
            except (SheetError, ValueError):
                self.memory[one] = None
            else:
                self.latest = result.figure
                self.memory[one] = self._found(result)
            if self.progress is not None:
                self.progress(self.count)
        return self.memory[one]

    def _found(self, result: Preview) -> Array:
        past = {finding.check: distance_past(finding) for finding in result.findings}
        self.names = self.names or tuple(past)
        return np.array([result.figure.new_hip_girth, *(past.get(name, -1.0) for name in self.names)])

    def at(self, foam: float, profile: str) -> Callable[[Array], Array | None]:
        """Trials of steps alone, with one foam and edge."""
        return lambda steps: self.trial(Arrangement(foam, profile, tuple(np.round(steps, 6).tolist())))

    def confirmed(self, one: Arrangement) -> Option | None:
        """The arrangement written into the sheet, read anew and previewed whole, with the shell that belongs to it."""
        changes = self.free.changes(one)
        try:
            if self.original.cloth.shell_hip is not None:
                loose = with_values(self.original, {**changes, "cloth.shell_hip": None})
                changes["cloth.shell_hip"] = round(preview(loose, self.latest, advice=False).shell.cut_hip, 3)
            return option_of(preview(with_values(self.original, changes), self.latest, advice=False), changes)
        except SheetError:
            return None
