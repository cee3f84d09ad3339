"""The command on fittings: record one, replace it, take it back."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from silhouette.asked.faults import Fault, OutputError, SheetError, UsageError
from silhouette.cli.options import SheetFile, length_said
from silhouette.cli.usage import as_option

if TYPE_CHECKING:
    from silhouette.asked.fittings import Fitting


def fitted(
    sheet: SheetFile,
    /,
    *,
    hip: Annotated[str | None, Parameter(help="What the tape read round the fullest hip.")] = None,
    over: Annotated[
        Literal["cloth", "pads"] | None,
        Parameter(help="Read over the finished garment (cloth, when left out) or over bare pads."),
    ] = None,
    wanted: Annotated[
        str | None, Parameter(help="What it was to read; the sheet's wanted hip, or the prediction, when left out.")
    ] = None,
    date: Annotated[str | None, Parameter(help="Day of the fitting, such as 2026-11-25; today when left out.")] = None,
    use: Annotated[bool, Parameter(negative="", help="Put what was learned into the sheet as well.")] = False,
    replace: Annotated[bool, Parameter(negative="", help="Put this in the place of a record of the same day.")] = False,
    take_back: Annotated[str | None, Parameter(help="Take the record of this day out of the sheet again.")] = None,
) -> None:
    """Record what the tape read at the fitting, and say what explains a difference and what to do now."""
    from silhouette.asked.reading import DEMO, read_text
    from silhouette.asked.sheet_bytes import decoded, sheet_bytes

    if str(sheet) == DEMO:
        raise OutputError("demo: the packaged example keeps no records; copy a sheet of your own")
    if (hip is None) == (take_back is None):
        raise UsageError("fitted: give --hip LENGTH to record a fitting, or --take-back DATE to take one out again")
    was = sheet_bytes(sheet)
    text = decoded(was, str(sheet))
    read_text(text)  # a sheet that cannot be read is refused before anything is changed in it
    if take_back is not None:
        _take_back(sheet, was, text, _day("--take-back", take_back), over)
    elif hip is not None:
        day = datetime.date.today() if date is None else _day("--date", date)
        _record(sheet, was, text, _Said(hip, over or "cloth", wanted, day), use=use, replace=replace)


@dataclass(frozen=True)
class _Said:
    """What the maker said of a fitting."""

    hip: str
    over: str
    wanted: str | None
    day: datetime.date


def _record(sheet: Path, was: bytes, text: str, said: _Said, *, use: bool, replace: bool) -> None:
    from silhouette.asked.fitting_records import take_over
    from silhouette.asked.fittings import fittings_in_order
    from silhouette.asked.reading import read_text
    from silhouette.search.fitted import OVER_WORDS, Reading, of_the_day, recorded
    from silhouette.shown.fitting_advice import habit_said, what_now_said
    from silhouette.shown.fitting_words import fitting_lines
    from silhouette.shown.sheet_files import replace_sheet

    choices = read_text(text, sheet.parent)
    unit = choices.unit
    same = of_the_day(fittings_in_order(text), said.over, said.day)
    if same and not replace:
        raise OutputError(
            f"{sheet}: a fitting of {said.day.isoformat()} over {OVER_WORDS[said.over]} is in the sheet already; with "
            "--replace this one takes its place, with --date it is of another day"
        )
    aim = None if said.wanted is None else length_said("--wanted", said.wanted, unit)
    read = length_said("--hip", said.hip, unit)
    with as_option("read hip", "--hip"):
        built = recorded(text, Reading(read, said.over, said.day), sheet.parent)
    record, lesson = built.record, built.lesson
    written, changed = built.text, list[str]()
    if use:
        written, changed = take_over(written, record, unit)
        read_text(written)
    replace_sheet(sheet, was, written)
    lines = fitting_lines(record, unit, lesson.words)
    print("\n".join([*lines, *what_now_said(choices, lesson, said.over, aim), *habit_said(sheet.parent, choices)]))
    if same:
        print("It has taken the place of the earlier record of that day.")
    if use:
        print("\n".join(f"changed in the sheet: {line}" for line in changed) or "nothing learned, nothing changed")
    elif lesson.explains is not None:
        print("The record is in the sheet; its choices are as they were. With --use they follow what was learned.")


def _take_back(sheet: Path, was: bytes, text: str, day: datetime.date, over: str | None) -> None:
    from silhouette.asked.fitting_records import without_fitting
    from silhouette.asked.fittings import fittings_in_order
    from silhouette.search.fitted import OVER_WORDS
    from silhouette.shown.sheet_files import replace_sheet

    records = fittings_in_order(text)
    found = [number for number, one in enumerate(records) if one.date == day and over in (None, one.over)]
    if not found:
        raise OutputError(f"{sheet}: no fitting of {day.isoformat()} in the sheet{_days(records)}")
    if len({records[number].over for number in found}) > 1:
        raise OutputError(f"{sheet}: two fittings of {day.isoformat()}; say which with --over cloth or --over pads")
    taken = without_fitting(text, found[-1])
    replace_sheet(sheet, was, taken)
    print(f"The fitting of {day.isoformat()} over {OVER_WORDS[records[found[-1]].over]} is out of the sheet again.")
    if f"from the fitting of {day.isoformat()}" in taken:
        print("What was learned from it still stands in the sheet, in the line marked with that day.")


def _days(records: list[Fitting]) -> str:
    days = sorted({one.date.isoformat() for one in records})
    return f"; there are those of {', '.join(days[-5:])}" if days else ""


def _day(option: str, text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise SheetError([Fault(f"{option} {text[:40]}", "a date belongs here, such as 2026-11-25")]) from None
