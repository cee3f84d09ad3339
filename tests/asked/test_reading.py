"""Sheets that cannot be used: every fault at once, each with its place, and nothing but ``SheetError``."""

from __future__ import annotations

from typing import Any

import pytest

from silhouette.asked.reading import from_plain, read_text
from silhouette.asked.sheet import PARAMETERS
from tests.asked.sheets import faults, text_faults
from tests.clients import plain_sheet


def test_all_faults_at_once_with_their_places() -> None:
    found = faults(
        {
            "unit": "in",
            "colour": "red",
            "client": {"size": "14", "name": 3},
            "girths": {"waist": -31, "hip": 42, "thigh": float("nan"), "knee": 30, "hat": 22},
            "drops": {"hip": 9, "under_seat": 8},
            "pads": {
                "thickness": "300 mm",
                "front_reach": 25,
                "start": "two in",
                "profile": "round",
                "front": 1,
                "left": {"bevle": 1, "bevel": -1},
                "right": [],
            },
            "foam": 3,
            "cloth": {"ease": 900},
        }
    )
    assert set(found) == {
        "colour",
        "client.size = 14",
        "client.name = 3",
        "girths.waist = -31 in",
        "girths.thigh = nan in",
        "girths.hat",
        "drops.under_seat = 8 in",
        "pads.thickness = 300 mm",
        "pads.front_reach = 25 in",
        "pads.start = two in",
        "pads.profile = round",
        "pads.front = 1",
        "pads.left.bevle",
        "pads.left.bevel = -1 in",
        "pads.right",
        "foam",
        "cloth.ease = 900 in",
    }
    assert found["pads.thickness = 300 mm"] == "foam thickness must be 2 to 80 mm"


def test_nothing_is_said_of_what_was_compared_with_a_faulty_value() -> None:
    found = faults(plain_sheet(girths={"hip": 4200, "thigh": 25}, pads={"start": -3, "end": 3.5}))
    assert [place.split(" ")[0] for place in found] == ["girths.hip", "pads.start"]


@pytest.mark.parametrize(
    ("table", "key", "near"),
    [
        ("girths", "wiast", "waist"),
        ("girths", "Hip", "hip"),
        ("girths", "hips", "hip"),
        ("pads", "thicknes", "thickness"),
        ("pads", "Left", "left"),
        ("pads", "front reach", "front_reach"),
        ("drops", "underseat", "under_seat"),
        ("foam", "mesured", "measured"),
        ("cloth", "eas", "ease"),
        ("client", "nam", "name"),
    ],
)
def test_the_nearest_known_key_is_named(table: str, key: str, near: str) -> None:
    assert faults(plain_sheet(**{table: {key: 1}}))[f"{table}.{key}"] == f"unknown key; did you mean {near}?"


@pytest.mark.parametrize(
    ("section", "near"), [("girth", "girths"), ("Pads", "pads"), ("units", "unit"), ("foams", "foam")]
)
def test_the_nearest_known_section_is_named(section: str, near: str) -> None:
    assert faults({**plain_sheet(), section: {}})[section].endswith(f"did you mean {near}?")


def test_a_key_in_the_wrong_place_is_sent_home() -> None:
    found = faults({**plain_sheet(pads={"measured": 0.7, "waist": 3}), "hip": 42, "thickness": 1})
    assert found["pads.measured"] == "unknown key; it belongs in [foam]"
    assert found["hip"].endswith("it belongs in [girths] or [along] or [drops] or [aim]")
    assert found["thickness"].endswith("it belongs in [pads]")


def test_an_unknown_key_like_no_other_lists_the_known_ones() -> None:
    assert faults(plain_sheet(foam={"zzz": 1}))["foam.zzz"] == "unknown key; known are " + ", ".join(
        key.removeprefix("foam.") for key in PARAMETERS if key.startswith("foam.")
    )


@pytest.mark.parametrize(
    ("unit", "girths", "meant"),
    [
        ("in", {"waist": 74, "hip": 97}, {"girths.hip = 97 in": "97 cm (38 1/4 in) was probably meant"}),
        ("in", {"waist": 29, "hip": "97 in"}, {"girths.hip = 97 in": "97 cm (38 1/4 in) was probably meant"}),
        (
            "cm",
            {"waist": 29, "hip": 38},
            {
                "girths.waist = 29 cm": "29 in (73.7 cm) was probably meant",
                "girths.hip = 38 cm": "38 in (96.5 cm) was probably meant",
            },
        ),
        ("cm", {"waist": 74, "hip": 970}, {"girths.hip = 970 cm": "970 mm (97.0 cm) was probably meant"}),
        ("mm", {"waist": 740, "hip": 97}, {"girths.hip = 97 mm": "97 cm was probably meant"}),
        ("mm", {"waist": 740, "hip": 38}, {"girths.hip = 38 mm": "38 in was probably meant"}),
        ("in", {"waist": 70, "hip": 38}, {"girths.waist = 70 in": "70 cm was probably meant"}),
    ],
)
def test_the_wrong_unit_is_guessed(unit: str, girths: dict[str, Any], meant: dict[str, str]) -> None:
    found = faults({"unit": unit, "girths": girths})
    assert set(found) == set(meant)
    for place, words in meant.items():
        assert words in found[place]


