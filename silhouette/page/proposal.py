"""What the page lays first: the most natural pads in foam as sold for the hip she wants."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from silhouette.asked.declared import LENGTH
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import exact_plain, format_length
from silhouette.asked.sheet import Sheet, parameter_for
from silhouette.asked.writing import with_values
from silhouette.judged.finding import SEVERITIES, thickness_text
from silhouette.search.thickness import Option, thickness_for

NEAR: Final = 3.2  #: mm; a tape is read to 1/8 in, so this is "as she wants"
#: Wider edges that are tried where the sheet's own would show, mm (2, 2 3/4 and 3 1/2 in; this tool's convention).
EDGES: Final = {"in": (50.8, 69.85, 88.9), "cm": (50.0, 70.0, 90.0), "mm": (50.0, 70.0, 90.0)}


@dataclass(frozen=True)
class Proposal:
    """Sheet changes in the sheet's own unit (None takes a key out), and what they come to in words."""

    changes: Mapping[str, Any]
    words: str


def proposal(sheet: Sheet, show: str | None = None) -> Proposal:
    """Pads in stock foam for ``aim.hip``: of what looks natural, the nearest to the wish.

    The sheet's own edge is tried first and wider edges where it would show. ``show`` is the unit of the words.
    Raises ``SheetError`` like a preview.
    """
    wish = sheet.aim.hip
    if wish is None:
        return Proposal({}, "Laid as usual. Note the hip she wants, and the foam is chosen for it.")
    options = list(_options(sheet, wish))
    natural = [option for option in options if option.verdict == "fine"]
    option = min(natural or options, key=lambda o: (SEVERITIES.index(o.verdict), abs(o.hip - wish)))
    return Proposal(_changes(option, sheet.unit), _words(option, wish, show or sheet.unit))


def _options(sheet: Sheet, wish: float) -> Iterator[Option]:
    """Stock sheets either side of the wish, with the sheet's own edge and then with wider ones."""
    edges = (sheet.pads.bevel, *(edge for edge in EDGES[sheet.unit] if edge > sheet.pads.bevel + NEAR))
    faults: SheetError | None = None
    count = 0
    for edge in edges:
        wider = {} if edge == sheet.pads.bevel else {"pads.bevel": edge}
        try:
            choice = thickness_for(with_values(sheet, wider), wish)
        except SheetError as error:
            faults = faults or error
            continue
        near = sorted((o for o in (choice.below, choice.above) if o is not None), key=lambda o: abs(o.hip - wish))
        for option in near:
            count += 1
            yield replace(option, changes=(*option.changes, *wider.items()))
        if near and near[0].verdict == "fine":
            return
    if not count:
        raise faults or SheetError([Fault("aim.hip", "no foam as sold comes near it")])


def _changes(option: Option, unit: str) -> dict[str, Any]:
    return {
        key: exact_plain(value, unit) if value is not None and parameter_for(key).kind == LENGTH else value
        for key, value in option.changes
    }


def _words(option: Option, wish: float, unit: str) -> str:
    laid = f"{thickness_text(option.foam, unit)} foam, {format_length(option.hip, unit)} at the hip"
    apart = option.hip - wish
    if abs(apart) <= NEAR:
        words = f"Laid: {laid}, as she wants."
    else:
        words = f"Laid: {laid}, {format_length(abs(apart), unit)} {'short of' if apart < 0 else 'over'} her wish."
    if option.verdict == "fine":
        return words + (" More foam would begin to show." if apart < -NEAR else "")
    return words + " It would not pass unseen: look at the findings."
