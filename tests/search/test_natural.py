"""The most natural arrangement: what is found is what a preview of it says, and no search by brute force beats it."""

import itertools
import json
from typing import Any

import numpy as np
import pytest

from silhouette import SheetError, preview, with_values
from silhouette.asked.writing import sheet_toml
from silhouette.cli.commands import main
from silhouette.judged.limits import STOCK_INCH, stock
from silhouette.search.arrangement import STEPS, Arrangement
from silhouette.search.cuttable import NEAR
from silhouette.search.natural import MOST_TRIALS, most_natural
from silhouette.search.thickness import hip_for
from silhouette.search.together import together
from silhouette.search.trials import Trials
from tests.clients import sheet

IN = 25.4
PLAIN = sheet(
    {"pads.thickness": 0.75, "pads.bevel": 1.75, "pads.start": 1.5, "pads.front_reach": 5, "pads.back_gap": 1},
    unit="in",
    waist=32,
    hip=44,
)


def some_client(rng):
    """A random client and placement, in the unit her dressmaker measures in."""
    unit = str(rng.choice(["in", "cm"]))
    scale, hip = {"in": IN, "cm": 10.0}[unit], rng.uniform(860, 1320)
    pads = {
        "thickness": rng.choice(stock(unit)[1:6]),
        "bevel": rng.uniform(25, 80),
        "start": rng.uniform(20, 60),
        "back_gap": rng.uniform(10, 60),
    }
    keys: dict[str, Any] = {f"pads.{name}": float(mm) / scale for name, mm in pads.items()}
    keys |= {"pads.profile": str(rng.choice(["straight", "rounded", "feathered"]))}
    keys |= {"pads.fullness": float(rng.uniform(0.3, 0.7))}
    return sheet(keys, unit=unit, waist=hip * rng.uniform(0.66, 0.85) / scale, hip=hip / scale)


@pytest.mark.parametrize("seed", range(6))
def test_random_clients_get_the_hip_they_want_and_the_look_that_was_promised(seed):
    rng = np.random.default_rng([20251, seed])
    asked = some_client(rng)
    hip = hip_for(preview(asked, advice=False).figure)
    wanted = float(rng.uniform(hip(6.5), hip(22.0)))
    natural = most_natural(asked, wanted)
    best = natural.best
    assert best is not None and natural.tried <= MOST_TRIALS + 20
    again = preview(with_values(asked, dict(best.changes)), advice=False)
    assert again.new_hip_girth == pytest.approx(wanted, abs=NEAR)
    assert again.verdict == best.verdict
    assert again.shell.cut_hip == pytest.approx(best.shell_hip, abs=1e-6)
    assert {pad.foam for pad in again.pads} <= {*stock(asked.unit), asked.pads.thickness}
    if best.verdict != "fine" and natural.largest is not None:
        assert natural.largest.verdict == "fine"
        assert natural.largest.hip < wanted + 2.0  # else what was wanted could have been had


def test_the_largest_natural_hip_is_beaten_by_nothing_on_a_grid():
    natural = most_natural(PLAIN)
    best = natural.best
    assert best is not None and best is natural.largest and best.verdict == "fine" and best.foam in STOCK_INCH
    assert natural.in_the_way
    trials = Trials(PLAIN)
    tried = largest = 0.0
    for foam, bevel, end, reach in itertools.product((12.7, 19.05, 25.4), (-0.8, 0, 1, 2, 3), (0, 0.4, 1), (-1, 0, 1)):
        steps = [0.0] * len(STEPS)
        steps[0], steps[2], steps[3] = bevel, end, min(reach, trials.ground.high[3])
        found = trials.trial(Arrangement(foam, "straight", tuple(steps)))
        tried += 1
        if found is not None and found[1:].max() <= 0:
            largest = max(largest, float(found[0]))
    assert tried == 135 and largest > (PLAIN.girths.hip or 0.0)
    assert best.hip > largest - 1.6  # 1/16 in: places are rounded to what a tape shows


def test_nothing_on_a_grid_that_looks_as_natural_is_nearer_to_the_sheet():
    wanted = 45.75 * IN
    natural = most_natural(PLAIN, wanted)
    assert natural.best is not None and natural.best.verdict == "fine"
    trials = Trials(PLAIN)
    free = trials.free

    def cost(changes):
        own = dict(zip(free.names, free.own, strict=True))
        moved = sum(abs(changes[f"pads.{n}"] - own[n]) / STEPS[n] for n in free.names if f"pads.{n}" in changes)
        return moved + free.fixed_cost(
            changes.get("pads.thickness", PLAIN.pads.thickness), changes.get("pads.profile", "straight")
        )

    least, like = np.inf, 0
    for foam, bevel, reach, gap in itertools.product(
        (9.525, 12.7, 19.05), np.arange(-0.8, 3.1, 0.4), (-1, 0, 0.5), (0, 0.5, 1)
    ):
        steps = [0.0] * len(STEPS)
        steps[0], steps[3], steps[4] = float(bevel), reach, gap
        one = Arrangement(foam, "straight", tuple(steps))
        found = trials.trial(one)
        if found is not None and found[1:].max() <= 0 and abs(found[0] - wanted) < 2.0:
            least, like = min(least, free.cost(one)), like + 1
    assert like >= 2
    assert cost(dict(natural.best.changes)) < least + 0.3


