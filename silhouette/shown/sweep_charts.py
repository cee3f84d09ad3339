"""A sweep as two charts and a table: hip against look over both parameters, and the best trade-offs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from silhouette.asked.declared import LENGTH
from silhouette.asked.lengths import INCH, MM_PER, format_length
from silhouette.asked.sheet import value_at
from silhouette.asked.writing import with_values
from silhouette.judged.finding import thickness_text
from silhouette.search.sweep import Axis, Sweep, value_text
from silhouette.shape.figure import figure_like
from silhouette.shown.chart_files import chart_files, plain_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

COLOURS: Final = {"fine": "#d9e8d3", "watch": "#f7e6b5", "obvious": "#efc7bb"}
INK, FAINT, SKIN, FOAM = "#2b2b2b", "#8a8a8a", "#d8cfc6", "#9c5a6b"
THUMBNAILS: Final = 6
LONGEST_NAME: Final = 40  #: letters of a client's name in a chart's title


def sweep_files(swept: Sweep, unit: str) -> dict[str, bytes]:
    """Everything a sweep leaves in a folder, by file name."""
    files = {"sweep.csv": sweep_csv(swept, unit).encode("utf-8")}
    files |= chart_files(contour_chart(swept, unit), "hip-and-look")
    files |= chart_files(trade_off_chart(swept, unit), "trade-offs")
    return files


def sweep_csv(swept: Sweep, unit: str) -> str:
    """Every pair: both values; hip, added, worn and body girth in ``unit``; verdict, look, what stands in the way."""
    head = [f"{axis.key} ({_axis_unit(axis, unit)})" for axis in (swept.first, swept.second)]
    lines = [
        ",".join(
            [*head, *(f"{name} ({unit})" for name in ("hip", "added", "worn", "body there")), "verdict", "look", "why"]
        )
    ]
    rows, columns = swept.hip.shape
    for row in range(rows):
        for column in range(columns):
            pair = swept.changes(row, column)
            cells = [f"{_scaled(axis, pair[axis.key], unit):.4f}" for axis in (swept.first, swept.second)]
            for grid in (swept.hip, swept.added, swept.worn, swept.body):
                value = grid[row, column] / MM_PER[unit]
                cells.append("" if np.isnan(value) else f"{value:.4f}")
            look = swept.look[row, column]
            cells += [swept.verdict(row, column), "" if np.isnan(look) else f"{look:.3f}"]
            lines.append(",".join([*cells, '"' + str(swept.why[row, column]).replace('"', "'") + '"']))
    return "\n".join(lines) + "\n"


def contour_chart(swept: Sweep, unit: str) -> Drawing:
    """New hip girth as contour lines over the fine, watch and obvious regions."""
    from matplotlib.figure import Figure
    from matplotlib.patches import Patch

    drawing = Figure(figsize=(8.6, 6.6), layout="constrained")
    axes = drawing.subplots()
    rows, columns = swept.hip.shape
    x = np.array([_scaled(swept.first, v, unit) for v in swept.first.values(columns)])
    y = np.array([_scaled(swept.second, v, unit) for v in swept.second.values(rows)])
    look = np.ma.masked_invalid(swept.look)
    axes.set_facecolor("#e4e4e4")
    axes.contourf(x, y, look, levels=[-1e9, 0.0, 1.0, 1e9], colors=list(COLOURS.values()))
    axes.contour(x, y, look, levels=[0.0, 1.0], colors=[INK], linewidths=0.8, linestyles="dotted")
    hip = np.ma.masked_invalid(swept.hip) / MM_PER[unit]
    steps = _steps(float(hip.min()), float(hip.max()), unit)
    if len(steps):
        lines = axes.contour(x, y, hip, levels=steps, colors=[INK], linewidths=1.3)
        spots = []
        for number, pieces in enumerate(lines.allsegs):  # spread the labels, so that they do not stand in a row
            longest = max(pieces, key=len, default=None)
            if longest is not None and len(longest) > 2:
                spots.append(_label_spot(np.asarray(longest), (0.8, 0.9, 0.7)[number % 3], x, y))
        words = axes.clabel(
            lines, fmt=lambda v: format_length(v * MM_PER[unit], unit), fontsize=9, manual=spots, inline=False
        )
        for word in words:
            word.set(rotation=0, bbox={"boxstyle": "round,pad=0.2", "fc": "white", "ec": "none", "alpha": 0.85})
    _mark_sheet(axes, swept, unit)
    axes.set_xlim(x[0], x[-1])
    axes.set_ylim(y[0], y[-1])
    for axis, side in ((swept.first, axes.xaxis), (swept.second, axes.yaxis)):
        side.set_label_text(_axis_label(axis, unit))
        if axis.parameter.kind == LENGTH and unit == "in":
            _inch_ticks(side, (axis.high - axis.low) / INCH)
    name = plain_text(swept.sheet.client.name, LONGEST_NAME)
    axes.set_title(f"New hip girth over loose foam{': ' + name if name else ''}", loc="left", fontsize=12)
    present = {swept.verdict(r, c) for r in range(rows) for c in range(columns)}
    keys = [
        Patch(facecolor=COLOURS[v], edgecolor=FAINT, label=_region_words(swept, v)) for v in COLOURS if v in present
    ]
    if "-" in present:
        keys.append(Patch(facecolor="#e4e4e4", edgecolor=FAINT, label="cannot be made"))
    drawing.legend(handles=keys, loc="outside lower center", ncols=len(keys), frameon=False)
    return drawing


def _region_words(swept: Sweep, verdict: str) -> str:
    """A region's name and the checks that are gravest in most of it."""
    inside = swept.why[(swept.look > {"watch": 0, "obvious": 1}.get(verdict, np.inf)) & swept.possible]
    if verdict == "watch":
        inside = swept.why[(swept.look > 0) & (swept.look <= 1)]
    names = Counter(str(name) for name in inside if name)
    return verdict + (": " + ", ".join(name for name, _ in names.most_common(2)) if names else "")


