"""The hand-over file: one HTML page that turns, measures and explains, from disk, with no network."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from datetime import date
from importlib import resources
from typing import Any

from silhouette.page.answers import numbers
from silhouette.page.bundle import bundle
from silhouette.page.grids import grids_of, pack
from silhouette.pipeline import Preview


def handover_html(seen: Preview, on: date | None = None) -> str:
    """A self-contained page of one preview and the dressmaker's note."""
    told, block = pack(grids_of(seen))
    data: dict[str, Any] = {
        **numbers(seen),
        "grids": told,
        "points": base64.b64encode(block).decode("ascii"),
        "note": seen.sheet.client.note,
        "unit": "in" if seen.sheet.unit == "in" else "cm",
        "date": (on or date.today()).isoformat(),
    }
    script = bundle("handover.js", static_text)
    style = static_text("tones.css") + static_text("handover.css")
    policy = (
        f"default-src 'none'; script-src 'sha256-{_hash(script)}'; style-src 'sha256-{_hash(style)}'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    filled = {
        "POLICY": html.escape(policy, quote=True),
        "STYLE": style,
        "SCRIPT": script,
        "TITLE": html.escape(seen.sheet.client.name or "Before and after"),
        # inside a script element only a tag could end the data
        "DATA": json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"),
    }
    return re.sub(r"\{\{([A-Z]+)\}\}", lambda m: filled[m[1]], static_text("handover.html"))


def static_text(name: str) -> str:
    """One of the page's own files."""
    return resources.files(__package__).joinpath("static", name).read_text("utf-8")


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
