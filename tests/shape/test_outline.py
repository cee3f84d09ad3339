"""Her own outline: against 40 women the table has not seen, on the model itself, on any hand, and refused where it is
nobody's.

The women are ``tests/learn_shape``'s sample of open CC0 body data; hull girths by ``scipy.spatial.ConvexHull``.
"""

import io
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console
from scipy.spatial import ConvexHull

from silhouette import SheetError
from silhouette.asked.body_sources import OutlineLevel
from silhouette.asked.outlines import MOST_LEVELS
from silhouette.asked.reading import from_plain
from silhouette.asked.writing import sheet_toml, to_plain, with_values
from silhouette.cli.tables import print_preview
from silhouette.pipeline import preview
from silhouette.shape.body import Body, build_body
from silhouette.shape.dimensions import Measures
from silhouette.shape.figure import figure_like, figure_of
from silhouette.shape.learnt import normalised
from silhouette.shape.measures import measures_of
from silhouette.shape.outline_fit import fit_of
from silhouette.shape.tape import leg_girth, tape_round
from silhouette.shown.report import report
from silhouette.shown.sentences import ground_sentence
from tests.clients import CLIENTS, ring, sheet
from tests.shape.test_random_bodies import flaws, random_sheet
from tests.shape.unseen import arcs_of, unseen_women

#: normalised levels (0 waist, 1 hip, 2 crotch, 3 knee): those that the page offers, and a patient hand's
OFFERED = (0.0, 0.2, 0.4, 0.68, 1.0, 1.9, 2.1, 2.35, 2.6, 2.85, 3.0)
NINETEEN = (0, 0.15, 0.3, 0.45, 0.6, 0.8, 1, 1.2, 1.4, 1.6, 1.8, 2, 2.1, 2.2, 2.35, 2.5, 2.65, 2.8, 3)


def drops_at(m: Measures, levels) -> np.ndarray:
    fine = np.linspace(0.0, m.knee_drop, 4001)
    return np.interp(levels, normalised(fine, m.hip_drop, m.crotch_drop, m.knee_drop), fine)


def traced_from(outer, drops, at, views="both"):
    """The outline of a left half's outer arcs (L, K, 2) at some drops."""
    reach = [np.interp(at, drops, row) for row in (outer[..., 0].max(1), outer[..., 1].max(1), -outer[..., 1].min(1))]
    front = ("left", "right") if views != "side" else ()
    side = ("front", "back") if views != "front" else ()
    names = {"left": 0, "right": 0, "front": 1, "back": 2}
    return tuple(
        OutlineLevel(float(drop), **{name: float(reach[names[name]][i]) for name in (*front, *side)})
        for i, drop in enumerate(at)
    )


def off_of(body: Body, hers) -> np.ndarray:
    """Breadth, depth and back (3, L): how far a body is from outer arcs of a left half."""
    outer = body.outer[0]
    front, back = outer[..., 1].max(1) - hers[..., 1].max(1), hers[..., 1].min(1) - outer[..., 1].min(1)
    return np.abs([2 * (outer[..., 0].max(1) - hers[..., 0].max(1)), front + back, back])


def traced_women(levels):
    for m, flat in unseen_women():
        plain = build_body(m)
        hers, _ = arcs_of(m, flat, plain)
        body = build_body(replace(m, outline=traced_from(hers, plain.drops, drops_at(m, levels))))
        yield m, off_of(plain, hers), off_of(body, hers), body


def test_unseen_women_traced_at_the_levels_offered():
    """Where she was traced, exactly; between, as near as they can say: half a wave of her own may lie there."""
    before, after = [], []
    for m, plain, traced, body in traced_women(OFFERED):
        named = [int(np.argmin(np.abs(body.drops - d))) for d in drops_at(m, (0.0, 1.0, 3.0))]
        assert traced[:2, named].max() < 0.5 and traced[2, named].max() < 1.0
        before.append(plain)
        after.append(traced)
    assert np.mean(after, axis=(0, 2)) == pytest.approx([1.1, 1.0, 0.7], abs=0.15)
    assert np.all(np.quantile(after, 0.95, axis=(0, 2)) < [4.0, 4.0, 5.0])
    assert np.all(np.mean(after, axis=(0, 2)) < 0.4 * np.mean(before, axis=(0, 2)))


def test_unseen_women_traced_closely():
    off = np.array([traced for _, _, traced, _ in traced_women(NINETEEN)])
    assert np.all(np.quantile(off, 0.98, axis=(0, 2)) < [4.0, 4.0, 5.0])
    assert np.all(np.mean(off, axis=(0, 2)) < 0.6)


