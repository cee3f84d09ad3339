"""Sheets that cannot be used: every fault at once, each with its place, and nothing but ``SheetError``."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from silhouette.asked.faults import SheetError
from silhouette.asked.reading import DEMO, from_plain, read_sheet, read_text, sheet_text
from silhouette.asked.sheet import PARAMETERS, SECTIONS, Sheet
from silhouette.pipeline import preview
from tests.asked.sheets import a_sheet


def faults(plain: Any) -> dict[str, str]:
    """Place → message of every fault."""
    with pytest.raises(SheetError) as caught:
        preview(from_plain(plain))
    return {fault.place: fault.message for fault in caught.value.faults}


def text_faults(text: str) -> list[str]:
    with pytest.raises(SheetError) as caught:
        read_text(text)
    return [str(fault) for fault in caught.value.faults]


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
    found = faults(a_sheet(girths={"hip": 4200, "thigh": 25}, pads={"start": -3, "end": 3.5}))
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
    assert faults(a_sheet(**{table: {key: 1}}))[f"{table}.{key}"] == f"unknown key; did you mean {near}?"


@pytest.mark.parametrize(
    ("section", "near"), [("girth", "girths"), ("Pads", "pads"), ("units", "unit"), ("foams", "foam")]
)
def test_the_nearest_known_section_is_named(section: str, near: str) -> None:
    assert faults({**a_sheet(), section: {}})[section].endswith(f"did you mean {near}?")


def test_a_key_in_the_wrong_place_is_sent_home() -> None:
    found = faults({**a_sheet(pads={"measured": 0.7, "waist": 3}), "hip": 42, "thickness": 1})
    assert found["pads.measured"] == "unknown key; it belongs in [foam]"
    assert found["hip"].endswith("it belongs in [girths] or [along] or [drops] or [aim]")
    assert found["thickness"].endswith("it belongs in [pads]")


def test_an_unknown_key_like_no_other_lists_the_known_ones() -> None:
    assert faults(a_sheet(foam={"zzz": 1}))["foam.zzz"] == "unknown key; known are " + ", ".join(
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
    found = faults(a_sheet(pads={"thickness": 20, "bevel": 40}))
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
    found = faults(a_sheet(**{section: {name: bad}}))
    assert [place.split(" ")[0] for place in found] == [key]
    assert all(len(place) < 120 and "\n" not in place for place in found)


@pytest.mark.parametrize("key", ["client.size", "pads.fullness"])
@pytest.mark.parametrize("bad", ["14", True, float("nan"), float("inf"), -1, 1e300, 10**400, [], {}])
def test_what_is_no_number_here_is_one_fault(key: str, bad: Any) -> None:
    section, name = key.split(".")
    assert [place.split(" ")[0] for place in faults(a_sheet(**{section: {name: bad}}))] == [key]


@pytest.mark.parametrize("bad", [3, True, [], {}, "x" * 2001, "bell \a", "\ud800", "nul \0"])
def test_a_name_is_plain_text(bad: Any) -> None:
    assert [place.split(" ")[0] for place in faults(a_sheet(client={"name": bad}))] == ["client.name"]


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
    "waist far above hip": (a_sheet(girths={"waist": 52}), "girths.waist = 52 in", "were the two swapped?"),
    "thigh of both legs": (a_sheet(girths={"thigh": 40}), "girths.thigh = 40 in", "0.4 to 0.8 of the hip girth"),
    "knee like a thigh": (a_sheet(girths={"thigh": 25, "knee": 25}), "girths.knee = 25 in", "the thigh girth (25 in)"),
    "high hip": (a_sheet(girths={"high_hip": 60}), "girths.high_hip = 60 in", "near the waist and hip girths"),
    "drops out of order": (a_sheet(drops={"high_hip": 9, "hip": 8}), "drops.hip = 8 in", "13/16 in below drops"),
    "under seat above hip": (a_sheet(drops={"hip": 9, "under_seat": 8}), "drops.under_seat = 8 in", "drops.hip (9 in)"),
    "wider than the body": (a_sheet(pads={"front_reach": 22}), "pads.front_reach = 22 in", "half the hip girth is"),
    "bevel wider than pad": (
        a_sheet(pads={"front_reach": 2, "bevel": 3}),
        "pads.bevel = 3 in",
        "the front pad, which reaches 2 in",
    ),
    "one side's bevel": (
        a_sheet(pads={"front_reach": 2, "bevel": 1, "left": {"bevel": 3}}),
        "pads.left.bevel = 3 in",
        "reaches 2 in",
    ),
    "bevel wider than an outline": (
        a_sheet(pads={"bevel": 3, "front_outline": [[0, 2], [2, 7], [0, 11]]}),
        "pads.bevel = 3 in",
        "reaches 2 in",
    ),
    "bevel wider than default": (a_sheet(pads={"bevel": "7 in"}), "pads.bevel = 7 in", "the front pad"),
    "no room behind": (a_sheet(pads={"back_gap": 14}), "pads.back_gap = 14 in", "leaves a back pad"),
    "end above start": (a_sheet(pads={"start": 4, "end": 5}), "pads.end = 5 in", "below the pad's start (4 in)"),
    "too short": (
        a_sheet(pads={"start": 10, "front_outline": [[0, 10], [4, 11], [0, 12]]}, drops={"knee": 13}),
        "pads.start = 10 in",
        "too short",
    ),
    "end below the knee": (a_sheet(pads={"end": 27}), "pads.end = 27 in", "below the knee"),
    "impossible breadth": (
        a_sheet(widths={"hip_breadth": 25}),
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
    (message,) = faults(a_sheet(pads={"front_outline": points})).values()
    assert words in message


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("waist = 29 1/2", "line 3, column 12", 'quotes: waist = "29 1/2"'),
        ("waist = 74,5", "line 3, column 11", 'quotes: waist = "74,5"'),
        ("waist = 38½", "line 3, column 11", 'quotes: waist = "38½"'),
        ('waist = 38.5"', "line 3, column 13", 'quotes: waist = "38.5 in"'),
        ("waist = 38 in # tight", "line 3, column 12", 'quotes: waist = "38 in"'),
        ("waist = “38 in”", "line 3, column 9", 'plain quotes: waist = "38 in"'),
        ("waist =", "line 3, column 8", "nothing stands after waist ="),
        ("waist = # later", "line 3, column 9", "nothing stands after waist ="),
        ("waist: 38", "line 3, column 6", "not a colon"),
        ("name = Anna", "line 3, column 8", 'text goes in quotes: name = "Anna"'),
        ("waist = 1\nwaist = 2", "line 4, column 10", "twice"),
        ("waist = 1\n[girths]", "line 4, column 8", "twice"),
        ("waist", "line 3, column 6", "expected '='"),
        ("waist = [1, 2", "line 3, column 14", "unclosed array"),
        ('waist = "38', "line 3, column 12", "unterminated string"),
        ("\0", "line 3, column 1", "invalid"),
        ("waist = " + "1" * 5000, "sheet", "thousands of digits"),
        ("waist = " + "[" * 5000 + "]" * 5000, "sheet", "nested far too deeply"),
        ("a" + ".a" * 5000 + " = 1", "line 3, column 1", "names with dots between"),
    ],
)
def test_text_that_is_not_toml(text: str, place: str, words: str) -> None:
    (found,) = text_faults(f'unit = "in"\n[girths]\n{text}')
    assert found.startswith(f"{place}: "), found
    assert words in found


def test_files_that_are_no_sheet(tmp_path: Path) -> None:
    noise = np.random.default_rng(7).bytes(90_000)
    cases = {
        "missing.toml": (None, "no such file"),
        "noise.toml": (noise, "not a text file"),
        "large.toml": (b"#" * 100_001, "larger than 100 kB"),
        "latin.toml": ('name = "Zoë"'.encode("latin-1"), "byte 10 is not UTF-8"),
        "wide.toml": ('unit = "in"'.encode("utf-16"), "not a text file"),
    }
    for name, (raw, words) in cases.items():
        path = tmp_path / name
        if raw is not None:
            path.write_bytes(raw)
        with pytest.raises(SheetError) as caught:
            read_sheet(path)
        (fault,) = caught.value.faults
        assert fault.place == str(path)
        assert words in fault.message
    for path in (tmp_path, tmp_path / "large.toml" / "below", tmp_path / ("x" * 400)):
        with pytest.raises(SheetError):
            read_sheet(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_an_endless_file_is_refused() -> None:
    if not Path("/dev/zero").exists():
        pytest.skip("no /dev/zero on this system")
    with pytest.raises(SheetError, match="larger than 100 kB"):
        read_sheet("/dev/zero")


def test_windows_line_ends_and_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "sheet.toml"
    path.write_bytes(b"\xef\xbb\xbf" + b'unit = "in"\r\n[girths]\r\nwaist = 31\r\nhip = 42\r\n')
    assert read_sheet(path) == from_plain(a_sheet())


def test_the_demo_is_packaged() -> None:
    assert read_sheet(DEMO) == read_text(sheet_text(DEMO))
    assert read_sheet(DEMO).client.name


def test_records_of_fittings_are_left_alone() -> None:
    assert from_plain({**a_sheet(), "fitted": [{"any": "thing"}]}) == from_plain(a_sheet())


@pytest.mark.parametrize("plain", [[], 3, None, "girths", [a_sheet()]])
def test_what_is_no_table_at_all(plain: Any) -> None:
    assert set(faults(plain)) == {"sheet"}


def test_deep_and_odd_values_are_refused_not_followed() -> None:
    deep: Any = 1
    for _ in range(100_000):
        deep = [deep]
    assert len(faults(a_sheet(girths={"waist": deep}, client={"name": deep}, pads={"profile": deep}))) == 3
    assert len(faults(a_sheet(girths={"waist": 10**5000}, client={"size": -(10**5000)}))) == 2
    assert len(faults({**a_sheet(), "x" * 5000: 1, "line\nend": 2, 3: 4, "": 5})) == 4
    while isinstance(deep, list) and deep:  # taken apart by hand: the interpreter would do it recursively
        deep = deep.pop()


PLAIN: st.SearchStrategy[Any] = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.dates()
    | st.sampled_from(["38 1/2 in", "97 cm", 10**400, "in", "cm", 31, 42.0, "straight"]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from([*SECTIONS, "left", "right", "unit", *(k.split(".")[1] for k in PARAMETERS)])
            | st.text(max_size=6),
            inner,
            max_size=6,
        )
    ),
    max_leaves=25,
)


@given(
    st.dictionaries(st.sampled_from([*SECTIONS, "unit", "fitted"]) | st.text(max_size=5), PLAIN, max_size=8) | PLAIN,
    st.booleans(),
)
@example({"girths": {"waist": 10**400, "hip": "42 in"}, "pads": {"left": 3}}, False)
def test_any_plain_values_give_a_sheet_or_a_sheet_error(plain: Any, sound: bool) -> None:
    if sound and isinstance(plain, dict):
        plain = {**plain, "unit": "in", "girths": {"waist": 31, "hip": 42}}
    try:
        assert isinstance(from_plain(plain), Sheet)
    except SheetError as error:
        assert error.faults
        assert all(fault.place and fault.message and "\n" not in str(fault) for fault in error.faults)


@given(st.text(max_size=200) | st.text("[]=\"'.,#\n 0123456789abcunit{}-½“", max_size=80))
def test_any_text_gives_a_sheet_or_a_sheet_error(text: str) -> None:
    try:
        read_text(text)
    except SheetError as error:
        assert error.faults


def test_a_metric_sheet_is_offered_metric_stock():
    """Common practice, no source: foam by the 10 or 20 mm on sheets 60 cm wide, cloth 140 cm wide."""
    cm = from_plain({"unit": "cm", "girths": {"waist": 75, "hip": 100}})
    assert (cm.pads.thickness, cm.foam.sheet_width, cm.cloth.cover_width) == (20.0, 600.0, 1400.0)
    inch = from_plain({"unit": "in", "girths": {"waist": 30, "hip": 40}})
    assert (inch.pads.thickness, inch.foam.sheet_width, inch.cloth.cover_width) == (19.05, 609.6, 1397.0)
    said = from_plain({"girths": {"waist": "75 cm", "hip": "100 cm"}, "pads": {"thickness": "19.05 mm"}})
    assert (said.pads.thickness, said.foam.sheet_width) == (19.05, 600.0)


@pytest.mark.parametrize(
    "line",
    [
        "a" + ".b" * 20 + " = 1",
        'a . "b" . c' + " . d" * 20 + " = 1",
        "[" + ".".join("abcdefghijklmnop") + "]",
        "x = {" + ".".join("abcdefghijklmnop") + " = 1}",
    ],
)
def test_keys_of_very_many_parts_are_refused_before_they_are_read(line: str) -> None:
    """120 kB of them kept the TOML reader busy for minutes."""
    (found,) = text_faults('unit = "in"\n' + line)
    assert "line 2, column 1" in found and "names with dots between" in found


def test_dots_that_are_no_keys_are_read() -> None:
    points = ", ".join(f"[{x}.25, {y}.5]" for x, y in ((3, 5), (4, 6), (5, 7), (4.0, 8), (3, 9)))
    text = (
        'unit = "in"\n[client]\nnotes = "a.b.c.d.e.f.g.h.i.j.k.l.m.n.o.p…"\n[girths]\nwaist = 31\nhip = 42\n[pads]\n'
        + (
            f"front_outline = [[0, 1.5], {points.replace('.0.', '.')}, [0, 12.5]]\n"
            f"back_outline = [[0, 1.5], {points.replace('.0.', '.')}, [0, 12.5]]\n"
        )
    )
    assert len(read_text(text).pads.front_outline or ()) == 7
