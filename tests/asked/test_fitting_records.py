"""Records put into a sheet's text and taken out again: every other line stays, and nothing unreadable is written."""

from __future__ import annotations

import datetime
import tomllib

import pytest

from silhouette.asked.faults import SheetError
from silhouette.asked.fitting_records import add_fitting, take_over, without_fitting
from silhouette.asked.fittings import Fitting, fittings_in_order, read_fittings
from silhouette.asked.reading import read_text
from silhouette.asked.toml_text import comments_of, encoded_like
from silhouette.asked.writing import sheet_toml, starter_sheet, with_values

DAY = datetime.date(2026, 11, 25)
SHEET = 'unit = "in"\n[girths]  # over the shift\nwaist = 31\nhip = 42'
FIRST = '\n\n# second visit\n[[fitted]]\ndate = 2026-11-20\ngirth = 45\npredicted = "45 in"\nfoam = 0.75'


def a_fitting(girth: float = 1149.35, day: datetime.date = DAY) -> Fitting:
    return Fitting(day, "hip", girth, "cloth", 1143.0, 19.05, 1135.0, ("foam.measured", 20.0))


@pytest.mark.parametrize("end", ["", "\n", "\n\n", "  # last words", "\n# last words"])
def test_a_second_record_after_any_end_of_the_file_reads_back(end: str) -> None:
    """A sheet with a record and no final newline was once left as a file that nothing could read."""
    text = SHEET + FIRST + end
    written = add_fitting(text, a_fitting(), "in")
    assert written.startswith(text)
    assert [one.girth for one in read_fittings(written)] == pytest.approx([1143.0, 1149.35])
    assert read_text(written) == read_text(text)


def test_lengths_of_a_record_carry_their_own_unit() -> None:
    written = add_fitting(SHEET, a_fitting(), "in")
    table = tomllib.loads(written)["fitted"][0]
    assert (table["girth"], table["predicted"], table["foam"]) == ("45 1/4 in", "45 in", "0.75 in")
    assert all(isinstance(table[key], str) for key in ("shell_hip", "value"))
    other = written.replace('unit = "in"', 'unit = "cm"').replace("= 31", '= "31 in"').replace("= 42", '= "42 in"')
    assert read_fittings(other) == read_fittings(written)


def test_a_change_of_unit_leaves_bare_numbers_of_old_records_what_they_were() -> None:
    text = SHEET + FIRST + '\nwould_explain = "foam.measured"\nvalue = 0.8\n'
    for over in (text, text.replace("[girths]", "[pads.left]\nbevel = 1\n[girths]") + "[pads]\n"):
        turned = sheet_toml(with_values(read_text(over), {"unit": "cm"}), over=over)
        assert read_text(turned).unit == "cm"
        assert read_fittings(turned) == read_fittings(text)
        assert "# second visit" in turned and "# over the shift" in turned


def test_a_record_is_taken_out_and_comments_stay() -> None:
    text = add_fitting(SHEET + FIRST + "\n# and again\n\n# what she likes\n[client]\nname = 'A'\n", a_fitting(), "in")
    gone = without_fitting(text, 0)
    assert [one.date for one in fittings_in_order(gone)] == [DAY]
    assert comments_of(gone) == comments_of(text)
    assert read_text(gone) == read_text(text)
    assert without_fitting(gone, 0).count("fitted") == 0
    assert without_fitting(add_fitting(SHEET + "\n", a_fitting(), "in"), 0) == SHEET + "\n"


def test_records_that_cannot_be_added_to_are_refused() -> None:
    inline = "fitted = [{date = 2026-11-20, girth = 45, predicted = 45, foam = 0.75}]\n" + SHEET
    assert len(read_fittings(inline)) == 1
    with pytest.raises(SheetError, match="nothing was written"):
        add_fitting(inline, a_fitting(), "in")
    with pytest.raises(SheetError, match="by hand"):
        without_fitting(inline, 0)


def test_the_comment_of_a_value_stays_when_it_is_put_to_use() -> None:
    text = SHEET + "\n[foam]\nmeasured = 0.7   # her caliper\n"
    taken, said = take_over(text, a_fitting(), "in")
    assert "# her caliper; from the fitting of 2026-11-25; was 0.7" in taken
    assert read_text(taken).foam.measured == 20.0 and len(said) == 1


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_comments_of_the_starter_sheet_stay_whatever_is_changed(unit: str) -> None:
    over = starter_sheet(unit)
    sheet = read_text(over)
    for changes in (
        {"girths.thigh": 640.0},
        {"client.name": "Ada", "pads.left.bevel": 30.0},
        {"pads.thickness": None, "pads.bevel": None},
    ):
        text = sheet_toml(with_values(sheet, changes), over=over)
        assert comments_of(text) == comments_of(over), changes
        assert text.count("[widths]") == 1  # a section without a key stays, for its comments


def test_the_comment_of_a_value_that_is_taken_out_stays_where_it_was() -> None:
    over = SHEET + '\nthigh = 25   # left, "over the shift"\nknee = 15\n'
    text = sheet_toml(with_values(read_text(over), {"girths.thigh": None}), over=over)
    assert text.index("hip = 42") < text.index('# left, "over the shift"') < text.index("knee")


def test_a_sheet_that_must_be_laid_out_afresh_keeps_its_comments() -> None:
    over = '[pads.left] # old scar\nstart = "2 in"\n[girths]\nhip = "42 in" # fullest\nwaist = "31 in"\n'
    over += '[pads]\nbevel = "1 in"\n'
    text = sheet_toml(
        with_values(read_text(over), {"unit": "in", "pads.left.start": 60.0, "pads.right.end": 300.0}), over
    )
    assert sorted(comments_of(text)) == sorted(comments_of(over))


@pytest.mark.parametrize("text", ['# a\nb = "# no"  # c\n', "x = '''\n# no\n''' # yes", 'y = """\\" # no\n""" # yes'])
def test_comments_are_told_from_text(text: str) -> None:
    assert all("no" not in comment for comment in comments_of(text)) and comments_of(text)


def test_line_ends_and_byte_order_mark_are_those_of_the_file() -> None:
    assert encoded_like("a\nb\n", b"\xef\xbb\xbfa\r\n") == b"\xef\xbb\xbfa\r\nb\r\n"
    assert encoded_like("a\nb\n", b"a\nb\nc\r\n") == b"a\nb\n"
