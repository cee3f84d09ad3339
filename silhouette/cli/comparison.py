"""Placements side by side in one table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from silhouette.asked.lengths import as_shown, format_length
from silhouette.cli.tables import plain_name
from silhouette.cutting.buying import area_words
from silhouette.pipeline import Preview
from silhouette.shape.figure import Figure
from silhouette.shown.sentences import foam_words

if TYPE_CHECKING:
    from rich.table import Table

    from silhouette.cutting.amounts import Amounts


def comparison_table(names: Sequence[str], results: Sequence[Preview], unit: str) -> Table:
    """Several sheets side by side. Girth and added girth are read at the same level, and add up as they are shown."""
    from rich import box
    from rich.table import Table

    from silhouette.cutting.amounts import amounts_of

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("")
    for name in names:
        table.add_column(plain_name(name), justify="right")
    amounts = [amounts_of(result) for result in results]
    for label, cells in (*_girth_rows(results, unit), *_amount_rows(amounts, unit), *_look_rows(results)):
        table.add_row(label, *cells)
    return table


Rows = list[tuple[str, list[str]]]


def _girth_rows(results: Sequence[Preview], unit: str) -> Rows:
    figures = [s.figure for s in results]
    hips = [as_shown(f.new_hip_girth, unit) for f in figures]
    bodies = [as_shown(f.body_girth_at_new_hip, unit) for f in figures]

    most = [_most_added(f) for f in figures]

    def show(mm: float) -> str:
        return format_length(mm, unit)

    def signed(mm: float) -> str:
        return format_length(mm, unit, sign=True)

    return [
        ("foam", [" / ".join(foam_words(f.pads, unit)) or "none" for f in figures]),
        ("body hip", [show(f.measures.hip) for f in figures]),
        ("new hip girth", [show(hip) for hip in hips]),
        ("against the first", ["·", *(signed(hip - hips[0]) for hip in hips[1:])]),
        ("where, below the waist", [show(f.new_hip_drop) for f in figures]),
        ("body there", [show(body) for body in bodies]),
        ("added there", [signed(hip - body) for hip, body in zip(hips, bodies, strict=True)]),
        ("most added, anywhere", [signed(added) for added, _ in most]),
        ("  there, below the waist", [show(drop) if added > 0.5 else "·" for added, drop in most]),
        ("rule of thumb", [show(f.rule_of_thumb) for f in figures]),
        ("shell to cut", [show(s.shell.cut_hip) for s in results]),
        ("shell on the sheet", [show(s.shell.hip) if s.shell.given else "open" for s in results]),
        ("worn hip", [show(s.shell.worn_hip) if s.squeezed else "as padded" for s in results]),
        ("waist over new hip", [f"{f.measures.waist / f.new_hip_girth:.3f}" for f in figures]),
    ]


def _most_added(figure: Figure) -> tuple[float, float]:
    """What the pads add where they add most, mm, and its drop: a pad above the hip leaves the hip as it is."""
    added = figure.after.girth - figure.before.girth
    row = int(np.argmax(added))
    return float(added[row]), float(figure.body.drops[row])


def _amount_rows(amounts: Sequence[Amounts | str], unit: str) -> Rows:
    def across(length: float, width: float) -> str:
        return f"{format_length(length, unit, bare=True)} × {format_length(width, unit)}"

    foam = [
        a if isinstance(a, str) else " + ".join(across(length, width) for _, length, width in a.foam) for a in amounts
    ]
    return [
        ("foam to buy", foam),
        ("  of it pads", ["·" if isinstance(a, str) else area_words(a.foam_area, unit) for a in amounts]),
        ("cover cloth", [a if isinstance(a, str) else across(*a.cloth) for a in amounts]),
    ]


def _look_rows(results: Sequence[Preview]) -> Rows:
    return [
        ("edge turns the cloth by", [f"{s.dressed.edge.degrees:.0f}°" if s.pads else "·" for s in results]),
        ("judged for", ["the stage" if s.sheet.aim.look == "stage" else "a natural look" for s in results]),
        ("verdict", [s.verdict for s in results]),
        ("to look at", [", ".join(f.check for f in s.findings if f.severity != "fine") or "nothing" for s in results]),
    ]
