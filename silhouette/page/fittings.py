"""Fittings from the page: recorded in the client's file, taken back, and what now, in the command line's words."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.fitting_records import explained_plain, without_fitting
from silhouette.asked.fittings import OVER, Fitting, fittings_in_order
from silhouette.asked.lengths import parse_length
from silhouette.asked.reading import read_text
from silhouette.asked.sheet import Sheet
from silhouette.asked.sheet_bytes import decoded
from silhouette.page.answers import SHOWN
from silhouette.page.client_names import sheet_file
from silhouette.page.clients_folder import Folder, Kept
from silhouette.page.incoming import Refused
from silhouette.search.fitted import OVER_WORDS, Reading, of_the_day, recorded
from silhouette.search.learning import is_used
from silhouette.shown.fitting_advice import habit_said, what_now_said
from silhouette.shown.fitting_words import fitting_lines
from silhouette.shown.sheet_files import replace_sheet


def listed(folder: Folder, body: Mapping[str, Any]) -> dict[str, Any]:
    """The records of a client, the latest first: day, what was read over, and in words."""
    kept = folder.read(body.get("name"))
    text = decoded(kept.raw, kept.name)
    sheet, records = read_text(text, folder.root), fittings_in_order(text)
    return {"mark": kept.mark, "records": [_row(record, sheet, body.get("show")) for record in reversed(records)]}


def record(folder: Folder, body: Mapping[str, Any]) -> tuple[Kept, dict[str, Any]]:
    """Put a reading into the client's file; the file as it then stands, and what it says.

    Raises :class:`Refused`: 409 where the file is not the one that was looked at (``mark`` says which there is), or
    has a fitting of that day already and ``replace`` is not set. Raises ``SheetError`` for an impossible reading.
    """
    kept = _as_looked_at(folder, body)
    text = decoded(kept.raw, kept.name)
    unit = _shown(body.get("show"), read_text(text).unit)
    over = _over(body)
    reading = Reading(_length(body.get("hip"), unit), over, _day(body.get("date")))
    if of_the_day(fittings_in_order(text), over, reading.day) and body.get("replace") is not True:
        words = f"there is a fitting of {reading.day.isoformat()} over {OVER_WORDS[over]} already"
        raise Refused(409, [Fault("fitting", words)], same=True)
    built = recorded(text, reading, folder.root)
    replace_sheet(sheet_file(folder.root, kept.name)[1], kept.raw, built.text)
    shown = replace(built.sheet, unit=unit)
    lines = [
        *fitting_lines(built.record, unit, built.lesson.words),
        *what_now_said(shown, built.lesson, over, None),
        *habit_said(folder.root, shown),
    ]
    return folder.read(kept.name), {"lines": lines, "changes": _changes(built.sheet, built.record)}


def take_back(folder: Folder, body: Mapping[str, Any]) -> Kept:
    """Take the latest record of a day out of the client's file again; the file as it then stands."""
    kept = _as_looked_at(folder, body)
    text = decoded(kept.raw, kept.name)
    day, over = _day(body.get("date")), _over(body)
    found = of_the_day(fittings_in_order(text), over, day)
    if not found:
        raise Refused(404, [Fault("fitting", f"no fitting of {day.isoformat()} over {OVER_WORDS[over]} in the sheet")])
    replace_sheet(sheet_file(folder.root, kept.name)[1], kept.raw, without_fitting(text, found[-1]))
    return folder.read(kept.name)


def _as_looked_at(folder: Folder, body: Mapping[str, Any]) -> Kept:
    kept = folder.read(body.get("name"))
    if kept.mark != body.get("base"):
        words = "was saved elsewhere since you opened it; nothing was written"
        raise Refused(409, [Fault(kept.name, words)], mark=kept.mark)
    return kept


def _row(record: Fitting, sheet: Sheet, show: object) -> dict[str, Any]:
    lines = fitting_lines(record, _shown(show, sheet.unit), used=is_used(sheet, record))
    return {"date": record.date.isoformat(), "over": record.over, "lines": lines}


def _changes(sheet: Sheet, record: Fitting) -> dict[str, Any]:
    """Sheet keys and plain values that carry what was learned; None takes a key out."""
    if record.explains is None:
        return {}
    key, value = record.explains
    gone = {"cloth.stretch": None} if key == "cloth.stiffness" and sheet.cloth.stretch is not None else {}
    return {key: explained_plain(key, value, sheet.unit), **gone}


def _shown(show: object, own: str) -> str:
    return show if isinstance(show, str) and show in SHOWN else own


def _over(body: Mapping[str, Any]) -> str:
    over = body.get("over")
    if over not in OVER:
        raise Refused(422, [Fault("over", f"must be one of {', '.join(OVER)}")])
    return str(over)


def _length(raw: object, unit: str) -> float:
    try:
        return parse_length(raw, unit)
    except ValueError as error:
        raise SheetError([Fault("read hip", str(error))]) from None


def _day(raw: object) -> datetime.date:
    try:
        return datetime.date.fromisoformat(raw if isinstance(raw, str) else "")
    except ValueError:
        raise SheetError([Fault("date", "a day belongs here, such as 2026-11-25")]) from None