def test_foam_in_millimetres_on_a_sheet_in_inches() -> None:
    found = faults(plain_sheet(pads={"thickness": 20, "bevel": 40}))
    assert "20 mm (13/16 in) was probably meant" in found["pads.thickness = 20 in"]
    assert "40 mm (1 9/16 in) was probably meant" in found["pads.bevel = 40 in"]


@pytest.mark.parametrize(
    "bad",
    [
        0,
        -1,
        1e9,
        -(10**30),
        10**400,
        float("nan"),
        float("inf"),
        -float("inf"),
        True,
        "x",
        "",
        [],
        [1],
        {},
        {"a": 1},
        None,
        "38 1/0",
        "1" * 50,
    ],
)
@pytest.mark.parametrize("key", ["girths.waist", "girths.thigh", "drops.hip", "widths.hip_depth", "pads.thickness"])
def test_what_is_no_length_here_is_one_fault_at_its_place(key: str, bad: Any) -> None:
    section, name = key.split(".")
    found = faults(plain_sheet(**{section: {name: bad}}))
    assert [place.split(" ")[0] for place in found] == [key]
    assert all(len(place) < 120 and "\n" not in place for place in found)


@pytest.mark.parametrize("key", ["client.size", "pads.fullness"])
@pytest.mark.parametrize("bad", ["14", True, float("nan"), float("inf"), -1, 1e300, 10**400, [], {}])
def test_what_is_no_number_here_is_one_fault(key: str, bad: Any) -> None:
    section, name = key.split(".")
    assert [place.split(" ")[0] for place in faults(plain_sheet(**{section: {name: bad}}))] == [key]


@pytest.mark.parametrize("bad", [3, True, [], {}, "x" * 2001, "bell \a", "\ud800", "nul \0"])
def test_a_name_is_plain_text(bad: Any) -> None:
    assert [place.split(" ")[0] for place in faults(plain_sheet(client={"name": bad}))] == ["client.name"]


def test_a_missing_unit_is_said_once() -> None:
    found = text_faults("[girths]\nwaist = 31\nhip = 42\nthigh = 'x'\n[pads.left]\nbevel = 2\n")
    assert found == [
        "unit: missing, so a bare number has no meaning (girths.waist = 31 and 2 more): "
        'write unit = "in" or unit = "cm" at the top of the sheet',
        "girths.thigh = x: not a length: write it like '38 1/2 in', '97.5 cm' or '38½'",
    ]


def test_a_mistaken_unit_is_said_once_and_the_rest_is_still_read() -> None:
    assert text_faults('unit = "inches"\n[girths]\nwaist = 31\nhip = 97\n')[0].endswith('write unit = "in"')
    assert len(text_faults('unit = "inches"\n[girths]\nwaist = 31\nhip = 97\n')) == 2
    assert text_faults("unit = 3\n[girths]\nwaist = 31\n") == [
        "unit = 3: the unit must be in, cm or mm",
        "girths.hip: hip girth is needed",
    ]


def test_without_bare_numbers_no_unit_is_needed() -> None:
    sheet = read_text('[girths]\nwaist = "31 in"\nhip = "42 in"\n')
    assert (sheet.unit, sheet.girths.hip) == ("in", 42 * 25.4)


def test_an_empty_sheet_says_what_is_needed() -> None:
    assert set(faults({})) == {"girths.waist", "girths.hip"}


