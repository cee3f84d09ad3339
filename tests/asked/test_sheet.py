"""One declaration per parameter, read by the dataclasses, the starter sheet and the messages alike."""

from __future__ import annotations

import dataclasses
import math

import pytest

from silhouette.asked.declared import CHOICE, FLAG, LENGTH, OUTLINE, POINTS, TEXT, Parameter
from silhouette.asked.faults import SheetError
from silhouette.asked.lengths import format_span
from silhouette.asked.pads import Pads
from silhouette.asked.reading import from_plain, read_text, read_value
from silhouette.asked.sheet import PARAMETERS, SECTIONS, is_key, parameter_for, value_at
from silhouette.asked.writing import starter_sheet, with_values
from tests.clients import plain_sheet

EVERY = pytest.mark.parametrize("parameter", PARAMETERS.values(), ids=PARAMETERS)


def test_every_field_is_declared_once() -> None:
    fields = [f"{name}.{f.name}" for name, kind in SECTIONS.items() for f in dataclasses.fields(kind)]
    assert fields == list(PARAMETERS)


@EVERY
def test_a_declaration_is_complete(parameter: Parameter) -> None:
    assert parameter.label and parameter.help.endswith(".") and parameter.group
    if parameter.kind in (TEXT, FLAG, POINTS, OUTLINE):
        return
    if parameter.kind == CHOICE:
        if parameter.default is None:
            assert parameter.absent  # it says what happens without
            return
        assert parameter.default in parameter.choices
        return
    assert parameter.low is not None and parameter.high is not None and parameter.low < parameter.high
    assert parameter.step > 0
    if parameter.default is None:
        assert parameter.needed != bool(parameter.absent)  # compulsory, or it says what happens without
    else:
        assert parameter.low <= parameter.default <= parameter.high


@EVERY
def test_the_starter_sheet_shows_every_parameter(parameter: Parameter) -> None:
    text = starter_sheet("in")
    if parameter.kind in (POINTS, OUTLINE):
        return
    assert parameter.help in text
    section, name = parameter.key.split(".")
    table = text.split(f"[{section}]\n")[1].split("\n[")[0]
    assert f"{name} =" in table
    assert parameter.absent in text
    if parameter.kind == LENGTH:
        assert parameter.low is not None and parameter.high is not None
        assert format_span(parameter.low, parameter.high, "in") in table


@EVERY
def test_messages_come_from_the_declaration(parameter: Parameter) -> None:
    if parameter.kind in (TEXT, FLAG, CHOICE, POINTS, OUTLINE):
        return
    assert parameter.high is not None
    with pytest.raises(ValueError, match=parameter.label):
        read_value(parameter, parameter.high * 3 + 7, "mm")


@EVERY
def test_the_ends_of_the_range_are_allowed(parameter: Parameter) -> None:
    if parameter.low is None or parameter.high is None:
        return
    for end in (parameter.low, parameter.high):
        assert read_value(parameter, end, "mm") == end
        with pytest.raises(ValueError, match=f"{parameter.low:g} to {parameter.high:g}"):
            read_value(parameter, end + math.copysign(0.01, end - parameter.low - 1e-9), "mm")


def test_only_waist_and_hip_are_compulsory() -> None:
    assert [key for key, p in PARAMETERS.items() if p.needed] == ["girths.waist", "girths.hip"]
    sheet = read_text('unit = "in"\n[girths]\nwaist = 31\nhip = 42\n')
    assert sheet.girths.thigh is None and sheet.drops.hip is None and sheet.pads == Pads()


def test_one_side_may_differ() -> None:
    sheet = from_plain(
        plain_sheet(pads={"thickness": 1, "start": 2, "left": {"thickness": 0.5}, "right": {"front": False}})
    )
    left, right = sheet.pads_on("left"), sheet.pads_on("right")
    assert (left.thickness, right.thickness) == (12.7, 25.4)
    assert (left.front, right.front) == (True, False)
    assert left.start == right.start == 50.8
    assert value_at(sheet, "pads.left.thickness") == 12.7
    assert value_at(sheet, "pads.right.thickness") == 25.4 == value_at(sheet, "pads.thickness")


def test_a_value_is_found_by_its_key() -> None:
    sheet = from_plain(plain_sheet(client={"size": 14}))
    assert value_at(sheet, "unit") == "in"
    assert value_at(sheet, "girths.hip") == 42 * 25.4
    assert value_at(sheet, "client.size") == 14
    assert value_at(sheet, "drops.knee") is None
    assert parameter_for("pads.left.start") is PARAMETERS["pads.start"]
    assert is_key("pads.right.bevel") and not is_key("pads.right.bevle") and not is_key("girths.left.hip")


def test_changed_values_are_checked_like_a_file() -> None:
    sheet = from_plain(plain_sheet())
    changed = with_values(sheet, {"pads.thickness": 12.7, "pads.left.start": "2 in", "girths.thigh": "60 cm"})
    assert (changed.pads.thickness, changed.pads_on("left").start, changed.girths.thigh) == (12.7, 50.8, 600.0)
    assert with_values(changed, {"pads.left.start": None, "girths.thigh": None}).girths.thigh is None
    points = [(0.0, 40.0), (120.0, 200.0), (0.0, 290.0)]
    assert with_values(sheet, {"pads.front_outline": points}).pads.front_outline == tuple(points)
    assert sheet == from_plain(plain_sheet())  # what was read never changes


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"pads.thickness": 300.0}, "pads.thickness = 300 mm"),
        ({"pads.thickness": True}, "pads.thickness = true"),
        ({"pads.thickness": math.nan}, "pads.thickness"),
        ({"pads.bevle": 3.0}, "pads.bevle"),
        ({"girths.hip": None}, "girths.hip"),
        ({"hips.left.over": 3.0}, "hips"),
        ({"pads.front.deep.key": 3.0}, "pads.front"),
        ({"pads.front_outline": 3}, "pads.front_outline"),
        ({"pads.front_outline": [3, None]}, "pads.front_outline"),
        ({"unit": "ell"}, "unit = ell"),
    ],
)
def test_a_change_that_cannot_be_is_a_sheet_error(changes: dict[str, object], place: str) -> None:
    with pytest.raises(SheetError) as caught:
        with_values(from_plain(plain_sheet()), changes)
    assert any(fault.place.startswith(place) for fault in caught.value.faults)


def test_a_new_unit_leaves_every_length_as_it_was() -> None:
    sheet = from_plain(plain_sheet(pads={"thickness": 0.75, "left": {"start": "5 cm"}}))
    changed = with_values(sheet, {"unit": "cm"})
    assert changed == dataclasses.replace(sheet, unit="cm")


def test_a_sheet_cannot_be_changed_in_place() -> None:
    sheet = from_plain(plain_sheet())
    for thing, name in ((sheet, "unit"), (sheet.girths, "hip"), (sheet.pads, "bevel")):
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(thing, name, 1)