def test_girths_of_a_traced_body_are_as_taped():
    for m, _, _, body in traced_women(OFFERED):
        tape = tape_round(body, 1440)
        for girth, drop in ((m.waist, 0.0), (m.high_hip, m.high_hip_drop), (m.hip, m.hip_drop)):
            row = int(np.argmin(np.abs(body.drops - drop)))
            assert tape.girth[row] == pytest.approx(girth, abs=0.05)
            assert ConvexHull(ring(body, row)).area == pytest.approx(girth, abs=0.05)
        for girth, drop in ((m.thigh, m.under_seat_drop), (m.knee, m.knee_drop)):
            assert leg_girth(body, drop, count=1440) == pytest.approx(girth, abs=0.05)


OWN = ["average", "market keeper", "slender", "full", "belly", "all measured", "full thighs"]


@pytest.mark.parametrize("name", OWN)
def test_the_outline_of_the_model_itself_changes_nothing(name):
    m = measures_of(CLIENTS[name])
    plain = build_body(m)
    outline = traced_from(plain.outer[0, ..., :2], plain.drops, drops_at(m, OFFERED))
    body = build_body(replace(m, outline=outline))
    assert np.abs(body.outer - plain.outer).max() < 1e-6 and np.abs(body.inner - plain.inner).max() < 1e-6
    assert np.abs(body.normals - plain.normals).max() < 1e-6 and body.even
    fit = fit_of(body)
    assert fit is not None and fit.worst < 1e-6 and fit.moved < 1e-6


def test_where_the_plumb_line_hangs_does_not_matter():
    m = measures_of(CLIENTS["average"])
    plain = build_body(m)
    outline = traced_from(plain.outer[0, ..., :2], plain.drops, drops_at(m, OFFERED))
    aside = tuple(replace(level, front=level.front - 30, back=level.back + 30) for level in outline)
    body = build_body(replace(m, outline=aside))
    assert np.abs(body.outer - plain.outer).max() < 1e-6
    fit = fit_of(body)
    assert fit is not None and fit.back is not None and fit.back < 1e-6


@pytest.mark.parametrize("views", ["front", "side"])
def test_one_photograph_is_enough(views):
    """What was not traced stays the model's but for what the girths ask; what was is met."""
    m, flat = unseen_women()[3]
    plain = build_body(m)
    hers, _ = arcs_of(m, flat, plain)
    body = build_body(replace(m, outline=traced_from(hers, plain.drops, drops_at(m, OFFERED), views)))
    fit = fit_of(body)
    assert fit is not None and fit.views == (views,) and fit.worst < 0.5 and fit.moved > 2
    before, after = off_of(plain, hers), off_of(body, hers)
    traced = [0] if views == "front" else [1, 2]
    assert after[traced].mean() < 0.5 * before[traced].mean()
    other = (body.outer[..., 1] if views == "front" else body.outer[..., 0]) ** 2
    own = (plain.outer[..., 1] if views == "front" else plain.outer[..., 0]) ** 2
    assert np.abs(np.sqrt(other.max((0, 2))) - np.sqrt(own.max((0, 2)))).max() < 1e-6


def test_left_and_right_apart():
    """12 mm more on her left at the hip: that side alone reaches further, the tape reads as before."""
    both = [
        {"drop": 0, "breadth": 256},
        {"drop": 210, "left": 182, "right": 170},
        {"drop": 600, "left": 150, "right": 150},
    ]
    made = figure_of(sheet({"body.outline": both}, waist=698, hip=957, thigh=560))
    body, m = made.body, made.measures
    assert not body.even
    reach = np.abs(body.outer[..., 0]).max(-1)
    assert [np.interp(210, body.drops, row) for row in reach] == pytest.approx([182, 170], abs=0.3)
    assert reach[:, 0] == pytest.approx([128, 128], abs=1e-6)
    assert made.before.girth_at(0) == pytest.approx(698, abs=0.15)
    assert made.before.girth_at(m.hip_drop) == pytest.approx(957, abs=0.15)
    assert flaws(made) == []


