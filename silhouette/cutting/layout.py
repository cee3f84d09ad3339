"""Laying pieces on a sheet of given width so that little is wasted.

A plain packer: pieces are put on a grid of small cells one after the other, each at the place that keeps the
sheet shortest; several orders are tried and the best is kept. Outlines are grown by half a cell diagonal and
half the knife's gap before they are put on the grid, so pieces can never overlap, whatever the cell size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from silhouette.asked.faults import SilhouetteError
from silhouette.shape.curves import Array

Mask = NDArray[np.bool_]


class TooNarrow(SilhouetteError):
    """A piece is wider than the sheet in every allowed turn; carries its `name` and `needed` width, mm."""

    def __init__(self, name: str, needed: float) -> None:
        self.name, self.needed = name, needed
        super().__init__(f"{name} needs a sheet at least {needed:.0f} mm wide")


@dataclass(frozen=True, eq=False)
class Placed:
    """One piece: `outline` (N, 2) in mm from the sheet's lower left corner, turned by `turn` degrees."""

    name: str
    outline: Array
    turn: int


@dataclass(frozen=True)
class Layout:
    """A filled sheet: its width, the length used, and where each piece lies."""

    width: float
    length: float
    placed: tuple[Placed, ...]
    area: float  #: of the pieces, mm²

    @property
    def waste(self) -> float:
        """Share of the used sheet that is left over, 0 to 1."""
        return 1.0 - self.area / (self.width * self.length)


def nest(
    outlines: Sequence[tuple[str, Array]],
    width: float,
    turns: tuple[int, ...] = (0, 90, 180, 270),
    gap: float = 6.0,
    cell: float = 4.0,
    orders: int = 6,
) -> Layout:
    """Lay `outlines`, pairs of name and (N, 2) in mm, on a sheet `width` mm wide.

    Pieces may be turned by `turns` degrees, never turned over. `gap` is kept between pieces and half of it to
    the sheet's edge. Raises `TooNarrow` for the piece that fits least.
    """
    from shapely import Polygon

    columns = int(width // cell)  # a grown outline reaches past its own by more than the edge's share of the gap
    shapes: list[list[tuple[int, Mask, Array]]] = []
    short: list[tuple[float, str]] = []
    for name, outline in outlines:
        choices = []
        for turn in turns:
            turned = outline @ _turn(turn).T
            mask, origin = _mask(Polygon(turned), cell, gap)
            if mask.shape[1] <= columns:
                choices.append((turn, mask, turned - origin))
        if not choices:
            least = min(float(np.ptp((outline @ _turn(t).T)[:, 0])) for t in turns)
            short.append((least + gap + 2 * cell, name))
        shapes.append(choices)
    if short:
        needed, name = max(short, key=lambda s: round(s[0], 3))
        raise TooNarrow(name, needed)
    sizes = [Polygon(outline).area for _, outline in outlines]
    best: tuple[float, list[Placed]] | None = None
    for order in _orders(sizes, orders):
        filled = _fill([(outlines[k][0], shapes[k]) for k in order], columns, cell, gap)
        length = max(float(p.outline[:, 1].max()) for p in filled) + gap / 2
        if best is None or length < best[0] - 1e-6:
            best = (length, [filled[order.index(k)] for k in range(len(order))])
    assert best is not None
    return Layout(width, best[0], tuple(best[1]), float(sum(sizes)))


def _turn(degrees: int) -> Array:
    c, s = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[degrees]
    return np.array([[c, -s], [s, c]], dtype=np.float64)


def _orders(sizes: list[float], most: int) -> list[tuple[int, ...]]:
    """Largest first, then other orders for as long as they differ."""
    by_size = tuple(sorted(range(len(sizes)), key=lambda k: -sizes[k]))
    if len(sizes) <= 3:
        return list(permutations(by_size))[:most]
    draw = np.random.default_rng(1)
    others = [tuple(by_size[int(i)] for i in draw.permutation(len(sizes))) for _ in range(most - 2)]
    return [by_size, by_size[::2] + by_size[1::2], *others]


def _mask(polygon: object, cell: float, gap: float) -> tuple[Mask, Array]:
    """Cells that a grown polygon may touch, and the point that its cell (0, 0) starts at."""
    import shapely

    grown = shapely.buffer(polygon, gap / 2 + cell * 0.7072)
    x0, y0, x1, y1 = shapely.bounds(grown)
    across, along = int(np.ceil((x1 - x0) / cell)), int(np.ceil((y1 - y0) / cell))
    x, y = np.meshgrid(x0 + (np.arange(across) + 0.5) * cell, y0 + (np.arange(along) + 0.5) * cell)
    mask = np.asarray(shapely.contains_xy(grown, x.ravel(), y.ravel()).reshape(x.shape), dtype=np.bool_)
    # Rows and columns without a cell would only keep the piece off the edge.
    rows, cols = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    trimmed = mask[rows[0] : rows[-1] + 1, cols[0] : cols[-1] + 1]
    return trimmed, np.array([x0 + cols[0] * cell, y0 + rows[0] * cell])


def _fill(
    pieces: list[tuple[str, list[tuple[int, Mask, Array]]]], columns: int, cell: float, gap: float
) -> list[Placed]:
    rows = sum(min(mask.shape[0] for _, mask, _ in choices) for _, choices in pieces)
    rows += max(mask.shape[0] for _, choices in pieces for _, mask, _ in choices)
    taken = np.zeros((rows, columns), dtype=np.float32)
    placed = []
    for name, choices in pieces:
        candidates = []
        reach = int(np.flatnonzero(taken.any(axis=1)).max(initial=-1)) + 1
        for turn, mask, outline in choices:
            window = taken[: reach + mask.shape[0]]
            free = np.argwhere(_overlap(window, mask) < 0.5)
            top = np.maximum(free[:, 0] + mask.shape[0], reach)
            k = np.lexsort((free[:, 1], free[:, 0] + mask.shape[0], top))[0]
            row, col = int(free[k, 0]), int(free[k, 1])
            candidates.append((int(top[k]), row + mask.shape[0], col, turn, row, mask, outline))
        _, _, col, turn, row, mask, outline = min(candidates, key=lambda c: c[:4])
        taken[row : row + mask.shape[0], col : col + mask.shape[1]] += mask
        shift = np.array([col, row]) * cell
        placed.append(Placed(name, outline + shift, turn))
    return placed


def _overlap(taken: NDArray[np.float32], mask: Mask) -> Array:
    """Cells shared when `mask` starts at each cell of `taken`, by one product of Fourier transforms."""
    size = [_handy(n) for n in taken.shape]
    product = np.fft.rfft2(taken, size) * np.conj(np.fft.rfft2(mask.astype(np.float32), size))
    shared = np.fft.irfft2(product, size)
    rows, columns = taken.shape[0] - mask.shape[0] + 1, taken.shape[1] - mask.shape[1] + 1
    return np.asarray(shared[:rows, :columns], dtype=np.float64)


def _handy(n: int) -> int:
    """The next number whose only factors are 2, 3 and 5, for which the transform is quick.

    >>> _handy(97), _handy(128)
    (100, 128)
    """
    while True:
        rest = n
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return n
        n += 1
