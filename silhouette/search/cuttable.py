"""From a place on paper to one that can be cut: rounded to what a tape shows, the hip brought back, then confirmed."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from silhouette.asked.lengths import INCH
from silhouette.judged.finding import SEVERITIES
from silhouette.search.arrangement import FRACTIONS, STEPS, Arrangement
from silhouette.search.thickness import Option
from silhouette.search.trials import Place, Trials

NEAR: Final = 0.3  #: mm; a hip this near to the wanted one reaches it


def cuttable(trials: Trials, place: Place, wanted: float | None) -> tuple[Option, Arrangement] | None:
    """The arrangement as it will be written into the sheet, and what a preview of that says; None if it cannot be.

    Places go to 1/8 in or 1 mm, fullness to a twentieth; then one of them is moved, by tenths of a mm, until the hip
    is the wanted one. Where that costs the look, the places are rounded to the softer side, or left as they were found.
    """
    built: list[tuple[Option, Arrangement]] = []
    for one in (_rounded(trials, place, softer=False), _rounded(trials, place, softer=True), place.one):
        if wanted is not None:
            one = _tuned(trials, one, place, wanted)
        option = trials.confirmed(one)
        if option is None:
            continue
        built.append((option, one))
        near = wanted is None or abs(option.hip - wanted) <= NEAR
        if near and (option.verdict == "fine") >= place.fine:
            return option, one

    def worse(one: tuple[Option, Arrangement]) -> tuple[bool, int, float]:
        miss = 0.0 if wanted is None else abs(one[0].hip - wanted)
        return miss > NEAR, SEVERITIES.index(one[0].verdict), miss

    return min(built, key=worse, default=None)


def _rounded(trials: Trials, place: Place, *, softer: bool) -> Arrangement:
    free, ground = trials.free, trials.ground
    tick = INCH / 8 if free.sheet.unit == "in" else 1.0
    gravest = place.slopes[1 + int(np.argmax(place.found[1:]))]
    steps = []
    for name, own, step, slope in zip(free.names, free.own, place.one.steps, gravest, strict=True):
        fine = 0.05 if name in FRACTIONS else tick
        ticks = (own + step * STEPS[name]) / fine
        whole = np.round(ticks) if not softer else np.floor(ticks) if slope > 0 else np.ceil(ticks)
        steps.append(0.0 if abs(step) * STEPS[name] < 0.6 * fine else (whole * fine - own) / STEPS[name])
    return replace(place.one, steps=tuple(np.round(np.clip(steps, ground.low, ground.high), 6).tolist()))


def _tuned(trials: Trials, one: Arrangement, place: Place, wanted: float) -> Arrangement:
    """One place moved until the hip is the wanted one: of those that change, one that pulls most and shows least."""
    free, ground = trials.free, trials.ground
    pull = np.abs(place.slopes[0]) / (1.0 + 20.0 * np.abs(place.slopes[1:]).max(axis=0))
    i = int(np.argmax(pull * np.where(np.abs(one.steps) > 0, 1.0, 0.3)))
    slope, found = float(place.slopes[0, i]), trials.trial(one)
    digits = 3 if free.names[i] in FRACTIONS else 1
    own, scale = float(free.own[i]), float(free.scale[i])
    for _ in range(4):
        if found is None or abs(found[0] - wanted) < 0.1 or abs(slope) < 0.5:
            break
        before, step = float(found[0]), one.steps[i]
        moved = step + float(np.clip((wanted - before) / slope, -0.5, 0.5))
        moved = float(np.clip(moved, ground.low[i], ground.high[i]))
        moved = round((round(own + moved * scale, digits) - own) / scale, 6)
        if abs(moved - step) < 1e-5:
            break
        one = replace(one, steps=(*one.steps[:i], moved, *one.steps[i + 1 :]))
        found = trials.trial(one)
        if found is not None and abs(moved - step) > 1e-3:
            slope = (float(found[0]) - before) / (moved - step)
    return one
