"""The bevelled edge in section: its small drawing, the carving steps, and the card to check it with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from silhouette.cutting.piece import Line, Note, Piece
from silhouette.cutting.unrolled import QUARTERS
from silhouette.shape.curves import Array
from silhouette.shape.layers import slab_height
from silhouette.shape.pads import Pad


@dataclass(frozen=True)
class Edge:
    """A carved edge: foam thickness, bevel width (mm) and profile name. Pads that share it share the card."""

    foam: float
    bevel: float
    profile: str
    layer: int = 1
    layers: int = 1

    @classmethod
    def of(cls, pad: Pad) -> Edge:
        """The edge of a pad; slabs of a straight edge are all carved alike."""
        slab = (1, 1) if pad.profile == "straight" or pad.bevel <= 0 else (pad.layer, pad.layers)
        return cls(pad.foam, round(pad.bevel, 6), pad.profile, *slab)

    @property
    def shape(self) -> str:
        """Profile in words; a slab carries a part of it."""
        return self.profile if self.layers == 1 else f"{self.profile} (layer {self.layer} of {self.layers})"


def profile_line(edge: Edge, points: int = 41) -> Array:
    """The carved surface in section (N, 2), mm: from the edge (0, 0) up to the full thickness.

    >>> profile_line(Edge(20.0, 40.0, "straight"), 3).tolist()
    [[0.0, 0.0], [20.0, 10.0], [40.0, 20.0]]
    """
    if edge.bevel <= 0:
        return np.array([[0.0, 0.0], [0.0, edge.foam]])
    share = np.linspace(0.0, 1.0, points)
    return np.stack(
        [edge.bevel * share, edge.foam * slab_height(edge.profile, share, edge.layer, edge.layers)], axis=-1
    )


def steps(edge: Edge) -> tuple[tuple[float, float], ...]:
    """Carving steps: foam left (mm) and how far in from the edge (mm), a quarter of the depth at a time.

    >>> steps(Edge(20.0, 40.0, "straight"))
    ((5.0, 10.0), (10.0, 20.0), (15.0, 30.0), (20.0, 40.0))
    """
    line = profile_line(edge, 401)
    found = []
    for q in (*QUARTERS, 1.0):
        inward = edge.bevel if q == 1.0 else float(np.interp(q * edge.foam, line[:, 1], line[:, 0]))
        found.append((q * edge.foam, round(inward, 6)))
    return tuple(found)


def section_lines(edge: Edge, scale: float, x: float, y: float, flip: bool = False) -> tuple[Line, ...]:
    """The section at `scale` with its edge's foot at (x, y); `flip` turns it to run leftward."""
    run = profile_line(edge)
    body = max(6.0, 0.3 * edge.bevel)
    closed = np.concatenate([run, [[edge.bevel + body, edge.foam], [edge.bevel + body, 0.0]]]) * scale
    closed[:, 0] *= -1.0 if flip else 1.0
    return (Line("section", closed + np.array([x, y]), closed=True),)


def card(edge: Edge, text: str) -> Piece:
    """A card that fits over the carved edge: stood on the table against the foam it must show no light."""
    run = profile_line(edge)
    beyond, above = 22.0, 24.0
    outline = np.concatenate(
        [
            [[-16.0, 0.0]],
            run,
            [
                [edge.bevel + beyond, edge.foam],
                [edge.bevel + beyond, edge.foam + above],
                [-16.0, edge.foam + above],
            ],
        ]
    )
    ticks = [
        Line("carve", np.array([[inward, left], [inward, left + 4.0]]))
        for left, inward in steps(edge)
        if edge.bevel > 0
    ]
    middle = (edge.bevel + beyond - 16.0) / 2
    return Piece(
        name=f"edge card, {text}",
        kind="card",
        lines=(Line("cut", outline, closed=True), *ticks),
        notes=(
            Note("edge card", (middle, edge.foam + 15.5), 4.0, bold=True),
            Note(text, (middle, edge.foam + 10.5), 2.6),
        ),
        remark="stiff card; stand it on the table against the carved foam: no light between",
    )
