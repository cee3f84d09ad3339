"""Every spelling of a length a maker may type, and lengths shown as a tape shows them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from silhouette.asked.lengths import UNITS, exact_plain, format_length, format_span, parse_length, unit_of
from silhouette.asked.sheet import PARAMETERS

INCH = 25.4  # exact, international yard and pound agreement of 1959


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("38 1/2 in", 38.5 * INCH),
        ("38 1/2in", 38.5 * INCH),
        ('38-1/2"', 38.5 * INCH),
        ("38 1/2″", 38.5 * INCH),
        ("38 1/2”", 38.5 * INCH),
        ("38½", 38.5 * INCH),
        ("38 ½ in", 38.5 * INCH),
        ("38½in.", 38.5 * INCH),
        ("38 1⁄2 inches", 38.5 * INCH),
        ("38.5 INCH", 38.5 * INCH),
        ('1.5"', 38.1),
        ("1,5''", 38.1),
        ("3/8", 9.525),
        ("⅜ in", 9.525),
        ("⅛", 3.175),
        ("⅝", 15.875),
        ('⅞"', 22.225),
        ("1¾ in", 44.45),
        (".5 in", 12.7),
        ("5. in", 127.0),
        ("+2 in", 50.8),
        ("-1 1/2 in", -38.1),
        ("−1½", -38.1),
        ("- ¼ in", -6.35),
        ("97,5 cm", 975.0),
        ("97.5 cm", 975.0),
        ("97.5cm", 975.0),
        ("  97.5  CM  ", 975.0),
        ("97,5 centimetres", 975.0),
        ("20 mm", 20.0),
        ("20 millimeters", 20.0),
        ("0 in", 0.0),
        ("6 3/16 in", 6.1875 * INCH),
        ("2/3 in", INCH * 2 / 3),
    ],
)
def test_spellings(text: str, mm: float) -> None:
    assert parse_length(text, "in") == pytest.approx(mm, abs=1e-8)


@pytest.mark.parametrize(("number", "unit", "mm"), [(1.5, "in", 38.1), (38, "cm", 380.0), (20, "mm", 20.0)])
def test_bare_numbers_take_the_sheets_unit(number: float, unit: str, mm: float) -> None:
    assert parse_length(number, unit) == mm
    assert parse_length(str(number), unit) == mm


def test_own_unit_wins_over_the_sheets() -> None:
    assert parse_length("97 cm", "in") == 970.0
    assert unit_of("97 cm", "in") == "cm"
    assert unit_of("97", "in") == "in"


@pytest.mark.parametrize(
    "bad",
    [
        "",
        " ",
        "lots",
        "in",
        "38 1/2 1/2",
        "38 in 1/2",
        "1/0",
        "3 1/0 in",
        "1 ft",
        "3' 2\"",
        "0x10",
        "1e3",
        "nan",
        "inf",
        "--3",
        "3..5",
        "3,5,1",
        "½½",
        "1.5½",
        "9" * 41,
        "38 1/2 furlongs",
        "\x00",
        "in 38",
        "38 1 2",
        True,
        False,
        None,
        [],
        [38],
        {},
        float("nan"),
        float("inf"),
        -float("inf"),
        10**400,
        b"38",
    ],
)
def test_garbage_is_refused_with_a_reason(bad: object) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        parse_length(bad, "in")


def test_a_bare_number_without_any_unit_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a unit"):
        parse_length(38, None)
    with pytest.raises(ValueError, match="needs a unit"):
        parse_length("38 1/2", None)


@given(st.text(max_size=60) | st.text("0123456789 ½⅜/.,-−+inchm\"'″”", max_size=14), st.sampled_from([*UNITS, None]))
@example("⁄", "in")
@example("1/٠", "in")
def test_any_text_is_a_length_or_a_value_error(text: str, unit: str | None) -> None:
    try:
        mm = parse_length(text, unit)
    except ValueError as error:
        assert str(error)
    else:
        assert isinstance(mm, float)
        assert abs(mm) < 1e42
    unit_of(text, unit)


@pytest.mark.parametrize(
    ("mm", "unit", "shown"),
    [
        (977.9, "in", "38 1/2 in"),
        (25.4, "in", "1 in"),
        (0.0, "in", "0 in"),
        (12.7, "in", "1/2 in"),
        (-3.2, "in", "-1/8 in"),
        (-0.5, "in", "0 in"),
        (1.5, "in", "0 in"),
        (1.6, "in", "1/8 in"),
        (25.4 * 7.99, "in", "8 in"),
        (977.9, "cm", "97.8 cm"),
        (-0.04, "cm", "0.0 cm"),
        (977.9, "mm", "978 mm"),
    ],
)
def test_shown_as_a_tape_shows_it(mm: float, unit: str, shown: str) -> None:
    assert format_length(mm, unit) == shown


def test_signs_sixteenths_and_bare_numbers() -> None:
    assert format_length(25.4 * 3 / 16, "in", sixteenths=True) == "3/16 in"
    assert format_length(25.4, "in", sign=True) == "+1 in"
    assert format_length(-25.4, "in", sign=True) == "-1 in"
    assert format_length(0.0, "in", sign=True) == "0 in"
    assert format_length(25.4, "cm", bare=True) == "2.5"


@given(st.floats(-3000, 3000), st.sampled_from(UNITS), st.booleans())
def test_what_is_shown_reads_back_within_half_a_mark(mm: float, unit: str, sixteenths: bool) -> None:
    mark = {"in": INCH / (16 if sixteenths else 8), "cm": 1.0, "mm": 0.1 if sixteenths else 1.0}[unit]
    assert abs(parse_length(format_length(mm, unit, sixteenths=sixteenths), None) - mm) <= mark / 2 + 1e-6


@given(st.integers(0, 8000))
def test_fractions_are_in_lowest_terms(eighths: int) -> None:
    shown = format_length(eighths * INCH / 8, "in", bare=True)
    whole, rest = divmod(Fraction(eighths, 8), 1)
    assert shown == " ".join(str(part) for part in (whole, rest) if part) or shown == "0" == str(eighths)


@given(st.floats(-3000, 3000), st.sampled_from(UNITS))
def test_what_is_written_to_a_file_reads_back_exactly(mm: float, unit: str) -> None:
    mm = round(mm, 9)
    assert parse_length(exact_plain(mm, unit), unit) == pytest.approx(mm, abs=1.1e-9)


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("key", [k for k, p in PARAMETERS.items() if p.kind == "length"])
def test_both_ends_of_a_shown_range_are_allowed(key: str, unit: str) -> None:
    p = PARAMETERS[key]
    assert p.low is not None and p.high is not None
    low, high = format_span(p.low, p.high, unit).removesuffix(f" {unit}").split(" to ")
    assert p.low <= parse_length(low, unit) + 1e-9 <= p.low + 3.2
    assert p.high >= parse_length(high, unit) - 1e-9 >= p.high - 3.2
