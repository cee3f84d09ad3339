"""What a dressmaker may change to make a figure look natural: the places of the pads, their edge, their foam."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

import numpy as np

from silhouette.asked.pads import PROFILES
from silhouette.asked.sheet import SIDES, Sheet
from silhouette.judged.limits import stock
from silhouette.shape.curves import Array
from silhouette.shape.figure import Figure
from silhouette.shape.measures import front_reach_of

#: How far each place moves for a change to count as one (this tool's convention): mm, or parts of fullness.
STEPS: Final[dict[str, float]] = {
    "bevel": 25.0,
    "start": 20.0,
    "end": 50.0,
    "front_reach": 25.0,
    "back_gap": 20.0,
    "fullness": 0.25,
    "fullness_below": 0.25,
}
OTHER_PROFILE: Final = 0.5  #: what another shape of edge counts, and another sheet of foam a mm away
OTHER_FOAM: Final = 0.15
FRACTIONS: Final = ("fullness", "fullness_below")


@dataclass(frozen=True)
class Arrangement:
    """Foam as sold, shape of the edge, and places, in steps away from the sheet's own (``Free.steps_to``)."""

    foam: float
    profile: str
    steps: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Free:
    """What is free on one sheet: names, the sheet's own values, and how far each may go, in steps."""

    sheet: Sheet
    figure: Figure

    @cached_property
    def names(self) -> tuple[str, ...]:
        pads = self.sheet.pads
        drafted = (pads.front and pads.front_outline is None) or (pads.back and pads.back_outline is None)
        kept = {"front_reach": pads.front and pads.front_outline is None, "bevel": True}
        kept["back_gap"] = pads.back and pads.back_outline is None
        return tuple(name for name in STEPS if kept.get(name, drafted))

    @cached_property
    def own(self) -> Array:
        """The sheet's own values, those left out worked out, (n,)."""
        pads, m = self.sheet.pads, self.figure.measures
        values = {name: getattr(pads, name) for name in STEPS}
        values["front_reach"] = front_reach_of(self.sheet, pads, m.hip)
        values["end"] = m.under_seat_drop if pads.end is None else pads.end
        values["fullness_below"] = pads.fullness if pads.fullness_below is None else pads.fullness_below
        return np.array([values[name] for name in self.names])

    @cached_property
    def scale(self) -> Array:
        return np.array([STEPS[name] for name in self.names])

    @cached_property
    def half(self) -> tuple[float, float]:
        """Way along the hip line, side seam to centre front and to centre back, mm, on the lesser side."""
        row = int(np.argmin(np.abs(self.figure.body.drops - self.figure.measures.hip_drop)))
        arc = self.figure.body.arc[:, row]
        return float(arc[:, 0].min()), float(-arc[:, -1].max())

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        """Least and most of each place, in steps; the sheet's own values are always within."""
        m, own = self.figure.measures, dict(zip(self.names, self.own, strict=True))
        front, back = self.half
        # no further forward than the trade goes for its largest sizes (6 in, common practice), or the sheet itself
        reach = min(front - 12.7, m.hip / 2 - 1, max(152.4, own.get("front_reach", 0.0)))
        limits = {
            "bevel": (10.0, 120.0),
            "start": (12.7, m.hip_drop - 25),
            "end": (m.hip_drop + 45, min(m.knee_drop - 25, m.under_seat_drop + 170)),
            "front_reach": (45.0, reach),
            "back_gap": (12.7, max(min(back - 60, 100.0), 12.7)),
            "fullness": (0.1, 0.9),
            "fullness_below": (0.1, 0.9),
        }
        low, high = (np.array([limits[name][end] for name in self.names]) for end in (0, 1))
        return (np.minimum(low, self.own) - self.own) / self.scale, (np.maximum(high, self.own) - self.own) / self.scale

    @cached_property
    def room(self) -> tuple[Array, Array]:
        """Rows (K, n) and most (K,) of ``rows @ steps <= most``: the edge is no wider than the pads reach."""
        place = {name: i for i, name in enumerate(self.names)}
        own = dict(zip(self.names, self.own, strict=True))
        rows, most = [], []
        back = self.half[1] - own.get("back_gap", 0.0)
        for name, sign, reach in (("front_reach", 1.0, own.get("front_reach", 0.0)), ("back_gap", -1.0, back)):
            if name in place:
                row = np.zeros(len(self.names))
                row[place["bevel"]], row[place[name]] = STEPS["bevel"], -sign * STEPS[name]
                rows.append(row)
                most.append(max(reach - 2.0 - own["bevel"], 0.0))
        return np.array(rows).reshape(-1, len(self.names)), np.array(most)

    @cached_property
    def sheets(self) -> tuple[float, ...]:
        """Foam that may be taken: as sold, and what the sheet has now."""
        return tuple(sorted({*stock(self.sheet.unit), self.sheet.pads.thickness}))

    def cost(self, one: Arrangement) -> float:
        """How far an arrangement departs from the sheet's own choices, in changes that count as one."""
        return float(np.abs(one.steps).sum()) + self.fixed_cost(one.foam, one.profile)

    def fixed_cost(self, foam: float, profile: str) -> float:
        pads = self.sheet.pads
        return OTHER_FOAM * abs(foam - pads.thickness) + OTHER_PROFILE * (profile != pads.profile)

    def values(self, steps: Any) -> dict[str, float]:
        """Places in mm (fullness as it is) for some steps; those the sheet has stay exactly so."""
        moved = self.own + np.asarray(steps) * self.scale
        return {
            name: float(value)
            for name, value, step in zip(self.names, moved, steps, strict=True)
            if abs(step) * STEPS[name] > 1e-6
        }

    def changes(self, one: Arrangement) -> dict[str, Any]:
        """Sheet keys and values that come to an arrangement. A side that makes a choice of its own keeps its
        difference from the other."""
        pads = self.sheet.pads
        wanted: dict[str, Any] = dict(self.values(one.steps))
        if one.profile != pads.profile:
            wanted["profile"] = one.profile
        if one.foam != pads.thickness:
            wanted["thickness"] = one.foam
        changes = {f"pads.{name}": _written(value) for name, value in wanted.items()}
        for side in SIDES:
            choices = dict(getattr(self.sheet, side))
            for name in wanted.keys() & choices.keys():
                changes[f"pads.{side}.{name}"] = self._on_a_side(name, choices[name], wanted[name])
        if "thickness" in wanted and self.sheet.foam.measured is not None:
            changes["foam.measured"] = None  # that was another sheet of foam
        return changes

    def _on_a_side(self, name: str, own: Any, wanted: Any) -> Any:
        if name == "profile" or own is None:
            return wanted
        if name == "thickness":
            between = own - self.sheet.pads.thickness
            return min(self.sheets, key=lambda foam: (round(abs(foam - wanted - between), 6), foam))
        moved = own + wanted - dict(zip(self.names, self.own, strict=True))[name]
        return _written(min(max(moved, 0.0), 1.0) if name in FRACTIONS else moved)

    def sheet_with(self, one: Arrangement) -> Sheet:
        """The sheet of an arrangement, not read anew: that would take a tenth of the trial itself."""
        changes = self.changes(one)
        common = {key.split(".")[1]: value for key, value in changes.items() if key.count(".") == 1}
        measured = self.sheet.foam.measured if "measured" not in common else common.pop("measured")
        sides: dict[str, Any] = {
            side: tuple((name, changes.get(f"pads.{side}.{name}", value)) for name, value in getattr(self.sheet, side))
            for side in SIDES
        }
        pads = replace(self.sheet.pads, **common)
        return replace(self.sheet, pads=pads, foam=replace(self.sheet.foam, measured=measured), **sides)

    @property
    def profiles(self) -> tuple[str, ...]:
        """Shapes of the edge, the sheet's own first."""
        own = self.sheet.pads.profile
        return (own, *(p for p in PROFILES if p != own))


def _written(value: Any) -> Any:
    """A value as it is written into the sheet; the arrangement that is tried is the one that is written."""
    return value if isinstance(value, str) else round(float(value), 3)
