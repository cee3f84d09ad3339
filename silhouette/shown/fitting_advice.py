"""What is said beside a fitting's record: causes, remedies, and the maker's habit over the sheets in one folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from silhouette.asked.faults import SheetError
from silhouette.asked.fittings import Fitting, read_fittings
from silhouette.asked.reading import read_text, sheet_text
from silhouette.asked.sheet import Sheet

if TYPE_CHECKING:
    from silhouette.search.learning import Lesson

MOST_SHEETS: Final = 2000  #: sheets of one folder that are looked through


def what_now_said(sheet: Sheet, lesson: Lesson, over: str, wanted: float | None) -> list[str]:
    """Causes and remedies, a line each. ``wanted`` (mm) goes before the hip that the sheet aims at."""
    from silhouette.search.what_now import what_now
    from silhouette.shown.what_now_words import what_now_lines

    now = what_now(sheet, lesson, over, sheet.aim.hip if wanted is None else wanted)
    return what_now_lines(now, lesson, sheet)


def habit_said(folder: Path, sheet: Sheet) -> list[str]:
    """What the fittings of all clients in a folder say of the maker; nothing where they say nothing sure."""
    from silhouette.search.maker import habit_of
    from silhouette.shown.what_now_words import habit_lines

    habit = habit_of(fitted_clients(folder))
    return [] if habit is None else habit_lines(habit, sheet)


def fitted_clients(folder: Path) -> list[tuple[Sheet, list[Fitting]]]:
    """The sheets of a folder that hold fittings. A file that is no sheet is passed over: it is not asked about."""
    clients = []
    for path in sorted(folder.glob("*.toml"))[:MOST_SHEETS]:
        if not path.is_file():  # a pipe would be waited for
            continue
        try:
            text = sheet_text(path)
            if "fitted" in text and (fittings := read_fittings(text)):
                clients.append((read_text(text, folder), fittings))
        except (SheetError, OSError, ValueError):
            continue
    return clients
