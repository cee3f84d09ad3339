"""What the page lays first: the most natural pads in foam as sold for the hip she wants."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from silhouette.asked.declared import LENGTH
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import exact_plain, format_length
from silhouette.asked.sheet import Sheet, parameter_for
from silhouette.judged.finding import thickness_text
from silhouette.search.natural import most_natural
from silhouette.search.thickness import Option
from silhouette.shape.known_body import hip_of

NEAR: Final = 3.2  #: mm; a tape is read to 1/8 in, so this is "as she wants"


@dataclass(frozen=True)
class Proposal:
    """Sheet changes in the sheet's own unit (None takes a key out), and what they come to in words."""

    changes: Mapping[str, Any]
    words: str


def proposal(sheet: Sheet, show: str | None = None) -> Proposal:
    """Pads for ``aim.hip``; without a wish, the fullest hip that still looks natural. ``show``: unit of the words.

    Raises ``SheetError`` like a preview.
    """
    wish, unit = sheet.aim.hip, show or sheet.unit
    if wish is not None and wish <= (hip := hip_of(sheet)):
        own = format_length(hip, unit)
        raise SheetError([Fault("aim.hip", f"not above her own hip, {own}: pads cannot take away")])
    option = most_natural(sheet, wish).best
    if option is None:
        return Proposal({}, "No pads in foam as sold come near this hip; the choices stay as they are.")
    return Proposal(_changes(option, sheet.unit), _words(option, wish, unit))


def _changes(option: Option, unit: str) -> dict[str, Any]:
    return {
        key: exact_plain(value, unit) if value is not None and parameter_for(key).kind == LENGTH else value
        for key, value in option.changes
    }


def _words(option: Option, wish: float | None, unit: str) -> str:
    laid = f"{thickness_text(option.foam, unit)} foam, {format_length(option.hip, unit)} at the hip"
    if wish is None:
        words = f"Laid: {laid}, the fullest that looks natural."
    elif abs(option.hip - wish) <= NEAR:
        words = f"Laid: {laid}, as she wants."
    else:
        apart = option.hip - wish
        words = f"Laid: {laid}, {format_length(abs(apart), unit)} {'short of' if apart < 0 else 'over'} her wish."
    return words if option.verdict == "fine" else words + " It would not pass unseen: look at the findings."