def trade_off_chart(swept: Sweep, unit: str) -> Drawing:
    """Added hip against look: every pair as a dot, the front as a line, silhouettes along it."""
    from matplotlib.figure import Figure

    drawing = Figure(figsize=(9.6, 8.0))
    axes = drawing.add_axes((0.09, 0.085, 0.88, 0.5))
    built = swept.possible
    added, look = swept.added[built] / MM_PER[unit], swept.look[built]
    front = swept.front()
    low, high = min(-0.3, float(look.min()) - 0.1), max(1.3, float(look.max()) + 0.15)
    _verdict_bands(axes, low, high)
    axes.plot(added, look, ".", color=FAINT, markersize=2.5, alpha=0.55)
    line = np.array([(swept.added[pair] / MM_PER[unit], swept.look[pair]) for pair in front])
    if len(line):
        axes.plot(*line.T, "-", color=FOAM, linewidth=2)
    axes.set_ylim(low, high)
    span = max(float(np.ptp(added)), 1e-6)
    axes.set_xlim(float(added.min()) - 0.03 * span, float(added.max()) + 0.06 * span)
    axes.set_xlabel(f"added to the hip ({unit})")
    axes.set_ylabel("look of the gravest check: 0 is the watch limit, 1 the obvious limit")
    axes.yaxis.label.set_fontsize(9)
    if front:
        shares = np.linspace(0, len(front) - 1, THUMBNAILS).round().astype(int)
        _figures_over(axes, swept, [front[k] for k in sorted(set(shares))], unit)
    name = plain_text(swept.sheet.client.name, LONGEST_NAME)
    drawing.text(
        0.09,
        0.966,
        f"Best trade-offs between added hip and natural look{': ' + name if name else ''}",
        fontsize=12.5,
        va="center",
    )
    return drawing


def _verdict_bands(axes: Axes, low: float, high: float) -> None:
    """The three verdicts as bands behind a chart, between its lowest and highest look."""
    for bottom, top, verdict in ((low, 0.0, "fine"), (0.0, 1.0, "watch"), (1.0, high, "obvious")):
        axes.axhspan(bottom, top, color=COLOURS[verdict], linewidth=0)
        axes.text(
            0.995,
            (bottom + top) / 2,
            verdict,
            transform=axes.get_yaxis_transform(),
            ha="right",
            va="center",
            color=INK,
            fontsize=11,
            alpha=0.7,
        )


def _figures_over(axes: Axes, swept: Sweep, chosen: Sequence[tuple[int, int]], unit: str) -> None:
    """Silhouettes of some pairs over a chart, all to one scale, each tied to its dot."""
    figure = figure_like(swept.sheet)
    tries = [figure_like(with_values(swept.sheet, swept.changes(*pair)), figure) for pair in chosen]
    widest = max(float(np.abs(tried.after.outline_from(0.0)).max()) for tried in tries)
    for place, (pair, tried) in enumerate(zip(chosen, tries, strict=True)):
        left = 0.09 + 0.88 * place / len(chosen)
        frame = axes.figure.add_axes((left, 0.635, 0.88 / len(chosen), 0.235))
        _thumbnail(frame, tried)
        frame.set_xlim(-1.06 * widest, 1.06 * widest)
        frame.set_ylim(-float(tried.body.drops[-1]), 0)
        frame.set_title(_thumbnail_words(swept, pair, unit), fontsize=8.5, pad=4)
        point = (swept.added[pair] / MM_PER[unit], swept.look[pair])
        axes.plot(*point, "o", color="white", markeredgecolor=FOAM, markersize=7, markeredgewidth=1.6)
        axes.annotate(
            "",
            xy=point,
            xytext=(0.5, 0.0),
            textcoords=frame.transAxes,
            arrowprops={"arrowstyle": "-", "color": FOAM, "lw": 0.8, "alpha": 0.7},
        )


