"""The learnt table: pinned, and against 40 women of another seed than it was learnt from."""

import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from silhouette.asked.figure import Shape
from silhouette.shape.body import build_body
from silhouette.shape.dimensions import Measures
from silhouette.shape.learnt import (
    COLUMNS,
    CONTROLS,
    INNER_COLUMNS,
    TABLE,
    Sections,
    _columns,
    arcs_at,
    learnt_table,
    normalised,
    split,
)
from silhouette.shape.measures import measures_of
from silhouette.shape.support import support, support_of_pair
from silhouette.shape.tape import leg_girth, tape_round
from tests.clients import CLIENTS

#: of ``silhouette/shape/learnt_sections.npy``; ``python -m tests.learn_shape PATH`` remakes the table and prints it
DIGEST = "caf4549d80028aebd83519b26be4e86886a047b2b273f4abe674201848ec25e6"


def test_the_table_is_the_one_that_was_learnt():
    assert hashlib.sha256(TABLE.read_bytes()).hexdigest() == DIGEST, "see tests/learn_shape/__init__.py"
    table = learnt_table()
    assert table.fields.shape[0] == 1 + 9 + 4 and np.isfinite(table.fields).all()
    assert TABLE.stat().st_size < 80_000


@pytest.fixture(scope="module")
def unseen():
    """Measures and taut outlines of 40 sampled women (``tests/learn_shape``, seed 2026), mm."""
    with np.load(Path(__file__).with_name("unseen_women.npz")) as held:
        names = [str(n) for n in held["names"]]
        women = [dict(zip(names, map(float, row), strict=True)) for row in held["measured"]]
        outlines = held["outlines"] / 20
    made = []
    for w, flat in zip(women, outlines, strict=True):
        m = Measures(
            waist=w["waist"],
            high_hip=w["high_hip"],
            hip=w["hip"],
            thigh=w["thigh"],
            knee=w["knee"],
            high_hip_drop=w["hip_drop"] / 2,
            hip_drop=w["hip_drop"],
            crotch_drop=w["crotch_drop"],
            under_seat_drop=w["under_seat_drop"],
            knee_drop=w["knee_drop"],
            waist_ratio=w["navel_ratio"],
            hip_ratio=w["hip_ratio"],
            measured=frozenset(),
        )
        made.append((m, flat))
    return made


def centred(h):
    """Support functions (…, 96) of outlines moved to the middle of their depth."""
    front = (h[..., 24] - h[..., 72])[..., None] / 2
    return h - front * np.sin(np.arange(96) * 2 * np.pi / 96)


def test_sections_of_unseen_women_from_their_girths(unseen):
    """Mean distance of taut outlines seen from all round. How far a woman carries her hips before or behind her waist
    no tape tells (SD 10 mm here), so outlines are compared about their own middle; with it the mean is 6.2 mm."""
    assert len(unseen) == 40
    off, legs, where = [], [], []
    for m, flat in unseen:
        body = build_body(m)
        trunk, outer, inner = split(flat)
        across, inside = _columns(COLUMNS, 97), _columns(INNER_COLUMNS, 49)
        level = normalised(body.drops, m.hip_drop, m.crotch_drop, m.knee_drop)
        hers, within = arcs_at(Sections(across @ trunk, across @ outer, inside @ inner), level, body.crotch)
        one, other = support_of_pair(hers), tape_round(body).h
        where.append(np.abs(one - other).mean())
        off.append(np.abs(centred(one) - centred(other)).mean())
        for row in range(int(np.argmin(np.abs(body.drops - m.under_seat_drop))), len(body.drops)):
            leg = [np.concatenate([hers[row], within[row - body.crotch]])]
            leg.append(np.concatenate([body.outer[0, row, :, :2], body.inner[0, row - body.crotch, :, :2]]))
            leg = [p - (p.max(0) + p.min(0)) / 2 for p in leg]
            legs.append(np.abs(support(leg[0]) - support(leg[1])).mean())
    assert np.mean(off) < 4.0
    assert np.mean(legs) < 3.5
    assert np.mean(where) < 7.0


@pytest.mark.parametrize("control", CONTROLS)
@pytest.mark.parametrize("name", ["average", "slender", "full"])
def test_words_for_her_shape_move_her_and_no_girth(control, name):
    m = measures_of(CLIENTS[name])
    plain = tape_round(build_body(m))
    moved = []
    for step in (-2.0, 2.0):
        body = build_body(replace(m, shape=Shape(**{control: step})))
        tape = tape_round(body)
        for drop, girth in ((0.0, m.waist), (m.high_hip_drop, m.high_hip), (m.hip_drop, m.hip)):
            assert tape.girth_at(drop) == pytest.approx(girth, abs=0.1)
        assert leg_girth(body, m.under_seat_drop) == pytest.approx(m.thigh, abs=0.05)
        levels = [m.high_hip_drop, m.hip_drop, m.crotch_drop]
        moved.append([np.interp(levels, plain.drops, (tape.h - plain.h)[:, angle]) for angle in (0, 24, 72)])
    (side, front, back), (other_side, other_front, other_back) = moved
    scale = m.hip / 1000
    if control == "stance":
        assert back[1] < -8 * scale and other_back[1] > 8 * scale
    elif control == "belly":
        assert front[0] < -5 * scale and other_front[0] > 5 * scale
    elif control == "high_hip":
        assert side[0] < -1.5 * scale and other_side[0] > 1.5 * scale
    else:
        assert side[2] < -3 * scale and other_side[2] > 3 * scale
