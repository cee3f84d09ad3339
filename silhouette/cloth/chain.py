"""The chain that a level is worked out as: strips of foam on the body, and the polygon of cloth over them.

Lengths in mm, stress in kPa, tension in N/m (that is kPa·mm, force per unit of height).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.cloth.foam_curve import Law
from silhouette.shape.curves import Array, Flags

THIN: Final = 0.05  #: mm; foam thinner than this is taken as rigid
#: 1/mm²; stiffness that holds the cloth off the body: it sinks in by less than a ten-thousandth of a mm
SKIN: Final = 1e3
WIDENING: Final = 0.4  #: a strip grows from body to cloth by at most this share, which keeps the energy convex


@dataclass(frozen=True)
class Strips:
    """The strips of foam the corners stand for, arrays (L, P).

    ``inner`` width on the body, ``outer`` width at the loose face, ``loose`` thickness, all in mm; ``firm`` marks
    places without foam. ``twin`` says that the second half of each loop mirrors the first, points 0 and P/2 lying
    on the mid-plane; ``half`` strips are open chains between those two.
    """

    body: Array  # (L, P, 2)
    outward: Array  # (L, P, 2), unit
    loose: Array
    inner: Array
    outer: Array
    firm: Flags
    twin: bool = False
    half: bool = False

    @classmethod
    def of(cls, body: Array, outward: Array, loose: Array, twin: bool = False) -> Strips:
        """Strips round closed loops of points: ``body`` and ``outward`` (L, P, 2), ``loose`` (L, P)."""
        inner = _widths(body)
        grown = np.maximum(_widths(body + loose[..., None] * outward), 1e-9)
        outer = np.clip(grown, inner * 0.2, inner / (1 - WIDENING))
        return cls(body, outward, loose, inner, outer, loose < THIN, twin)

    def halved(self) -> Strips:
        """The first half of mirrored loops; the strips on the mid-plane are shared between the halves."""
        count = self.loose.shape[1] // 2 + 1
        share = np.ones(count)
        share[[0, -1]] = 0.5
        inner, outer = self.inner[:, :count] * share, self.outer[:, :count] * share
        first = (self.body[:, :count], self.outward[:, :count], self.loose[:, :count])
        return Strips(*first, inner, outer, self.firm[:, :count], half=True)

    def take(self, rows: NDArray[np.intp] | Flags) -> Strips:
        """The same for some levels only."""
        return Strips(
            self.body[rows],
            self.outward[rows],
            self.loose[rows],
            self.inner[rows],
            self.outer[rows],
            self.firm[rows],
            self.twin,
            self.half,
        )


class Net:
    """What stays the same of strips while cloth over them moves, arrays (L, P)."""

    def __init__(self, strips: Strips) -> None:
        self.bx, self.by = (np.ascontiguousarray(strips.body[..., k]) for k in (0, 1))
        self.nx, self.ny = (np.ascontiguousarray(strips.outward[..., k]) for k in (0, 1))
        self.mx, self.my = after(self.nx), after(self.ny)
        self.firm, self.soft, self.half = strips.firm, ~strips.firm, strips.half
        self.loose, self.outer = strips.loose, strips.outer
        self.over = self.soft / np.where(strips.firm, 1.0, strips.loose)
        self.floor = strips.firm * strips.loose
        self.taper = strips.outer - strips.inner
        weight = self.soft * strips.inner
        self.weight = weight / np.maximum((weight * strips.loose).sum(1), 1e-12)[:, None]
        self.skin = SKIN * strips.inner


class Polygon:
    """The cloth at offsets ``s`` (L, P): unit vectors along its sides, and what each corner's offset does to its
    length (``corner``)."""

    def __init__(self, net: Net, s: Array) -> None:
        x, y = net.bx + s * net.nx, net.by + s * net.ny
        ux, uy = after(x) - x, after(y) - y
        sides = np.sqrt(ux * ux + uy * uy + 1e-18)
        per = 1 / sides
        if net.half:  # no side closes the chain
            per[:, -1] = sides[:, -1] = 0.0
        ux *= per
        uy *= per
        self.per, self.ux, self.uy = per, ux, uy
        self.along, self.along_next = net.nx * ux + net.ny * uy, net.mx * ux + net.my * uy
        self.corner = before(self.along_next) - self.along
        self.length: Array = sides.sum(1)

    def bending(self, net: Net, bend: Array) -> tuple[Array, Array]:
        """Second derivatives of the length: on the diagonal, and between neighbours.

        Exact near rest; far from it the along-part is added, a majorising spring (``bend`` 1) that keeps corners from
        leaping past each other.
        """
        across, across_next = net.nx * self.uy - net.ny * self.ux, net.mx * self.uy - net.my * self.ux
        spring = bend * self.along_next
        ends = before((across_next * across_next + spring * self.along_next) * self.per)
        ends += (across * across + bend * self.along * self.along) * self.per
        return ends, (across * across_next + self.along * spring) * -self.per


class Pressed:
    """Foam and body under the cloth: force of each strip, pressed only where the cloth is inside its loose face, how
    stiff it is, and where the cloth has sunk into the body."""

    def __init__(self, net: Net, foam: Law, s: Array, corner: Array) -> None:
        self.strain = (net.loose - s) * net.over
        pressing = corner > 0
        self.pressed = net.soft & ((self.strain > 0) | ((self.strain == 0) & pressing))
        sunk = net.firm & ((s < net.floor) | ((s == net.floor) & pressing))
        stress, slope = foam.stress(np.minimum(self.strain * self.pressed, foam.lock * (1 - 1e-9)))
        width = net.outer - net.taper * self.strain
        self.force = width * stress * self.pressed
        self.stiff = (width * slope - net.taper * stress) * (net.over * self.pressed)
        self.hold = net.skin * sunk


def _widths(points: Array) -> Array:
    step = after(points)
    step -= points
    side = np.sqrt(step[..., 0] ** 2 + step[..., 1] ** 2)
    half: Array = (side + before(side)) / 2
    return half


def after(x: Array) -> Array:
    """Values (L, P) at the next place round each loop."""
    return np.concatenate((x[:, 1:], x[:, :1]), axis=1)


def before(x: Array) -> Array:
    """Values (L, P) at the place before."""
    return np.concatenate((x[:, -1:], x[:, :-1]), axis=1)
