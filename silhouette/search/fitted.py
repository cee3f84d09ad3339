"""A fitting put on record: the reading beside the prediction, and the sheet's text with the record in it."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from silhouette.asked.fitting_records import add_fitting, without_fitting
from silhouette.asked.fittings import Fitting, fittings_in_order
from silhouette.asked.reading import read_text
from silhouette.asked.sheet import Sheet
from silhouette.search.learning import Lesson, learn, used_keys
from silhouette.shape.pads import foam_thickness

#: What the tape was read over, in words.
OVER_WORDS = {"cloth": "the finished garment", "pads": "the pads"}


@dataclass(frozen=True)
class Reading:
    """What the tape read round the fullest hip, mm, over ``cloth`` or ``pads``, and the day."""

    hip: float
    over: str
    day: datetime.date


@dataclass(frozen=True)
class Recorded:
    """The sheet that was fitted, its text with the record, and what the fitting teaches."""

    sheet: Sheet
    text: str
    record: Fitting
    lesson: Lesson


def of_the_day(records: Sequence[Fitting], over: str, day: datetime.date) -> list[int]:
    """Which records, counted from 0, are of this day and over the same."""
    return [n for n, one in enumerate(records) if (one.date, one.level, one.over) == (day, "hip", over)]


def recorded(text: str, reading: Reading, folder: Path | None = None) -> Recorded:
    """Put a reading into the text of a sheet in a folder; a record of the same day over the same gives way to it.

    Raises ``SheetError`` for a sheet that cannot be read and for a reading that no padded figure can give.
    """
    sheet, records = read_text(text, folder), fittings_in_order(text)
    same = of_the_day(records, reading.over, reading.day)
    others = [one for number, one in enumerate(records) if number not in same]
    lesson = learn(sheet, "hip", reading.hip, reading.over, used_keys(sheet, others))
    record = Fitting(
        reading.day,
        "hip",
        lesson.read,
        reading.over,
        lesson.predicted,
        foam_thickness(sheet, sheet.pads),
        sheet.cloth.shell_hip,
        lesson.explains,
    )
    for number in reversed(same):
        text = without_fitting(text, number)
    return Recorded(sheet, add_fitting(text, record, sheet.unit), record, lesson)
