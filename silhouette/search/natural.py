"""The largest hip that still looks natural: thickness, start, bevel and front reach free, the look checks binding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.sheet import Sheet
from silhouette.asked.writing import with_values
from silhouette.judged.limits import distance_past, stock
from silhouette.pipeline import preview
from silhouette.search.thickness import EXACT, THINNEST, Option, hip_for, option_of
from silhouette.shape.figure import Figure, figure_like
from silhouette.shape.measures import front_reach_of

FREE: Final = ("pads.thickness", "pads.start", "pads.bevel", "pads.front_reach")


@dataclass(frozen=True)
class Natural:
    """The largest hip that stays fine.

    ``best`` cuts the foam to any thickness, ``stock`` takes a sheet as sold; None where nothing stays fine.
    ``in_the_way`` names the checks that hold the hip back, or that no arrangement satisfies.
    """

    best: Option | None
    stock: Option | None
    in_the_way: tuple[str, ...]
    tried: int


def largest_natural(sheet: Sheet, wanted: float | None = None) -> Natural:
    """The largest hip that stays ``fine``, with thickness, start, bevel and front reach free within their ranges.

    A derivative-free trust-region search (COBYQA) from several starts maximises the hip under the look checks as
    constraints; its answer is rounded to what can be cut and confirmed by a full judgement. ``wanted`` (mm) asks
    for that hip instead, where the natural range reaches it.
    """
    sheet = with_values(sheet, {"foam.measured": None, "cloth.shell_hip": None})
    figure = figure_like(sheet)
    if not figure.pads:
        raise SheetError([Fault("pads", "the sheet has no pads, so there is nothing to choose")])
    low, high = _ranges(sheet, figure)
    search = _Search(sheet, figure, low, high)
    for start in search.starts():
        search.run(start)
    found = search.best()
    if found is None:
        return Natural(None, None, search.least_bad, search.tried)
    best, changes = found
    if wanted is not None and best.hip > wanted:
        eased = search.thinner(changes, wanted)
        if eased is not None:
            best, changes = eased
    shelf = search.from_stock(best, changes)
    return Natural(best, shelf, search.holding_back(changes), search.tried)


def _ranges(sheet: Sheet, figure: Figure) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """Bounds of the free choices, in the order of ``FREE``: declared ranges narrowed to what fits this body."""
    m = figure.measures
    row = int(np.argmin(np.abs(figure.body.drops - m.hip_drop)))
    half_front = float(figure.body.arc[row, 0])
    # No further forward than the trade goes for its largest sizes (6 in, common practice), or the sheet itself.
    reach = min(half_front - 12.7, sheet.girths.hip / 2 - 1, max(152.4, front_reach_of(sheet, sheet.pads)))
    narrowest = max(40.0, 0.4 * front_reach_of(sheet, sheet.pads))
    low = np.array([THINNEST, 12.7, 10.0, narrowest])
    high = np.array([40.0, m.hip_drop - 25, 90.0, max(reach, narrowest + 1)])
    return low, np.maximum(high, low + 1)


class _Search:
    """The search for the largest natural hip: remembers every trial, so that nothing is worked out twice."""

    def __init__(self, sheet: Sheet, figure: Figure, low: Any, high: Any) -> None:
        self.sheet, self.figure, self.low, self.high = sheet, figure, low, high
        self.free = [i for i, key in enumerate(FREE) if key != "pads.front_reach" or sheet.pads.front]
        self.memory: dict[tuple[float, ...], tuple[float, float, tuple[str, ...]]] = {}

    @property
    def tried(self) -> int:
        return len(self.memory)

    @property
    def least_bad(self) -> tuple[str, ...]:
        """The checks that stand in the way where the look came nearest to fine."""
        return min(self.memory.values(), key=lambda seen: seen[1])[2] if self.memory else ()

    def changes(self, x: Any) -> dict[str, Any]:
        values = dict(zip(FREE, np.clip(x, self.low, self.high), strict=True))
        changes: dict[str, Any] = {FREE[i]: float(values[FREE[i]]) for i in self.free}
        if "pads.front_reach" in changes:
            changes["pads.bevel"] = min(changes["pads.bevel"], changes["pads.front_reach"] - 1)
        for side in ("left", "right"):  # a choice that one side makes for itself is part of the question
            for i in self.free:
                name = FREE[i].split(".")[1]
                if name in dict(getattr(self.sheet, side)):
                    changes[f"pads.{side}.{name}"] = changes[FREE[i]]
        return changes

    def judged(self, changes: dict[str, Any]) -> Option | None:
        try:
            return option_of(preview(with_values(self.sheet, changes), self.figure, advice=False), changes)
        except SheetError:
            return None

    def value(self, x: Any) -> tuple[float, float, tuple[str, ...]]:
        """Hip, look and the names of what is not fine, for one arrangement."""
        key = tuple(np.round(np.clip(x, self.low, self.high), 3))
        if key not in self.memory:
            try:
                trial = preview(with_values(self.sheet, self.changes(x)), self.figure, advice=False)
                self.memory[key] = trial.figure.new_hip_girth, trial.look, trial.in_the_way
            except SheetError:
                self.memory[key] = float(self.figure.measures.hip), 9.0, ("pads that fit",)
        return self.memory[key]

    @property
    def asked(self) -> Any:
        """The sheet's own choices, within the ranges."""
        pads = self.sheet.pads
        own = [pads.thickness, pads.start, pads.bevel, front_reach_of(self.sheet, pads)]
        return np.clip(own, self.low, self.high)

    def starts(self) -> list[Any]:
        return [self.asked, self.low + (self.high - self.low) * [0.35, 0.35, 0.6, 0.6]]

    def run(self, start: Any, evaluations: int = 50) -> None:
        span = self.high - self.low
        asked = (self.asked - self.low) / span

        def loss(u: Any) -> float:  # among ways that give the same hip, the one nearest to the sheet's own
            return float(0.01 * ((u - asked) ** 2).sum() - self.value(self.low + u * span)[0] / 100)

        from scipy.optimize import minimize

        search: Any = minimize
        search(
            loss,
            (start - self.low) / span,
            method="COBYQA",
            bounds=[(0.0, 1.0)] * len(FREE),
            constraints=[{"type": "ineq", "fun": lambda u: -self.value(self.low + u * span)[1] - 2e-3}],
            options={"maxfev": evaluations, "initial_tr_radius": 0.15, "final_tr_radius": 1e-3},
        )

    def from_stock(self, best: Option, changes: dict[str, Any]) -> Option | None:
        """The largest natural hip with a sheet of foam as sold: thinner or thicker than the best, placed anew."""
        sheets = stock(self.sheet.unit)
        made = []
        for foam in (
            max((t for t in sheets if t <= best.foam + 1e-6), default=None),
            min((t for t in sheets if t > best.foam + 1e-6), default=None),
        ):
            if foam is None:
                continue
            own = _Search(self.sheet, self.figure, self.low.copy(), self.high.copy())
            own.low[0], own.high[0] = foam, foam + 1e-3
            own.run(
                np.clip([changes.get(key) or low for key, low in zip(FREE, own.low, strict=True)], own.low, own.high),
                30,
            )
            found = own.best()
            self.memory.update(own.memory)
            if found is not None and found[0].foam >= foam - 1e-3:
                made.append(found[0])
        return max(made, key=lambda option: option.hip, default=None)

    def best(self) -> tuple[Option, dict[str, Any]] | None:
        """The best arrangement met that is still fine once rounded to what can be cut."""
        fine = sorted(((hip, key) for key, (hip, look, _) in self.memory.items() if look <= 0), reverse=True)
        near = [one for one in fine if one[0] > fine[0][0] - 1.0]  # as good as the best: closest to the sheet first
        near.sort(key=lambda one: float((((np.array(one[1]) - self.asked) / (self.high - self.low)) ** 2).sum()))
        made = []
        for _, key in [*near[:4], *fine[:2]]:
            changes = self.rounded(self.changes(np.array(key)))
            option = self.judged(changes)
            while option is not None and option.verdict != "fine" and changes["pads.thickness"] > THINNEST + 0.1:
                changes["pads.thickness"] = round(changes["pads.thickness"] - 0.1, 6)
                option = self.judged(changes)
            if option is not None and option.verdict == "fine":
                made.append((option, changes))
        best = max((option.hip for option, _ in made), default=0.0)
        return next((one for one in made if one[0].hip > best - 1.0), None)

    def rounded(self, changes: dict[str, Any]) -> dict[str, Any]:
        """Foam to 0.1 mm downward, places to 1/8 in or 1 mm."""
        fine = 25.4 / 8 if self.sheet.unit == "in" else 1.0
        made = {key: None if mm is None else round(round(mm / fine) * fine, 6) for key, mm in changes.items()}
        foam = changes["pads.thickness"]
        made["pads.thickness"] = max(round(float(np.floor(foam * 10 + 1e-2)) / 10, 6), THINNEST)
        if foam - self.low[0] < 2e-3:  # a sheet as sold keeps its own thickness
            made["pads.thickness"] = round(float(self.low[0]), 6)
        return made

    def thinner(self, changes: dict[str, Any], wanted: float) -> tuple[Option, dict[str, Any]] | None:
        """The same placement with the foam that gives just the wanted hip."""
        hip = hip_for(figure_like(with_values(self.sheet, changes), self.figure))
        if not hip(THINNEST) < wanted < hip(changes["pads.thickness"]):
            return None
        from scipy.optimize import brentq

        foam = float(brentq(lambda t: hip(t) - wanted, THINNEST, changes["pads.thickness"], xtol=EXACT))
        thin = {**changes, "pads.thickness": foam}
        option = self.judged(thin)
        return (option, thin) if option is not None and option.verdict == "fine" else None

    def holding_back(self, changes: dict[str, Any]) -> tuple[str, ...]:
        """Which checks speak up first when the foam gets a little thicker than the best."""
        thicker = {**changes, "pads.thickness": changes["pads.thickness"] + 1.0}
        try:
            trial = preview(with_values(self.sheet, thicker), self.figure, advice=False)
        except SheetError:
            return ()
        near = sorted(trial.findings, key=distance_past, reverse=True)
        return tuple(f.check for f in near if distance_past(f) > -0.05)