def test_a_natural_47_in_on_a_body_of_33_and_43():
    """Refused by thinner foam alone; reached by carrying the pads further down the thigh."""
    asked = sheet(unit="in", waist=33, hip=43)
    for foam in STOCK_INCH:
        as_they_lie = preview(with_values(asked, {"pads.thickness": foam}), advice=False)
        assert as_they_lie.verdict != "fine" or as_they_lie.new_hip_girth < 46.9 * IN
    best = most_natural(asked, 47 * IN).best
    assert best is not None
    seen = preview(with_values(asked, dict(best.changes)))
    assert seen.verdict == "fine" and seen.new_hip_girth == pytest.approx(47 * IN, abs=NEAR)
    lower = max(float(pad.outline[-1, 1]) for pad in seen.pads)
    assert lower > max(float(pad.outline[-1, 1]) for pad in preview(asked, advice=False).pads) + 5


def test_what_a_change_is_for_is_what_comes_of_leaving_it():
    natural = most_natural(PLAIN, 46 * IN)
    assert natural.best is not None and natural.steps
    changes = dict(natural.best.changes)
    assert {step.key for step in natural.steps} == {key for key in changes if key.count(".") == 1}
    for step in natural.steps:
        assert changes[step.key] == pytest.approx(step.now, abs=1e-3)
        left = preview(with_values(PLAIN, {k: v for k, v in changes.items() if k != step.key}), advice=False)
        assert left.verdict == step.verdict
        assert left.new_hip_girth == pytest.approx(step.hip, abs=0.05)


def test_sides_unlike_keep_their_difference():
    uneven = with_values(PLAIN, {"pads.left.thickness": 12.7, "pads.right.start": 50.0})
    natural = most_natural(uneven, 45.5 * IN)
    assert natural.best is not None
    made = with_values(uneven, dict(natural.best.changes))
    assert made.pads_on("right").start - made.pads_on("left").start == pytest.approx(50.0 - 38.1, abs=0.01)
    thick, thin = made.pads_on("right").thickness, made.pads_on("left").thickness
    assert thick in STOCK_INCH and thin in STOCK_INCH and thick > thin


def test_foam_measured_and_a_shell_of_another_hip_do_not_stand_in_the_way():
    asked = with_values(PLAIN, {"foam.measured": 16.0, "cloth.shell_hip": 44.5 * IN})
    natural = most_natural(asked, 45.5 * IN)
    best = natural.best
    assert best is not None
    changes = dict(best.changes)
    assert changes["cloth.shell_hip"] == pytest.approx(best.shell_hip, abs=0.01)
    again = preview(with_values(asked, changes))
    assert again.new_hip_girth == pytest.approx(45.5 * IN, abs=NEAR)
    assert again.verdict == best.verdict


@pytest.mark.parametrize("thick", [25.4, 31.75])
def test_what_the_advice_reaches_the_search_reaches_too(thick):
    combined = together(preview(with_values(PLAIN, {"pads.thickness": thick, "pads.start": 12.7})))
    assert combined is not None
    _, result = combined
    assert result.verdict == "fine"
    natural = most_natural(with_values(PLAIN, {"pads.thickness": thick, "pads.start": 12.7}), result.new_hip_girth)
    assert natural.best is not None and natural.best.verdict == "fine"


def test_nothing_to_choose_is_refused():
    for keys, wanted, said in (
        ({"pads.front": False, "pads.back": False}, None, "no pads"),
        ({}, 43.0 * IN, "not above the body, whose hip reads 44"),
    ):
        with pytest.raises(SheetError, match=said):
            most_natural(with_values(PLAIN, keys), wanted)


def test_no_natural_answer_names_the_check():
    # Outlines of her own that overlap at the opening: nothing that is free can mend that.
    points = [[0, 40], [280, 180], [290, 210], [200, 260], [0, 300]]
    stuck = with_values(PLAIN, {"pads.back_outline": points, "pads.front": False})
    natural = most_natural(stuck)
    assert natural.best is None and natural.largest is None and "back opening" in natural.in_the_way


def test_the_command_gives_what_a_preview_of_it_gives(tmp_path, capsys):
    path = tmp_path / "keeper.toml"
    path.write_text(sheet_toml(PLAIN), "utf-8")
    said = json.loads(run(capsys, "thickness", str(path), "--hip", "45 3/4 in", "--natural", "--json"))
    best = said["best"]
    assert set(best) >= {"changes", "hip_mm", "verdict", "cut_hip_mm"}
    assert best["hip_mm"] == pytest.approx(45.75 * IN, abs=NEAR)
    path.write_text(sheet_toml(with_values(PLAIN, best["changes"])), "utf-8")
    seen = json.loads(run(capsys, "preview", str(path), "--json"))
    assert seen["new_hip_girth_mm"] == pytest.approx(best["hip_mm"], abs=0.02)
    assert seen["verdict"] == best["verdict"] == "fine"
    assert seen["shell"]["recommended_hip_mm"] == pytest.approx(best["cut_hip_mm"], abs=0.02)
    assert said["natural"]["best"] == best and said["exact"]["hip_mm"] == pytest.approx(45.75 * IN, abs=0.2)


def test_the_command_says_it_in_three_lines(capsys):
    said = run(capsys, "thickness", "demo", "--hip", "44 in", "--natural")
    lines = [line for line in said.splitlines() if line.startswith(("  Buy", "  Place", "  Cut"))]
    assert len(lines) == 3 and "instead of" in lines[1]
    assert "The hip then reads 44 in, fine." in lines[2]
    assert "without it, hip" in said
    said = run(capsys, "thickness", "demo", "--natural")
    assert "The largest natural hip" in said


def run(capsys, *arguments):
    try:
        main(list(arguments))
    except SystemExit as stopped:
        assert not stopped.code
    return capsys.readouterr().out
