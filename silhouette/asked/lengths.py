"""Lengths: text and numbers to millimetres and back. The only module where units are converted."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final

INCH: Final = 25.4  #: mm, exactly (international yard, 1959)
MM_PER: Final[dict[str, float]] = {"mm": 1.0, "cm": 10.0, "in": INCH}
UNITS: Final = tuple(MM_PER)

_UNIT_WORDS: Final = {
    "mm": "mm",
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "cm": "cm",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
    "in": "in",
    "in.": "in",
    "ins": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "”": "in",
    "“": "in",
    "''": "in",
    "′′": "in",
    "’’": "in",
}
_VULGAR: Final = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_LENGTH: Final = re.compile(
    r"""^(?P<sign>[-+−])?\s*
        (?:(?P<whole>\d+)[\s-]+(?P<num>\d+)\s*/\s*(?P<den>\d+)
          |(?P<num2>\d+)\s*/\s*(?P<den2>\d+)
          |(?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+))
        \s*(?P<unit>[^\d\s.,/+−-][^\d]*)?$""",
    re.VERBOSE,
)


def parse_length(value: object, unit: str | None) -> float:
    """Return a length in mm.

    ``value`` is a number in ``unit``, or text that may carry its own unit and vulgar fractions; a comma
    is a decimal comma. Raises ``ValueError`` with a reason in plain words.

    >>> parse_length("38 1/2 in", None)
    977.9
    >>> parse_length("97,5 cm", "in")
    975.0
    >>> parse_length(1.5, "in")
    38.1
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError("a length belongs here, such as 38.5 or '97.5 cm'")
    if isinstance(value, str):
        number, own = _split(value)
        unit = own or unit
    else:
        if isinstance(value, int) and abs(value) > 10**9:
            raise ValueError("not a possible length")
        number = float(value)
    if not math.isfinite(number):
        raise ValueError("not a finite length")
    if unit is None:
        raise ValueError('a bare number needs a unit: write unit = "in" or unit = "cm" at the top of the sheet')
    return round(number * MM_PER[unit], 9)


def unit_of(value: object, unit: str | None) -> str | None:
    """The unit a raw value is written in: its own when the text carries one, else ``unit``."""
    if isinstance(value, str):
        try:
            return _split(value)[1] or unit
        except ValueError:
            return unit
    return unit


def unit_word(word: str) -> str | None:
    """The unit a word stands for (``inches`` is ``in``), or None."""
    return _UNIT_WORDS.get(word.strip().lower())


def _split(text: str) -> tuple[float, str | None]:
    spelled = text.strip()
    if len(spelled) > 40:
        raise ValueError("not a length: write it like '38 1/2 in', '97.5 cm' or '38½'")
    spelled = spelled.replace("⁄", "/")
    for sign, fraction in _VULGAR.items():
        spelled = spelled.replace(sign, f" {fraction} ")
    match = _LENGTH.match(spelled.strip())
    if match is None:
        raise ValueError("not a length: write it like '38 1/2 in', '97.5 cm' or '38½'")
    if match["decimal"]:
        number = float(match["decimal"].replace(",", "."))
    else:
        denominator = int(match["den"] or match["den2"])
        if denominator == 0:
            raise ValueError("not a length: a fraction cannot end in /0")
        number = int(match["whole"] or 0) + int(match["num"] or match["num2"]) / denominator
    own = match["unit"]
    if own is not None:
        known = unit_word(own)
        if known is None:
            raise ValueError(f"unknown unit '{own.strip()}': use in, cm or mm")
        own = known
    return (-number if match["sign"] in ("-", "−") else number), own


def format_length(mm: float, unit: str, *, sixteenths: bool = False, sign: bool = False, bare: bool = False) -> str:
    """Write a length as a tape shows it: eighths (or sixteenths) of an inch, millimetres of a centimetre.

    >>> format_length(977.9, "in"), format_length(977.9, "cm"), format_length(-3.2, "in")
    ('38 1/2 in', '97.8 cm', '-1/8 in')
    """
    if unit == "in":
        parts = 16 if sixteenths else 8
        steps = round(abs(mm) / INCH * parts)
        whole, rest = divmod(steps, parts)
        fraction = Fraction(rest, parts)
        text = f"{whole} {fraction}" if whole and rest else f"{fraction}" if rest else f"{whole}"
        zero = steps == 0
    else:
        text = f"{abs(mm) / MM_PER[unit]:.1f}" if unit == "cm" or sixteenths else f"{abs(mm):.0f}"
        zero = float(text) == 0
    lead = "" if zero else "-" if mm < 0 else "+" if sign else ""
    return f"{lead}{text}" if bare else f"{lead}{text} {unit}"


def as_shown(mm: float, unit: str) -> float:
    """The length, mm, that ``format_length`` shows for one: sums and differences of these add up on paper.

    >>> as_shown(977.0, "in") / 25.4, as_shown(977.9, "cm")
    (38.5, 978.0)
    """
    return parse_length(format_length(mm, unit), unit)


def format_span(low: float, high: float, unit: str, *, sixteenths: bool = False) -> str:
    """The lengths a range allows, as a tape shows them: rounded inward, so that both ends are allowed.

    >>> format_span(500, 2000, "in"), format_span(500, 2000, "cm")
    ('19 3/4 to 78 5/8 in', '50.0 to 200.0 cm')
    """
    step = MM_PER["in"] / (16 if sixteenths else 8) if unit == "in" else 1.0
    inward = math.ceil(low / step - 1e-9) * step, math.floor(high / step + 1e-9) * step
    ends = [format_length(end, unit, sixteenths=sixteenths and unit == "in", bare=True) for end in inward]
    return f"{ends[0]} to {ends[1]} {unit}"


def in_unit(mm: float, unit: str) -> float:
    """A length as a plain number in ``unit``, clean of conversion dust (``25.4`` mm is exactly ``1`` in)."""
    return round(mm / MM_PER[unit], 7)


def exact_plain(mm: float, unit: str) -> float | str:
    """A length as it is written to a file: a short number in ``unit`` where that is exact, else text in mm.

    >>> exact_plain(25.4, "in"), exact_plain(20.0, "in")
    (1.0, '20 mm')
    """
    number = round(mm / MM_PER[unit], 4)
    return number if round(number * MM_PER[unit], 9) == round(mm, 9) else mm_text(mm)


def mm_text(mm: float) -> str:
    """A length as text in mm, to the nanometre that lengths are kept to.

    >>> mm_text(20.0), mm_text(0.1 + 0.2)
    ('20 mm', '0.3 mm')
    """
    return f"{mm:.9f}".rstrip("0").rstrip(".") + " mm"
