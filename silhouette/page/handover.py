"""The hand-over file: one HTML page that turns, measures and explains, from disk, with no network."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from datetime import date
from importlib import resources
from typing import Any, Final

from silhouette.asked.faults import Fault
from silhouette.page.answers import numbers
from silhouette.page.grids import grids_of, pack
from silhouette.page.incoming import Refused
from silhouette.pipeline import Preview

#: The page's own modules that the file carries, each after those it imports.
MODULES: Final = (
    "lengths.js", "matrix.js", "grids.js", "shaders.js", "stage.js", "figure.js", "turning.js", "make.js", "drawing.js",
    "told.js", "handover.js",
)  # fmt: skip
LONGEST_NOTE: Final = 2000
_IMPORT: Final = re.compile(r"^import\b[^;]*;\n?", re.MULTILINE)
_EXPORT: Final = re.compile(r"^export (?=(async |)(function|const|class|let)\b)", re.MULTILINE)


def handover_html(seen: Preview, note: object = "", on: date | None = None) -> str:
    """A self-contained page of one preview and the dressmaker's note."""
    if not isinstance(note, str) or len(note) > LONGEST_NOTE:
        raise Refused(422, [Fault("note", f"must be text of at most {LONGEST_NOTE} characters")])
    told, block = pack(grids_of(seen))
    data: dict[str, Any] = {
        **numbers(seen),
        "grids": told,
        "points": base64.b64encode(block).decode("ascii"),
        "note": note,
        "unit": "in" if seen.sheet.unit == "in" else "cm",
        "date": (on or date.today()).isoformat(),
    }
    script = "".join(_bare(static_text(name)) for name in MODULES)
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


def _bare(module: str) -> str:
    """A module's text without imports and exports, to stand with its fellows in one script."""
    return _EXPORT.sub("", _IMPORT.sub("", module))


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
