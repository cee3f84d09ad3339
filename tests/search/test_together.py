"""All advice taken at once: the changes satisfy every check together, and nothing is changed where nothing is wrong."""

import numpy as np
import pytest

from silhouette import from_plain, preview, with_values
from silhouette.search.together import together
from silhouette.shown.sentences import together_sentence

SOUND = from_plain(
    {"unit": "in", "girths": {"waist": 32.5, "hip": 44}, "pads": {"thickness": 1, "bevel": 1.5, "start": 2}}
)


def test_no_advice_no_changes() -> None:
    assert together(preview(with_values(SOUND, {"pads.thickness": 9.525, "pads.bevel": 88.9}))) is None


@pytest.mark.parametrize("change", [{}, {"pads.thickness": 38.1}, {"pads.bevel": 0.0}, {"pads.start": 0.0}])
def test_together_is_fine_on_a_sound_figure(change: dict[str, float]) -> None:
    seen = preview(with_values(SOUND, change))
    combined = together(seen)
    assert combined is not None
    changes, result = combined
    assert result.verdict == "fine"
    again = preview(with_values(seen.sheet, changes))
    assert again.verdict == "fine"
    assert np.array_equal(again.tape_after.h, result.tape_after.h)
    assert seen.figure.measures == result.figure.measures  # the client is never what is changed


def test_together_in_words() -> None:
    combined = together(preview(with_values(SOUND, {"pads.start": 0.0})))
    assert combined is not None
    changes, result = combined
    words = together_sentence(changes, result, "in")
    assert "foam" in words
    assert "start below the waist 1 in" in words
    assert "fine" in words
