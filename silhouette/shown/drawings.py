"""Silhouettes drawn to scale: before and after over each other, from the front and from the side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from silhouette.asked.lengths import format_length
from silhouette.pipeline import Preview
from silhouette.shown.chart_files import chart_files, plain_text
from silhouette.shown.sentences import LEVEL_NAMES, foam_words, mark_note

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

PAPER: Final = "#fbf8f3"
INK: Final = "#2d2a27"
QUIET: Final = "#857c72"
SKIN: Final = "#eadfd2"
CLOTH: Final = "#dfe4ea"
PAD: Final = "#c4714f"
#: Strokes that stay apart in grey print and to colour-blind eyes: colour, dash, width.
STROKES: Final[tuple[tuple[str, Any, float], ...]] = (
    ("#1f3d5c", "solid", 2.2),
    ("#c4714f", (0, (6, 2)), 2.2),
    ("#3f7a5a", (0, (1.5, 1.5)), 2.4),
    ("#8a5a9e", (0, (8, 2, 1.5, 2)), 2.2),
    ("#9a7d1e", (0, (3, 1)), 1.6),
    ("#4a4a4a", (0, (1, 3)), 2.0),
)


def silhouette_files(result: Preview, unit: str) -> dict[str, bytes]:
    """``silhouettes.svg`` and ``silhouettes.png``."""
    return chart_files(silhouettes(result, unit), "silhouettes", PAPER)


def comparison_files(names: Sequence[str], results: Sequence[Preview], unit: str) -> dict[str, bytes]:
    """``comparison.svg`` and ``comparison.png``."""
    return chart_files(comparison(names, results, unit), "comparison", PAPER)


def silhouettes(result: Preview, unit: str) -> Drawing:
    """Front and side view of one sheet: dressed outline, pads shaded, body dashed, girths at the named levels."""
    drawing, front, side = _stage([result], 290.0)
    figure, dressed = result.figure, result.dressed.after
    drops, worn = figure.before.drops, result.shell.worn_figure.after
    for axes, angle in ((front, 0.0), (side, np.pi / 2)):
        before, padded, cloth = (
            figure.before.outline_from(angle),
            worn.outline_from(angle),
            dressed.outline.outline_from(angle),
        )
        axes.fill_betweenx(-dressed.drops, cloth[:, 0], cloth[:, 1], color=CLOTH, linewidth=0, zorder=0.5)
        axes.fill_betweenx(-drops, before[:, 0], before[:, 1], color=SKIN, linewidth=0, zorder=1)
        for edge, sign in ((0, -1), (1, 1)):
            inside, outside = before[:, edge], padded[:, edge]
            gained = _wider(sign * (outside - inside) > 0.05)
            axes.fill_betweenx(-drops, inside, outside, where=gained, color=PAD, alpha=0.6, linewidth=0, zorder=2)
            axes.plot(inside, -drops, color=QUIET, linewidth=1.0, linestyle=(0, (4, 2.5)), zorder=3)
        outline = np.concatenate([cloth[:, 0], cloth[::-1, 1], cloth[:1, 0]])
        down = np.concatenate([-dressed.drops, -dressed.drops[::-1], -dressed.drops[:1]])
        axes.plot(outline, down, color=INK, linewidth=2.0, solid_joinstyle="round", zorder=4)
    _legs(front, result)
    _labels(front, side, result, unit)
    _head(drawing, result.sheet.client.name or "Before and after", _summary(result, unit))
    _legend(drawing, mark_note(result).split(";")[0], figure.pads != (), result.squeezed)
    return drawing


def _summary(result: Preview, unit: str) -> str:
    """Foam, new hip and verdict in one line."""
    figure = result.figure
    if not figure.pads:
        return f"no pads  ·  {result.verdict}"
    line = f"{' and '.join(foam_words(figure.pads, unit))} foam: new hip girth "
    line += f"{format_length(figure.new_hip_girth, unit)} over loose foam"
    if result.squeezed:
        shell = result.shell
        line += f", {format_length(shell.worn_hip, unit)} worn under a shell of {format_length(shell.hip, unit)}"
    return f"{line}  ·  {result.verdict}"


def comparison(names: Sequence[str], results: Sequence[Preview], unit: str) -> Drawing:
    """Dressed silhouettes of several sheets over each other; the first one's bare body behind them."""
    drawing, front, side = _stage(results, 60.0)
    drops = results[0].tape_before.drops
    for axes, angle in ((front, 0.0), (side, np.pi / 2)):
        before = results[0].tape_before.outline_from(angle)
        axes.fill_betweenx(-drops, before[:, 0], before[:, 1], color=SKIN, linewidth=0, zorder=1)
        for result, (colour, dash, width) in zip(results, STROKES, strict=False):
            outline = result.dressed.after.outline
            after = outline.outline_from(angle)
            for edge in (0, 1):
                axes.plot(after[:, edge], -outline.drops, color=colour, linestyle=dash, linewidth=width, zorder=3)
    _legs(front, results[0])
    entries = [
        (
            f"{name}: {format_length(s.shell.worn_hip if s.squeezed else s.new_hip_girth, unit)} "
            f"({'worn, ' if s.squeezed else ''}{s.verdict})",
            stroke,
        )
        for name, s, stroke in zip(names, results, STROKES, strict=False)
    ]
    for i, (text, (colour, dash, width)) in enumerate(entries):
        y = 0.105 - 0.021 * (i % 3)
        x = 0.06 + 0.47 * (i // 3)
        drawing.add_artist(_line([x, x + 0.06], [y, y], colour, dash, width))
        drawing.text(x + 0.072, y, plain_text(text, 48), va="center", fontsize=9.5, color=INK)
    line = "dressed silhouettes; the first client's own body behind them"
    _head(drawing, "Variants compared", line)
    return drawing


def _stage(results: Sequence[Preview], label: float) -> tuple[Drawing, Axes, Axes]:
    """A drawing with a front and a side view at one scale and room for level labels between them."""
    from matplotlib.figure import Figure as Drawing

    knee = max(max(float(s.body.drops[-1]), s.dressed.after.cut.hem_drop) for s in results)
    spread: dict[float, tuple[float, float]] = {}
    for angle in (0.0, np.pi / 2):
        sides = np.concatenate([s.dressed.after.outline.outline_from(angle) for s in results])
        spread[angle] = float(sides[:, 0].min()), float(sides[:, 1].max())
    front_width = spread[0.0][1] - spread[0.0][0]
    side_width = spread[np.pi / 2][1] - spread[np.pi / 2][0]
    margin = 45.0
    total = front_width + side_width + label + 4 * margin
    height = knee + 2 * margin
    inches = 11.0
    body_share = 0.77
    drawing = Drawing(figsize=(inches, inches * height / total / body_share), facecolor=PAPER)
    drawing.set_layout_engine("none")
    left = 0.0
    built = []
    for low, high in spread.values():
        width = (high - low + 2 * margin) / total
        axes = drawing.add_axes((left, 0.135, width, body_share))
        axes.set_xlim(low - margin, high + margin)
        axes.set_ylim(-knee - margin, margin)
        axes.set_aspect("equal")
        axes.axis("off")
        built.append(axes)
        left += width + label / total
    return drawing, built[0], built[1]


def _head(drawing: Drawing, title: str, line: str) -> None:
    drawing.text(0.04, 0.972, plain_text(title, 60), fontsize=17, color=INK, va="top", family="serif")
    drawing.text(0.04, 0.932, plain_text(line, 100), fontsize=11, color=QUIET, va="top")
    for x, word in ((0.04, "front"), (0.96, "side")):
        drawing.text(
            x, 0.895, word, fontsize=10, color=QUIET, va="top", ha="left" if x < 0.5 else "right", style="italic"
        )


def _labels(front: Axes, side: Axes, result: Preview, unit: str) -> None:
    """Level lines through both views, with before → after girths between them."""
    figure = result.figure
    right, left = front.get_xlim()[1], side.get_xlim()[0]
    placed: list[float] = []
    worn = result.squeezed
    for reading in figure.levels:
        y = -reading.drop
        for axes in (front, side):
            axes.axhline(y, color=QUIET, linewidth=0.5, alpha=0.55, zorder=0)
        row = y
        while any(abs(row - other) < 40 for other in placed):
            row -= 6.0
        placed.append(row)
        mark = "" if reading.measured else "~"
        name = LEVEL_NAMES[reading.level]
        over = abs(reading.added) > 1.5
        numbers = f"{mark}{format_length(reading.before, unit)}"
        if over:
            numbers += f"  →  {mark}{format_length(reading.after, unit)}"
        if worn and over and reading.level not in ("thigh", "knee"):
            numbers += f"  →  {mark}{format_length(result.shell.worn_at(reading.drop), unit)}"
        centre = front.transData.transform((right + 145.0, row))
        x, y_fig = front.figure.transFigure.inverted().transform(centre)
        front.figure.text(x, y_fig + 0.004, name, ha="center", va="bottom", fontsize=8.5, color=QUIET)
        front.figure.text(
            x,
            y_fig,
            numbers,
            ha="center",
            va="top",
            fontsize=10.5 if not over else 9.5 if worn else 11,
            color=PAD if over else INK,
            weight="bold" if over else "normal",
        )
    bar = 101.6 if unit == "in" else 100.0
    y = front.get_ylim()[0] + 14
    low = front.get_xlim()[0] + 45
    front.plot([low, low + bar], [y, y], color=INK, linewidth=1.4, solid_capstyle="butt")
    for x in (low, low + bar):
        front.plot([x, x], [y - 5, y + 5], color=INK, linewidth=1.4)
    front.text(low + bar + 10, y, format_length(bar, unit), fontsize=9, color=INK, va="center")
    front.text(right - 45, y, "wearer's left", fontsize=9, color=QUIET, va="center", ha="right", style="italic")
    side.text(left + 45, y, "back", fontsize=9, color=QUIET, va="center", style="italic")
    side.text(side.get_xlim()[1] - 45, y, "front", fontsize=9, color=QUIET, va="center", ha="right", style="italic")


def _legend(drawing: Drawing, mark: str, padded: bool, worn: bool) -> None:
    y = 0.095
    entries: list[tuple[str, str, Any, float]] = [("dressed", INK, "solid", 2.0)]
    if padded:
        entries.append(("pads, as the shell presses them" if worn else "pads", PAD, "solid", 7.0))
    entries.append(("her own body", QUIET, (0, (4, 2.5)), 1.0))
    x = 0.06
    for text, colour, dash, width in entries:
        drawing.add_artist(_line([x, x + 0.05], [y, y], colour, dash, width))
        drawing.text(x + 0.06, y, text, va="center", fontsize=9.5, color=INK)
        x += 0.14 + 0.0075 * len(text)
    note = f"~ {mark}.  Girths are what a taut tape reads; below the seat round both legs."
    drawing.text(0.06, 0.055, note, va="center", fontsize=8.5, color=QUIET)


def _legs(axes: Axes, result: Preview) -> None:
    inner = result.body.inner[0, :, :, 0].min(axis=1)
    drops = result.body.drops[result.body.crotch :]
    for sign in (-1, 1):
        axes.fill_betweenx(-drops, 0, sign * inner, color=CLOTH, linewidth=0, zorder=1.5)
        axes.plot(sign * inner, -drops, color=QUIET, linewidth=1.0, zorder=3)


def _wider(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """A mask grown by one level each way, so that shading runs to the very edge of a pad."""
    grown = mask.copy()
    grown[1:] |= mask[:-1]
    grown[:-1] |= mask[1:]
    return grown


def _line(x: Sequence[float], y: Sequence[float], colour: str, dash: Any, width: float) -> Any:
    from matplotlib.lines import Line2D

    return Line2D(x, y, color=colour, linestyle=dash, linewidth=width)