CROSS = {
    "waist far above hip": (plain_sheet(girths={"waist": 52}), "girths.waist = 52 in", "were the two swapped?"),
    "thigh of both legs": (plain_sheet(girths={"thigh": 40}), "girths.thigh = 40 in", "0.4 to 0.8 of the hip girth"),
    "knee like a thigh": (
        plain_sheet(girths={"thigh": 25, "knee": 25}),
        "girths.knee = 25 in",
        "the thigh girth (25 in)",
    ),
    "high hip": (plain_sheet(girths={"high_hip": 60}), "girths.high_hip = 60 in", "near the waist and hip girths"),
    "drops out of order": (plain_sheet(drops={"high_hip": 9, "hip": 8}), "drops.hip = 8 in", "13/16 in below drops"),
    "under seat above hip": (
        plain_sheet(drops={"hip": 9, "under_seat": 8}),
        "drops.under_seat = 8 in",
        "drops.hip (9 in)",
    ),
    "wider than the body": (plain_sheet(pads={"front_reach": 22}), "pads.front_reach = 22 in", "half the hip girth is"),
    "bevel wider than pad": (
        plain_sheet(pads={"front_reach": 2, "bevel": 3}),
        "pads.bevel = 3 in",
        "the front pad, which reaches 2 in",
    ),
    "one side's bevel": (
        plain_sheet(pads={"front_reach": 2, "bevel": 1, "left": {"bevel": 3}}),
        "pads.left.bevel = 3 in",
        "reaches 2 in",
    ),
    "bevel wider than an outline": (
        plain_sheet(pads={"bevel": 3, "front_outline": [[0, 2], [2, 7], [0, 11]]}),
        "pads.bevel = 3 in",
        "reaches 2 in",
    ),
    "bevel wider than default": (plain_sheet(pads={"bevel": "7 in"}), "pads.bevel = 7 in", "the front pad"),
    "no room behind": (plain_sheet(pads={"back_gap": 14}), "pads.back_gap = 14 in", "leaves a back pad"),
    "end above start": (plain_sheet(pads={"start": 4, "end": 5}), "pads.end = 5 in", "below the pad's start (4 in)"),
    "too short": (
        plain_sheet(pads={"start": 10, "front_outline": [[0, 10], [4, 11], [0, 12]]}, drops={"knee": 13}),
        "pads.start = 10 in",
        "too short",
    ),
    "end below the knee": (plain_sheet(pads={"end": 27}), "pads.end = 27 in", "below the knee"),
    "impossible breadth": (
        plain_sheet(widths={"hip_breadth": 25}),
        "widths.hip_breadth = 25 in",
        "no body has this hip breadth",
    ),
}


@pytest.mark.parametrize("case", CROSS)
def test_values_that_do_not_fit_together(case: str) -> None:
    plain, place, words = CROSS[case]
    assert words in faults(plain)[place]


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([[0, 2], [0, 10]], "3 to 200 pairs"),
        ([[0, 2], [3], [0, 10]], "each outline point is a pair"),
        ([[1, 2], [3, 6], [0, 10]], "starts and ends on the side seam"),
        ([[0, 2], [-3, 6], [0, 10]], "away from the side"),
        ([[0, 9], [3, 6], [0, 10]], "run downward"),
        ([[0, 2], [40, 6], [0, 10]], "within 600 mm"),
        ([[0, 2], ["x", 6], [0, 10]], "not a length"),
        ("points", "a list"),
        ([[0, 2], [3, float("nan")], [0, 10]], "finite"),
        ([[0, 2], [0.2, 6], [0, 10]], "at least 20 mm from the side seam"),
        ([[0, i] for i in range(201)], "3 to 200"),
    ],
)
def test_outline_points(points: Any, words: str) -> None:
    (message,) = faults(plain_sheet(pads={"front_outline": points})).values()
    assert words in message


def test_records_of_fittings_are_left_alone() -> None:
    assert from_plain({**plain_sheet(), "fitted": [{"any": "thing"}]}) == from_plain(plain_sheet())


def test_a_metric_sheet_is_offered_metric_stock():
    """Common practice, no source: foam by the 10 or 20 mm on sheets 60 cm wide, cloth 140 cm wide."""
    cm = from_plain({"unit": "cm", "girths": {"waist": 75, "hip": 100}})
    assert (cm.pads.thickness, cm.foam.sheet_width, cm.cloth.cover_width) == (20.0, 600.0, 1400.0)
    assert (cm.pads.bevel, cm.pads.start, cm.pads.back_gap) == (100.0, 40.0, 25.0)  # as round as the inches are
    inch = from_plain({"unit": "in", "girths": {"waist": 30, "hip": 40}})
    assert (inch.pads.bevel, inch.pads.start, inch.pads.back_gap) == (101.6, 38.1, 25.4)
    assert (inch.pads.thickness, inch.foam.sheet_width, inch.cloth.cover_width) == (19.05, 609.6, 1397.0)
    said = from_plain({"girths": {"waist": "75 cm", "hip": "100 cm"}, "pads": {"thickness": "19.05 mm"}})
    assert (said.pads.thickness, said.foam.sheet_width) == (19.05, 600.0)
