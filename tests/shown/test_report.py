"""Numbers as JSON and as sentences."""

from __future__ import annotations

import json
from typing import Any

import pytest

from silhouette.asked.reading import from_plain
from silhouette.pipeline import Preview, preview
from silhouette.shown.report import report
from silhouette.shown.sentences import CAUTIONS, LEVEL_NAMES, estimated, rule_sentence
from tests.clients import plain_sheet


def seen(**sections: Any) -> Preview:
    return preview(from_plain(plain_sheet(**sections)))


def test_what_was_left_out_is_listed_as_estimated() -> None:
    assert estimated(seen()) == [
        "girths.high_hip",
        "girths.thigh",
        "girths.knee",
        "drops.high_hip",
        "drops.hip",
        "drops.under_seat",
        "drops.knee",
        "widths.waist_depth",
        "widths.hip_depth",
    ]
    full = seen(
        girths={"high_hip": 39, "thigh": 25, "knee": 15.5},
        widths={"waist_breadth": 11, "hip_depth": 10},
        drops={"high_hip": 4, "hip": 8, "under_seat": 11.5, "knee": 24},
    )
    assert estimated(full) == []


def test_every_level_has_a_name_for_people() -> None:
    assert {r.level for r in seen().levels} == set(LEVEL_NAMES)


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_the_rule_of_thumb_is_explained_in_one_sentence(unit: str) -> None:
    words = rule_sentence(seen(), unit)
    assert words.count(". ") == 0 and words.endswith(".") and len(words) < 140
    assert (
        words.startswith("Rule of thumb") and " more: " in words and f" {unit} " in words and "each of 4 pads" in words
    )
    one = seen(pads={"back": False, "right": {"front": False}})
    assert "one pad" in rule_sentence(one, unit)
    assert "1 pads" not in rule_sentence(one, unit)
    assert rule_sentence(seen(pads={"front": False, "back": False}), unit) == "There are no pads."


def test_the_report_is_plain_json_and_repeats_itself() -> None:
    one, other = report(seen()), report(seen())
    assert json.dumps(one, allow_nan=False) == json.dumps(other, allow_nan=False)
    assert json.loads(json.dumps(one)) == one


def test_the_cautions_name_each_danger() -> None:
    text = " ".join(CAUTIONS)
    for word in ("flame", "latex", "hip protector", "clinician", "Carve away", "ventilation", "Local rules"):
        assert word in text
