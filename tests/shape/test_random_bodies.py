"""Random sheets with every word for her shape and with sides that differ: sound bodies, or a clear refusal."""

import numpy as np
import pytest
import shapely

from silhouette import SheetError
from silhouette.asked.sheet import SIDES, Sheet
from silhouette.shape.body import Body
from silhouette.shape.figure import Figure, figure_of
from silhouette.shape.solids import solids_of
from silhouette.shape.tape import leg_girth
from tests.clients import sheet

SEED, COUNT = 11, 60  #: ten thousand of them, ``python -m tests.shape.test_random_bodies 10000``, take some minutes


def random_sheet(rng: np.random.Generator) -> Sheet:
    """Any figure the sheet lets through, mostly far from the usual; SheetError where it does not."""
    hip = rng.uniform(650, 1800)
    waist = max(400.0, hip * rng.uniform(0.58, 1.1))
    keys = {"girths.hip": hip, "girths.waist": waist}
    if rng.random() < 0.5:
        keys["girths.high_hip"] = waist + (hip - waist) * rng.uniform(0.2, 1.05)
    if rng.random() < 0.5:
        keys["girths.thigh"] = hip * rng.uniform(0.48, 0.7)
    if rng.random() < 0.3:
        keys["drops.hip"] = rng.uniform(150, 290)
    if rng.random() < 0.3:
        keys["widths.hip_depth"] = hip * rng.uniform(0.2, 0.27)
    for name in ("stance", "belly", "high_hip", "outer_thigh"):
        if rng.random() < 0.6:
            keys[f"shape.{name}"] = rng.uniform(-2, 2)
    if rng.random() < 0.5:
        side = rng.choice(["left", "right"])
        for name, whole in (("waist", waist), ("hip", hip)):
            if rng.random() < 0.7:
                keys[f"uneven.{name}_{side}"] = whole * rng.uniform(0.46, 0.54)
        if rng.random() < 0.5 and "drops.hip" in keys:
            keys[f"uneven.hip_drop_{side}"] = keys["drops.hip"] + rng.uniform(-25, 25)
    keys["pads.thickness"] = rng.uniform(6, 30)
    keys["pads.front_reach"] = rng.uniform(0.08, 0.14) * hip
    return sheet(keys)


def flaws(figure: Figure) -> list[str]:
    """What is wrong with a body and its pads; nothing, as a rule."""
    body, m = figure.body, figure.measures
    found = []
    if not all(solid.watertight for solid in solids_of(body, figure.pads)):
        found.append("a solid is open")
    if not np.isfinite(body.outer).all() or not np.isfinite(figure.after.h).all():
        found.append("not finite")
    if (body.inner[0, ..., 0] < -1e-9).any() or (body.inner[1, ..., 0] > 1e-9).any():
        found.append("an inner arc crosses the mid-plane")
    found += crossing(body)
    halves = [(h.waist, h.high_hip, h.hip) for h in m.halves] if m.halves else []
    for name, drop in (("waist", 0.0), ("high_hip", m.high_hip_drop), ("hip", m.hip_drop)):
        if abs(figure.before.girth_at(drop) - getattr(m, name)) > (0.3 if not halves else 0.8):
            found.append(f"{name} girth off by {figure.before.girth_at(drop) - getattr(m, name):.2f}")
    for half, side in enumerate(SIDES):
        wanted = m.halves[half].thigh if m.halves else m.thigh
        if abs(leg_girth(body, m.under_seat_drop, side=side) - wanted) > 0.3:
            found.append("thigh girth off")
    return found


def crossing(body: Body) -> list[str]:
    """Levels whose section crosses itself (shapely's validity of a polygon)."""
    found = []
    for side in (0, 1):
        rings = []
        for row in range(1, len(body.drops)):
            ring = body.outer[side, row, :, :2]
            if row > body.crotch:
                ring = np.concatenate([ring, body.inner[side, row - body.crotch, 1:-1, :2]])
            rings.append(ring)
        upper = shapely.polygons(np.array(rings[: body.crotch]))
        lower = shapely.polygons(np.array(rings[body.crotch :]))
        bad = [int(np.sum(~shapely.is_valid(p))) for p in (upper, lower)]
        if any(bad):
            found.append(f"{bad} sections cross themselves")
    return found


@pytest.mark.parametrize("part", range(4))
def test_random_sheets_give_sound_bodies_or_are_refused(part):
    rng = np.random.default_rng(SEED + part)
    built = 0
    for _ in range(COUNT // 4):
        try:
            figure = figure_of(random_sheet(rng))
        except SheetError as error:
            assert all(fault.place and fault.message for fault in error.faults)
            continue
        built += 1
        assert flaws(figure) == [], figure.sheet
    assert built > COUNT // 8


if __name__ == "__main__":
    import sys
    from collections import Counter

    generator = np.random.default_rng(1)
    counts: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    for number in range(1, int(sys.argv[1]) + 1):
        if number % 250 == 0:
            print(number, dict(counts), flush=True)
        try:
            made = figure_of(random_sheet(generator))
        except SheetError as refused:
            counts["refused"] += 1
            kinds[str(refused.faults[0]).split(" = ")[0] + ": " + refused.faults[0].message[:40]] += 1
            continue
        wrong = flaws(made)
        counts["flawed" if wrong else "sound"] += 1
        kinds.update(w.split(" by ")[0] for w in wrong)
        if wrong and counts["flawed"] < 6:
            print(wrong, made.sheet.girths, made.sheet.shape, made.sheet.uneven, made.sheet.drops, made.sheet.widths)
    print(dict(counts), kinds.most_common(12))
