"""The learnt table: pinned, and against 40 women of another seed than it was learnt from."""

import hashlib
from dataclasses import replace

import numpy as np
import pytest

from silhouette.asked.figure import Shape
from silhouette.shape.body import build_body
from silhouette.shape.learnt import CONTROLS, TABLE, learnt_table
from silhouette.shape.measures import measures_of
from silhouette.shape.support import support, support_of_pair
from silhouette.shape.tape import leg_girth, tape_round
from tests.clients import CLIENTS
from tests.shape.unseen import arcs_of, unseen_women

#: of ``silhouette/shape/learnt_sections.npy``; ``python -m tests.learn_shape PATH`` remakes the table and prints it
DIGEST = "caf4549d80028aebd83519b26be4e86886a047b2b273f4abe674201848ec25e6"


def test_the_table_is_the_one_that_was_learnt():
    assert hashlib.sha256(TABLE.read_bytes()).hexdigest() == DIGEST, "see tests/learn_shape/__init__.py"
    table = learnt_table()
    assert table.fields.shape[0] == 1 + 9 + 4 and np.isfinite(table.fields).all()
    assert TABLE.stat().st_size < 80_000


def centred(h):
    """Support functions (…, 96) of outlines moved to the middle of their depth."""
    front = (h[..., 24] - h[..., 72])[..., None] / 2
    return h - front * np.sin(np.arange(96) * 2 * np.pi / 96)


def test_sections_of_unseen_women_from_their_girths():
    """Mean distance of taut outlines seen from all round. How far a woman carries her hips before or behind her waist
    no tape tells (SD 10 mm here), so outlines are compared about their own middle; with it the mean is 6.2 mm."""
    women = unseen_women()
    assert len(women) == 40
    off, legs, where = [], [], []
    for m, flat in women:
        body = build_body(m)
        hers, within = arcs_of(m, flat, body)
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
