"""What the controls say they do to the look, held against the figure itself."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from typing import Any

import numpy as np
import pytest

from silhouette.asked.reading import DEMO, from_plain, sheet_text
from silhouette.asked.sheet import PARAMETERS
from silhouette.page.grids import grids_of
from silhouette.page.looks import LOOKS
from silhouette.pipeline import Preview, preview

#: What can be seen of her and of what she wears.
PARTS = "figure|waist|hip|seat|thigh|legs?|knee|outline|belly|skirts?"
STAYS = "The figure stays as it is"


@cache
def shown(*changes: tuple[str, Any]) -> Preview:
    """The example with some of its values changed."""
    plain = tomllib.loads(sheet_text(DEMO))
    for key, value in changes:
        table, name = key.split(".")
        plain.setdefault(table, {})[name] = value
    return preview(from_plain(plain), None, advice=False)


def test_every_control_says_what_it_does_to_something_that_can_be_seen():
    assert set(LOOKS) == set(PARAMETERS)
    for key, words in LOOKS.items():
        assert re.search(rf"\b({PARTS})\b", words, re.IGNORECASE), key
        assert words.endswith(".") and words != PARAMETERS[key].help, key
        # which way it goes, when it is a quantity that can be seen
        if PARAMETERS[key].kind in ("length", "fraction") and STAYS not in words:
            assert re.search(r"more|less|longer|larger|wider|lower|higher|further|once", words, re.IGNORECASE), key


#: Another value for each of those that leave the figure alone.
OTHERS = {
    "client.name": "Another",
    "client.notes": "x",
    "client.note": "x",
    "client.next_date": "12 March",
    "foam.sheet_width": 30,
    "cloth.lining_ease": 2,
    "cloth.seam_allowance": 1,
    "cloth.opening_allowance": 2,
    "cloth.hem_allowance": 2,
    "cloth.dart_limit": 1,
    "cloth.width": 60,
    "cloth.cover_stretch": 0,
    "cloth.cover_pull": 0.5,
    "cloth.cover_allowance": 0.5,
    "cloth.cover_width": 60,
}


def test_those_that_leave_the_figure_alone_are_known():
    assert set(OTHERS) == {key for key, words in LOOKS.items() if STAYS in words}


@pytest.mark.parametrize("key", OTHERS)
def test_a_figure_that_is_said_to_stay_stays(key):
    before, after = grids_of(shown()), grids_of(shown((key, OTHERS[key])))
    assert [g.name for g in before] == [g.name for g in after]
    assert all(np.array_equal(a.points, b.points) for a, b in zip(before, after, strict=True))


def breadth(result: Preview, drop: float) -> float:
    """Of the dressed figure from the front, mm."""
    cloth = result.dressed.after
    left, right = cloth.points(31)
    row = int(np.abs(cloth.drops - drop).argmin())
    return float(
        max(left[row, :, 0].max(), -left[row, :, 0].min()) + max(right[row, :, 0].max(), -right[row, :, 0].min())
    )


#: Key, less and more of it, at what drop below the waist (mm) she is then broader (1) or narrower (-1) from the front.
ACROSS = [
    ("girths.hip", 41, 43, 210, 1),
    ("girths.high_hip", 35.5, 38, 105, 1),
    ("pads.thickness", 0.5, 1, 210, 1),
    ("pads.layers", 1, 2, 210, 1),
    ("pads.start", 1.5, 4, 105, -1),
    ("pads.end", 11, 15, 320, 1),
    ("pads.fullness_below", 0.2, 0.9, 290, 1),
    ("cloth.ease", 0.5, 3, 400, 1),
    ("shape.outer_thigh", -1, 2, 330, 1),
]


@pytest.mark.parametrize(("key", "less", "more", "drop", "way"), ACROSS)
def test_more_of_it_does_what_its_words_say(key, less, more, drop, way):
    change = breadth(shown((key, more)), drop) - breadth(shown((key, less)), drop)
    assert way * change > 0.3  # mm: what a tape beside her would not show is not to be promised
