"""One way for every chart: text that is only text, and files that are the same byte for byte from run to run."""

from __future__ import annotations

import io
import warnings
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing


def plain_text(text: str, most: int) -> str:
    """A client's own words as a chart can carry them: one line, without control signs, cut, never read as a formula.

    >>> plain_text("$x$ and\\n more", 60), plain_text("abcdef", 4)
    ('\\\\$x\\\\$ and more', 'abc…')
    """
    flat = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return (flat if len(flat) <= most else flat[: most - 1] + "…").replace("$", r"\$")


def chart_files(drawing: Drawing, stem: str, paper: str = "white") -> dict[str, bytes]:
    """A drawing as SVG and PNG, without date or random names, so that the same drawing gives the same bytes."""
    from matplotlib import rc_context
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    FigureCanvasAgg(drawing)
    files = {}
    with rc_context({"svg.hashsalt": "silhouette", "svg.fonttype": "none"}), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")  # an empty box in the PNG says as much
        for ending, metadata in (("svg", {"Date": None}), ("png", {})):
            buffer = io.BytesIO()
            drawing.savefig(buffer, format=ending, dpi=150, facecolor=paper, metadata=metadata)
            files[f"{stem}.{ending}"] = buffer.getvalue()
    return files
