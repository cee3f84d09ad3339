"""The table that shell and lining are cut by, level by level."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.cutting.panels import PanelWidths, SideSeam, panel_widths, side_seams
from silhouette.pipeline import Preview

Floats = NDArray[np.float64]

STEP: Final = {"in": 25.4, "cm": 25.0, "mm": 25.0}  #: between the levels of the table, mm
CLOSE: Final = 7.0  #: mm; a step this near a named level is left out


@dataclass(frozen=True)
class Row:
    """One level of the table, mm; panels in the order left front, left back, right front, right back."""

    name: str
    drop: float
    body: float  #: tape round the body: what the lining is cut to, before ease
    padded: float  #: tape over the pads
    worn: float  #: tape over the shell, where that is tight
    shell: float  #: what the shell is cut to, without seam allowance
    panels_body: tuple[float, ...]
    panels_padded: tuple[float, ...]

    @property
    def added(self) -> float:
        return self.padded - self.body

    @property
    def gains(self) -> tuple[float, ...]:
        """What each half panel gains at its side seam."""
        return tuple(b - a for a, b in zip(self.panels_body, self.panels_padded, strict=True))

    @property
    def room(self) -> float:
        """What the shell has over a tape on the loose pads; below 0 it squeezes them."""
        return self.shell - self.padded

    @property
    def panels_shell(self) -> tuple[float, ...]:
        """Half panels of the shell: room goes by quarters, squeeze is taken where the pads are, as they gain."""
        if self.room >= 0.0 or self.added < 1e-6:
            return tuple(padded + self.room / 4 for padded in self.panels_padded)
        pairs = zip(self.panels_padded, self.gains, strict=True)
        return tuple(padded + self.room * gain / self.added for padded, gain in pairs)


@dataclass(frozen=True, eq=False)
class ShellTable:
    """Rows from the waist to under the seat, the side seams, and the outlines for the panel drawing."""

    rows: tuple[Row, ...]
    seams: tuple[SideSeam, SideSeam]
    curve: PanelWidths  #: closely spaced levels from the waist to the lowest row
    same: bool  #: left and right gain the same


def shell_table(seen: Preview) -> ShellTable:
    """Everything needed to cut shell and lining for a preview."""
    figure, measures = seen.figure, seen.body.measures
    lowest = max([measures.under_seat_drop, *(float(p.flat[-1, 0, 1]) for p in seen.pads)])
    named = {"waist": 0.0, "high hip": measures.high_hip_drop, "hip": measures.hip_drop}
    named["under the seat"] = measures.under_seat_drop
    step = STEP[seen.sheet.unit]
    between = np.arange(step, lowest + 1e-6, step)
    taken = np.array(list(named.values()))
    between = between[np.abs(between[:, None] - taken).min(axis=1) > CLOSE]
    levels = sorted([(d, n) for n, d in named.items()] + [(float(d), "") for d in between])
    drops = np.array([d for d, _ in levels])
    widths = panel_widths(figure, drops)
    before, after = widths.body.sum(axis=1), widths.padded.sum(axis=1)
    levels_of_body = seen.body.drops
    shell = np.interp(drops, levels_of_body, seen.shell.girth)
    worn = np.interp(drops, levels_of_body, seen.shell.worn_girth)
    rows = tuple(
        Row(
            name,
            drop,
            float(before[k]),
            float(after[k]),
            float(worn[k]),
            float(shell[k]),
            tuple(map(float, widths.body[k])),
            tuple(map(float, widths.padded[k])),
        )
        for k, (drop, name) in enumerate(levels)
    )
    gains = widths.gains
    return ShellTable(
        rows=rows,
        seams=side_seams(figure, lowest),
        curve=panel_widths(figure, np.linspace(0.0, lowest, 33)),
        same=bool(np.abs(gains[:, :2] - gains[:, 2:]).max() < 0.05),
    )
