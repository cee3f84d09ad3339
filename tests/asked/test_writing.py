"""Sheets written and read again: exact, with the maker's comments, order, spelling and records kept."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from typing import Any

import pytest
import tomlkit
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from silhouette.asked.lengths import UNITS
from silhouette.asked.reading import DEMO, from_plain, read_sheet, read_text, sheet_text
from silhouette.asked.sheet import PARAMETERS
from silhouette.asked.writing import sheet_toml, starter_sheet, to_plain, with_values
from silhouette.pipeline import preview
from tests.asked.sheets import plain_sheets, usable
from tests.clients import plain_sheet


@settings(max_examples=40)
@given(plain_sheets())
def test_a_written_sheet_reads_back_exactly(plain: dict[str, Any]) -> None:
    sheet = usable(plain)
    assume(sheet is not None)
    assert sheet is not None
    assert from_plain(to_plain(sheet)) == sheet
    assert read_text(sheet_toml(sheet)) == sheet


@settings(max_examples=25)
@given(plain_sheets(), plain_sheets())
def test_written_over_another_sheet_it_still_reads_back_exactly(was: dict[str, Any], now: dict[str, Any]) -> None:
    old, new = usable(was), usable(now)
    assume(old is not None and new is not None)
    assert old is not None and new is not None
    assert read_text(sheet_toml(new, over=sheet_toml(old))) == new
    assert read_text(sheet_toml(new, over=tomlkit.dumps(was))) == new


@settings(max_examples=40)
@given(plain_sheets(), st.sampled_from(UNITS))
def test_the_unit_of_a_sheet_can_change(plain: dict[str, Any], unit: str) -> None:
    sheet = usable(plain)
    assume(sheet is not None)
    assert sheet is not None
    assert with_values(sheet, {"unit": unit}) == replace(sheet, unit=unit)


KEPT = """\
# Bell skirt, second fitting.
unit = "in"   # her tape

# Records of earlier fittings.
[[fitted]]
on = 2024-03-01
hip = "46 1/4 in"

[girths]      # taken over the leotard
hip = "42 in" # fullest
waist = 31.0
# thigh =

[pads]
# soft foam for the dance scene
thickness = 0.75
[pads.left]
start = "2 in"  # old scar

[[fitted]]
on = 2024-04-02
"""


def test_comments_order_spelling_and_records_are_kept() -> None:
    sheet = read_text(KEPT)
    text = sheet_toml(with_values(sheet, {"pads.thickness": 12.7}), over=KEPT)
    for line in KEPT.splitlines():
        if not line.startswith("thickness"):
            assert line in text
    assert text.index("hip = ") < text.index("waist = ")
    assert "thickness = 0.5" in text
    assert tomllib.loads(text)["fitted"] == tomllib.loads(KEPT)["fitted"]


def test_written_over_itself_nothing_moves() -> None:
    full = sheet_toml(read_sheet(DEMO), over=sheet_text(DEMO))
    assert sheet_toml(read_text(full), over=full) == full


def test_what_was_taken_out_is_gone_and_the_rest_stays() -> None:
    over = sheet_toml(from_plain(plain_sheet(girths={"thigh": 25}, pads={"left": {"start": 2, "bevel": 1}})))
    sheet = with_values(read_text(over), {"girths.thigh": None, "pads.left.start": None})
    text = sheet_toml(sheet, over=over)
    assert read_text(text) == sheet
    assert "thigh" not in tomllib.loads(text)["girths"] and tomllib.loads(text)["pads"]["left"] == {"bevel": 1.0}


@pytest.mark.parametrize(
    "over",
    [
        'unit = "in"\ngirths = {waist = 31, hip = 42, thigh = 25}\n',
        'unit = "in"\ngirths.waist = 31\ngirths.hip = 42\npads.left.start = 2\n',
        '[pads.left]\nstart = 2\n[girths]\nhip = "42 in"\nwaist = 31\n[pads]\nbevel = 1.0\n',
        '"unit" = "in"\n["girths"]\n"waist" = 31\nhip = 42 # last line without an end',
        "",
        "# nothing but a comment",
    ],
)
def test_other_ways_to_lay_out_a_sheet(over: str) -> None:
    for plain in (
        plain_sheet(),
        plain_sheet(pads={"right": {"bevel": 2}}, girths={"knee": 15}, client={"name": "[x] # 'y'"}),
    ):
        sheet = from_plain(plain)
        text = sheet_toml(sheet, over=over)
        assert read_text(text) == sheet, text


@pytest.mark.parametrize("unit", UNITS)
def test_the_starter_sheet_reads_back_and_previews(unit: str) -> None:
    sheet = read_text(starter_sheet(unit))
    assert sheet.unit == unit
    assert preview(sheet).verdict in ("fine", "watch")
    assert sheet.pads.thickness == pytest.approx(19.5, abs=0.6)


@pytest.mark.parametrize("unit", UNITS)
def test_every_line_left_out_of_the_starter_sheet_can_be_said(unit: str) -> None:
    text = starter_sheet(unit)
    values = {
        "girths.high_hip": "38 in",
        "girths.thigh": "24 in",
        "girths.knee": "15 in",
        "drops.high_hip": "4 in",
        "drops.hip": "8 in",
        "drops.under_seat": "11 in",
        "drops.knee": "24 in",
        "client.size": 14,
        "foam.grade": "35/50",
        "widths.hip_depth": "9 in",
    }
    for key, value in values.items():
        section, name = key.split(".")
        head, tail = text.split(f"[{section}]\n", 1)
        lines = tail.splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith(f"# {name} ="))
        lines[at] = f"{name} = {tomlkit.item(value).as_string()}"
        text = f"{head}[{section}]\n" + "\n".join(lines)
    plain = to_plain(read_text(text))
    for key in values:
        section, name = key.split(".")
        assert name in plain[section]


def test_numbers_in_the_starter_sheet_are_what_a_tape_shows() -> None:
    for unit, step in (("in", 0.125), ("cm", 0.1), ("mm", 1.0)):
        for section, table in tomllib.loads(starter_sheet(unit)).items():
            for name, value in table.items() if isinstance(table, dict) else ():
                if PARAMETERS[f"{section}.{name}"].kind == "length":
                    assert abs(value / step - round(value / step)) < 1e-9, (name, value)