def test_the_girth_wins_where_both_cannot_be():
    """Breadth and depth of a larger woman on a smaller tape: a hull is at least twice its diagonal round."""
    m = measures_of(CLIENTS["average"])
    plain = build_body(m)
    outline = tuple(
        OutlineLevel(level.drop, level.left * 1.1, level.right * 1.1, level.front * 1.1, level.back * 1.1)
        for level in traced_from(plain.outer[0, ..., :2], plain.drops, drops_at(m, OFFERED))
    )
    body = build_body(replace(m, outline=outline))
    assert tape_round(body).girth_at(m.hip_drop) == pytest.approx(m.hip, abs=0.15)
    fit, left = fit_of(body), outline[OFFERED.index(1.0)].left
    assert fit is not None and fit.breadth is not None and fit.depth is not None and left is not None
    breadth = 2 * left
    assert fit.breadth > 0.02 * breadth and fit.worst == max(fit.breadth, fit.depth)


def random_outline(rng, m: Measures) -> list[dict[str, float]]:
    """Points of a hand that may tremble or lose its way."""
    body = build_body(replace(m, outline=None))
    at = np.sort(rng.uniform(0, m.knee_drop, rng.integers(1, 13)))
    at = at[np.diff(at, prepend=-50) > 10]
    tremble = rng.choice([1.0, 4.0, 15.0])
    tables = []
    for level in traced_from(body.outer[0, ..., :2], body.drops, at):
        tables.append({"drop": level.drop})
        for name in ("left", "right", "front", "back"):
            tables[-1][name] = getattr(level, name) + rng.normal(0, tremble)
    return tables


@pytest.mark.parametrize("part", range(3))
def test_random_outlines_give_sound_bodies_or_are_refused(part):
    rng = np.random.default_rng(70 + part)
    built = 0
    for _ in range(12):
        try:
            asked = random_sheet(rng)
            outline = random_outline(rng, measures_of(asked))
            figure = figure_of(with_values(asked, {"body.outline": outline}))
        except SheetError as error:
            assert all(fault.place and fault.message for fault in error.faults)
            continue
        built += 1
        assert flaws(figure) == [], outline
    assert built > 3


def test_every_fault_of_an_outline_at_once():
    bad = [
        {"drop": 0, "breadth": 250, "left": 120, "right": 130},
        {"drop": 100, "left": 120},
        {"drop": 104, "front": "wide", "back": 120},
        {"breadth": 300, "side": 2},
        {"drop": 300},
        {"drop": 400, "breadth": 5000, "front": 20, "back": 20},
        7,
    ]
    with pytest.raises(SheetError) as caught:
        from_plain({"unit": "mm", "girths": {"waist": 698, "hip": 957}, "body": {"outline": bad}})
    said = [str(fault) for fault in caught.value.faults]
    for words in (
        "body.outline[1]: has a breadth and a side as well",
        "body.outline[2]: left and right go together",
        "body.outline[3].front = wide: not a length",
        "body.outline[3].drop: must lie at least 8 mm below",
        "body.outline[4].side: unknown key",
        "body.outline[4]: needs a drop",
        "body.outline[5]: says nothing",
        "body.outline[6].breadth = 5000: must be 80 to 900 mm",
        "body.outline[6]: is less than 60 mm deep",
        "body.outline[7]: must be a table",
    ):
        assert any(line.startswith(words) for line in said), (words, said)
    for raw in ([], "traced", {"drop": 0}, [{"drop": i * 10, "breadth": 300} for i in range(MOST_LEVELS + 1)]):
        with pytest.raises(SheetError, match="a list of 1 to 40 tables"):
            from_plain({"unit": "mm", "girths": {"waist": 698, "hip": 957}, "body": {"outline": raw}})


def test_an_outline_that_no_girth_allows_is_refused():
    """A photograph scaled by the wrong handle: everything a quarter too large."""
    m = measures_of(CLIENTS["average"])
    plain = build_body(m)
    large = [
        {"drop": o.drop, "left": o.left * 1.25, "right": o.right * 1.25, "front": o.front * 1.25, "back": o.back * 1.25}
        for o in traced_from(plain.outer[0, ..., :2], plain.drops, drops_at(m, OFFERED))
    ]
    with pytest.raises(SheetError, match=r"no body of these girths has it: .* apart in breadth or depth"):
        figure_of(with_values(CLIENTS["average"], {"body.outline": large}))
    with pytest.raises(SheetError, match="no level lies between waist and knee"):
        figure_of(with_values(CLIENTS["average"], {"body.outline": [{"drop": 900, "breadth": 300}]}))


