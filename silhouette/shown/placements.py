"""Placements side by side: the dressed figures of several sheets at one scale, and the first client as she is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from silhouette.asked.lengths import format_length
from silhouette.pipeline import Preview
from silhouette.shown.chart_files import chart_files, plain_text
from silhouette.shown.scene import dressed_surfaces
from silhouette.shown.tones import colours_of
from silhouette.shown.views import NO_STILLS, PAPER, Frame, can_render, pictures

NO_PLACEMENTS: Final = f"figures.png {NO_STILLS}"
EYES: Final = (("front", 0.0), ("three-quarter", 40.0), ("side", 90.0))
INK: Final = "#2d2a27"
QUIET: Final = "#756c62"
DPI: Final = 150  #: dots per inch of every chart
HEAD: Final = 0.62  #: inches above the figures, for names and girths


def placement_files(names: Sequence[str], previews: Sequence[Preview], unit: str, width: int = 300) -> dict[str, bytes]:
    """``figures.png`` and ``figures.svg``; empty where nothing can be drawn. ``width`` of one figure in pixels."""
    if not can_render():
        return {}
    first = previews[0]
    surfaces = [
        dressed_surfaces(first, first.dressed.before),
        *(dressed_surfaces(p, p.dressed.after) for p in previews),
    ]
    frames = [Frame.round(own, preview) for own, preview in zip(surfaces, (first, *previews), strict=True)]
    frame = Frame(max(f.top for f in frames), max(f.foot for f in frames), max(f.half for f in frames))
    columns = [
        pictures(own, colours_of(preview), frame, width, EYES)
        for own, preview in zip(surfaces, (first, *previews), strict=True)
    ]
    words = [("as she is", format_length(first.figure.measures.hip, unit))]
    words += [
        (name, f"{format_length(preview.new_hip_girth, unit)}  ·  {preview.verdict}")
        for name, preview in zip(names, previews, strict=True)
    ]
    return chart_files(_sheet(columns, words), "figures", PAPER)


def _sheet(columns: list[list[Any]], words: list[tuple[str, str]]) -> Any:
    """One column of pictures for each figure, a row for each eye; name and girth above."""
    import numpy as np
    from matplotlib.figure import Figure as Drawing

    picture = np.concatenate([np.concatenate(views, axis=0) for views in columns], axis=1)
    across, down = picture.shape[1] / DPI, picture.shape[0] / DPI
    drawing = Drawing(figsize=(across, down + HEAD), facecolor=PAPER)
    axes = drawing.add_axes((0, 0, 1, down / (down + HEAD)))
    axes.imshow(picture, interpolation="none", aspect="auto")
    axes.axis("off")
    for i, (name, girth) in enumerate(words):
        x = (i + 0.5) / len(words)
        for text, y, size, colour in ((name, 0.24, 12, INK), (girth, 0.47, 9.5, QUIET)):
            drawing.text(
                x, 1 - y / (down + HEAD), plain_text(text, 24), ha="center", va="center", fontsize=size, color=colour
            )
    return drawing