def _thumbnail(axes: Axes, figure: Any) -> None:
    """Front silhouette, body filled and pads beyond it."""
    before, after, z = figure.before.outline_from(0.0), figure.after.outline_from(0.0), -figure.body.drops
    axes.fill_betweenx(z, after[:, 0], after[:, 1], color=FOAM, alpha=0.75, linewidth=0)
    axes.fill_betweenx(z, before[:, 0], before[:, 1], color=SKIN, linewidth=0)
    for outline in after.T:
        axes.plot(outline, z, color=INK, linewidth=0.9)
    axes.set_aspect("equal")
    axes.set_axis_off()


def _thumbnail_words(swept: Sweep, pair: tuple[int, int], unit: str) -> str:
    values = swept.changes(*pair)
    words = [f"hip {format_length(swept.hip[pair], unit)}, {swept.verdict(*pair)}"]
    for axis in (swept.first, swept.second):
        value = values[axis.key]
        if axis.parameter.kind == LENGTH:
            thick = axis.key.endswith("thickness")
            text = thickness_text(value, unit) if thick else format_length(value, unit)
        else:
            text = value_text(axis, value, unit)
        words.append(f"{axis.key.split('.', 1)[1].replace('_', ' ')} {text}")
    return "\n".join(words)


def _label_spot(line: np.ndarray[Any, Any], share: float, x: Any, y: Any) -> Any:
    """A point on a contour for its label: where asked if that is well inside the frame, else nearer its middle."""
    low, span = np.array([x[0], y[0]]), np.array([x[-1] - x[0], y[-1] - y[0]])
    for part in (share, 0.6, 0.5, 0.4, 0.3, 0.2):
        spot = line[int(part * (len(line) - 1))]
        place = (spot - low) / span
        if 0.06 < place[0] < 0.94 and 0.04 < place[1] < 0.96:
            return spot
    return line[len(line) // 2]


def _mark_sheet(axes: Axes, swept: Sweep, unit: str) -> None:
    values = [value_at(swept.sheet, axis.key) for axis in (swept.first, swept.second)]
    if None in values:
        return
    inside = all(a.low <= v <= a.high for a, v in zip((swept.first, swept.second), values, strict=True))
    if not inside:
        return
    at = [_scaled(a, v, unit) for a, v in zip((swept.first, swept.second), values, strict=True)]
    axes.plot([at[0]], [at[1]], "o", color="white", markeredgecolor=INK, markersize=8, markeredgewidth=1.5, zorder=5)
    axes.annotate(
        "the sheet",
        (at[0], at[1]),
        xytext=(9, 7),
        textcoords="offset points",
        fontsize=9,
        color=INK,
        zorder=5,
        bbox={"boxstyle": "round,pad=0.15", "fc": "white", "ec": "none", "alpha": 0.8},
    )


def _steps(low: float, high: float, unit: str) -> np.ndarray[Any, Any]:
    """Round girths between the extremes: a contour every ¼ in to 1 in, or 5 to 25 mm."""
    choices: tuple[float, ...] = (0.125, 0.25, 0.5, 1.0, 2.0, 4.0) if unit == "in" else (0.5, 1.0, 2.0, 2.5, 5.0, 10.0)
    if unit == "mm":
        choices = tuple(10 * c for c in choices)
    step = next((c for c in choices if (high - low) / c <= 12), choices[-1])
    return np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step


def _inch_ticks(side: Any, span: float) -> None:
    """Ticks where a tape has them."""
    from matplotlib.ticker import FuncFormatter, MultipleLocator

    step = next((s for s in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0) if span / s <= 12), 5.0)
    side.set_major_locator(MultipleLocator(step))
    side.set_major_formatter(FuncFormatter(lambda v, _: format_length(v * INCH, "in", sixteenths=True, bare=True)))


def _scaled(axis: Axis, value: float, unit: str) -> float:
    return value / MM_PER[unit] if axis.parameter.kind == LENGTH else value


def _axis_unit(axis: Axis, unit: str) -> str:
    return unit if axis.parameter.kind == LENGTH else axis.parameter.symbol or "share"


def _axis_label(axis: Axis, unit: str) -> str:
    side = next((f", {s} side" for s in ("left", "right") if f".{s}." in axis.key), "")
    return f"{axis.parameter.label}{side} ({_axis_unit(axis, unit)})"