def test_a_level_that_rounding_put_past_the_knee_is_at_the_knee():
    """Drops are written to half a millimetre: the last one may read past the knee that it was drawn at."""
    m = measures_of(CLIENTS["average"])
    plain = build_body(m)
    levels = traced_from(plain.outer[0, ..., :2], plain.drops, drops_at(m, OFFERED), "front")
    wider = [{"drop": o.drop, "left": o.left + 10, "right": o.right + 10} for o in levels]
    exact, past = (
        figure_of(with_values(CLIENTS["average"], {"body.outline": [*wider[:-1], {**wider[-1], "drop": drop}]})).body
        for drop in (m.knee_drop, m.knee_drop + 0.4)
    )
    assert exact.outer[0, -1, :, 0].max() == pytest.approx(wider[-1]["left"], abs=0.5)
    np.testing.assert_allclose(past.outer, exact.outer, atol=1e-6)


TRACED = """\
unit = "in"

[girths]
waist = 31
hip = 42

[[body.outline]]   # by eye
drop = "0 in"
breadth = "10 3/4 in"
front = "3.9 in"
back = "4 in"

[[body.outline]]
drop = "8 1/4 in"
left = "7.25 in"
right = "7.2 in"
front = "4.2 in"
back = "5 1/2 in"
"""


def test_an_outline_is_kept_word_for_word():
    from silhouette.asked.reading import read_text

    asked = read_text(TRACED)
    assert asked.body.outline is not None
    assert asked.body.outline[0] == OutlineLevel(0.0, 136.525, 136.525, 99.06, 101.6)
    assert from_plain(to_plain(asked)) == asked
    written = sheet_toml(with_values(asked, {"girths.waist": 800}), over=TRACED)
    assert 'breadth = "10 3/4 in"' in written and "# by eye" in written
    assert read_text(written).body == asked.body
    changed = with_values(asked, {"body.outline": [{"drop": 0, "breadth": 273, "front": 100, "back": 100}]})
    assert changed.body.outline == (OutlineLevel(0.0, 136.5, 136.5, 100.0, 100.0),)
    assert read_text(sheet_toml(changed, over=TRACED)) == changed
    assert with_values(asked, {"body.outline": None}).body.outline is None


def test_a_preview_runs_on_a_traced_body_and_says_so():
    asked = with_values(CLIENTS["market keeper"], {})
    m = measures_of(asked)
    plain = build_body(m)
    outline = [
        {"drop": o.drop, "left": o.left + 3, "right": o.right + 3, "front": o.front, "back": o.back + 4}
        for o in traced_from(plain.outer[0, ..., :2], plain.drops, drops_at(m, OFFERED))
    ]
    seen = preview(with_values(asked, {"body.outline": outline}))
    before = figure_of(asked)
    assert seen.figure.levels[2].before == pytest.approx(before.levels[2].before, abs=0.05)
    assert not np.allclose(seen.body.outer, before.body.outer)
    changed = figure_like(seen.sheet, before)
    assert np.array_equal(changed.body.outer, seen.body.outer), "another outline is another body"
    ground = report(seen)["rests_on"]
    traced = ground["outline"]
    assert traced["levels"] == 11 and traced["views"] == ["front", "side"]
    assert traced["moved_mm"] >= 6 - 0.1 and traced["breadth_mm"] is not None and traced["breadth_mm"] < 0.5
    assert ground["words"].startswith("Body: her girths on her outline, traced from the front and side at 11 levels")
    assert report(preview(asked))["rests_on"] == {"words": ground_sentence(preview(asked), "in")}
    printed = io.StringIO()
    print_preview(seen, Console(file=printed, width=200))
    assert ground["words"] in printed.getvalue()


def test_what_stands_beside_an_outline_is_said():
    """What is said of a section is what it does: widths change nothing where both views are traced."""
    asked = CLIENTS["average"]
    m = measures_of(asked)
    plain = build_body(m)
    outline = [
        {"drop": o.drop, "left": o.left, "right": o.right, "front": o.front, "back": o.back}
        for o in traced_from(plain.outer[0, ..., :2], plain.drops, drops_at(m, NINETEEN))
    ]
    alone = with_values(asked, {"body.outline": outline})
    beside = with_values(alone, {"widths.hip_breadth": 340.0, "shape.belly": 1.0, "uneven.hip_left": m.hip / 2 + 10})
    words = ground_sentence(preview(beside, advice=False), "cm")
    assert "[widths] give way to it" in words and "[shape] is heard only between" in words
    assert "[uneven] keeps its girths" in words and "[along]" not in words
    assert "Beside" not in ground_sentence(preview(alone, advice=False), "cm")
    wide = figure_of(with_values(alone, {"widths.hip_breadth": 340.0})).body
    row = int(np.argmin(np.abs(plain.drops - m.hip_drop)))
    assert np.ptp(wide.outer[:, row, :, 0]) == pytest.approx(np.ptp(plain.outer[:, row, :, 0]), abs=0.5)
