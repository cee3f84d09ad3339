"""The hand-over file: one HTML page of words and pictures, complete as it stands, that turns where scripts run.

It is the client's face: before and after, the note, the next date, the care of the garment. No judgement is in it.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from datetime import date
from importlib import resources
from typing import Any, Final

from silhouette.asked.lengths import format_length
from silhouette.page.bundle import bundle
from silhouette.page.care import CARE
from silhouette.page.grids import grids_of, pack
from silhouette.page.stills import stills
from silhouette.pipeline import Preview

_SIGNS: Final = {"1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞"}


def handover_html(result: Preview, on: date | None = None) -> str:
    """A self-contained page of one preview and the dressmaker's note, lengths in the sheet's unit."""
    sheet = result.sheet
    unit = "in" if sheet.unit == "in" else "cm"
    after = result.shell.worn_hip if result.squeezed else result.new_hip_girth
    script = bundle("handover.js", static_text)
    style = static_text("tones.css") + static_text("handover.css")
    policy = (
        f"default-src 'none'; script-src 'sha256-{_hash(script)}'; style-src 'sha256-{_hash(style)}'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    day = on or date.today()
    filled = {
        "POLICY": html.escape(policy, quote=True),
        "STYLE": style,
        "SCRIPT": script,
        "TITLE": html.escape(sheet.client.name or "Before and after"),
        "DATE": f"{day.day} {day:%B %Y}",
        "BEFORE": signed(format_length(result.figure.measures.hip, unit)),
        "AFTER": signed(format_length(after, unit)),
        "WORDS": _words(sheet.client.note, sheet.client.next_date),
        "STILLS": _figures(result),
        "CARE": "".join(f"<li>{html.escape(line)}</li>" for line in CARE),
        # inside a script element only a tag could end the data
        "DATA": json.dumps(_carried(result), ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"),
    }
    return re.sub(r"\{\{([A-Z]+)\}\}", lambda m: filled[m[1]], static_text("handover.html"))


def signed(text: str) -> str:
    """A length with its fraction as one sign, as the page writes it.

    >>> signed("44 5/8 in"), signed("3/4 in"), signed("112.0 cm")
    ('44⅝ in', '¾ in', '112.0 cm')
    """
    return re.sub(r"(?:(\d+) )?([1357]/[248])(?= |$)", lambda m: (m[1] or "") + _SIGNS[m[2]], text)


def static_text(name: str) -> str:
    """One of the page's own files."""
    return resources.files(__package__).joinpath("static", name).read_text("utf-8")


def _carried(result: Preview) -> dict[str, Any]:
    """What the turning picture is drawn from."""
    grids = [grid for grid in grids_of(result) if grid.role != "pad"]
    described, block = pack(grids)
    return {
        "grids": described,
        "points": base64.b64encode(block).decode("ascii"),
        "level": round(result.figure.new_hip_drop, 2),
        "bareLevel": round(result.figure.measures.hip_drop, 2),
        "colour": result.sheet.cloth.colour,
    }


def _words(note: str, next_date: str) -> str:
    parts = []
    if note:
        parts.append(f'<p class="note" id="note">{html.escape(note)}</p>')
    if next_date:
        parts.append(f'<p class="next"><strong>We meet again:</strong> {html.escape(next_date)}</p>')
    return "\n".join(parts)


def _figures(result: Preview) -> str:
    return "".join(
        f'<figure><img alt="Before, seen from the {name}" src="{_data_url(before)}"> '
        f'<img alt="After, seen from the {name}" src="{_data_url(after)}">'
        f"<figcaption>Before and after, from the {name}</figcaption></figure>"
        for name, (before, after) in stills(result).items()
    )


def _data_url(picture: bytes) -> str:
    return "data:image/png;base64," + base64.b64encode(picture).decode("ascii")


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
