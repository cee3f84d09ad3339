"""The shell over a padded figure: the girth it is cut to, and what is worn under it.

A shell is graded like the figure it covers. Of what the pads add, it leaves the same share at every level; that
share is set at the new hip. Ease, or whatever a loose shell has over the tape, is the same everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.judged.foam import Foam, foam_asked
from silhouette.judged.taut import THIN, Strips
from silhouette.judged.worn import Worn, felt, lying_on, under_shell
from silhouette.shape.body import Body
from silhouette.shape.curves import Array, along, columns_at
from silhouette.shape.figure import Figure
from silhouette.shape.pads import at_levels
from silhouette.shape.tape import Tape, support

#: Pull at which the stretch of a woven cloth is read: 6 N per cm of width (EN 14704-1, seen).
STRETCH_PULL: Final = 600.0
Rows = NDArray[np.intp]
GRIP: Final = 0.5  #: mm; a shell tighter than the tape by less than this is called loose


@dataclass(frozen=True, eq=False)
class Shell:
    """The shell over one figure padded with loose foam. Lengths in mm, tension in N/m, pressure in kPa.

    Everything is worked out when first asked for; a preview without a shell of its own costs nothing here.
    """

    figure: Figure

    @property
    def given(self) -> bool:
        """Whether the sheet says what the shell is cut to."""
        return self.figure.sheet.cloth.shell_hip is not None

    @cached_property
    def _asked(self) -> tuple[Foam, str]:
        return foam_asked(self.figure.sheet.foam)

    @property
    def foam(self) -> Foam:
        """Compression curve of the sheet's foam."""
        return self._asked[0]

    @property
    def foam_words(self) -> str:
        """Where the curve came from, in a few words."""
        return self._asked[1]

    @property
    def stiffness(self) -> float:
        """Pull that would double the cloth's length; infinite where it does not stretch."""
        cloth = self.figure.sheet.cloth
        if cloth.stiffness is not None:
            return cloth.stiffness
        return STRETCH_PULL / (cloth.stretch / 100) if cloth.stretch else np.inf

    @cached_property
    def snug_hip(self) -> float:
        """Girth at the new hip that presses out the share of foam which the sheet allows, before ease."""
        figure, row = self.figure, self.figure.new_hip_row
        loose, squeeze = float(figure.after.girth[row]), figure.sheet.cloth.squeeze
        if not figure.pads or squeeze <= 0:
            return loose
        here = np.array([row])
        snug = lying_on(strips_on(figure, here), self.foam, np.array([loose]), squeeze / 100)
        return float(np.clip(snug.girth[0], figure.before.girth[row], loose))

    @property
    def cut_hip(self) -> float:
        """What to cut the shell to at the new hip when nothing else is said: the snug girth plus ease."""
        return self.snug_hip + self.figure.sheet.cloth.ease

    @cached_property
    def girth(self) -> Array:
        """What the shell is cut to at every level (L,), without seam allowance."""
        figure, row, cloth = self.figure, self.figure.new_hip_row, self.figure.sheet.cloth
        bare, loose = figure.before.girth, figure.after.girth
        room = float(loose[row] - bare[row])
        if cloth.shell_hip is None:
            lying, ease = self.snug_hip, cloth.ease
        else:
            lying = min(cloth.shell_hip, float(loose[row]))
            ease = cloth.shell_hip - lying
        share = np.clip((lying - bare[row]) / room, 0.0, 1.0) if room > 1e-9 else 1.0
        return np.asarray(bare + share * (loose - bare) + ease)

    @property
    def hip(self) -> float:
        """Girth the shell is cut to at the level of the new hip."""
        return float(self.girth[self.figure.new_hip_row])

    @cached_property
    def rows(self) -> Rows:
        """Levels at which the shell is tighter than a tape over loose foam."""
        return np.flatnonzero(self.girth < self.figure.after.girth - GRIP)

    @property
    def tight(self) -> bool:
        """Whether the shell squeezes the foam anywhere."""
        return len(self.rows) > 0

    @cached_property
    def _strips(self) -> Strips:
        return strips_on(self.figure, self.rows)

    @cached_property
    def worn(self) -> Worn:
        """What the shell does at ``rows``, in the order of ``rows``."""
        loose = self.figure.after.girth[self.rows]
        return under_shell(self._strips, self.foam, self.girth[self.rows], loose, self.stiffness)

    @cached_property
    def worn_figure(self) -> Figure:
        """The figure that is seen: its ``after`` is the tape over the shell where that is tight."""
        if not self.tight:
            return self.figure
        faces = self._strips.body + self.worn.thickness[..., None] * self._strips.outward
        h = self.figure.after.h.copy()
        reach = support(faces, h.shape[1])
        h[self.rows] = np.clip(reach, self.figure.before.h[self.rows], h[self.rows])
        return replace(self.figure, after=Tape(self.figure.after.drops, self.figure.after.directions, h))

    @cached_property
    def worn_girth(self) -> Array:
        """Tape reading over the shell, pressed to it, at every level (L,)."""
        girth = self.figure.after.girth.copy()
        if self.tight:
            girth[self.rows] = np.maximum(self.worn.girth, self.figure.before.girth[self.rows])
        return girth

    @property
    def worn_hip(self) -> float:
        """Largest worn girth in the hip zone."""
        return float(self.worn_girth[self.figure.hip_zone].max())

    @property
    def squeeze(self) -> float:
        """Largest share of the foam pressed out at any level whose foam matters."""
        return float(self._weighed(self.worn.squeeze).max()) if self.tight else 0.0

    @property
    def squeeze_at_hip(self) -> float:
        """Share of the foam pressed out at the level of the new hip."""
        at = np.flatnonzero(self.rows == self.figure.new_hip_row)
        return float(self.worn.squeeze[at[0]]) if len(at) else 0.0

    @property
    def tension(self) -> float:
        """Largest pull in the cloth, N per metre of height."""
        return float(self.worn.tension.max()) if self.tight else 0.0

    @property
    def pressure(self) -> tuple[float, int, float]:
        """Largest pressure on the body (kPa, felt over a fingertip), its level, and its direction in radians."""
        if not self.tight:
            return 0.0, self.figure.new_hip_row, 0.0
        even = felt(self._strips, self.worn.pressure)
        row, column = np.unravel_index(int(np.argmax(even)), even.shape)
        x, y = self._strips.outward[row, column]
        return float(even[row, column]), int(self.rows[row]), float(np.arctan2(y, x))

    @property
    def closes(self) -> bool:
        """False where no cloth would close round the figure at this girth."""
        return not self.tight or bool(self.worn.closes.all())

    def _weighed(self, values: Array) -> Array:
        """Values at levels whose foam is at least half as thick as the pad's; near its tips little is left."""
        thick = self._strips.loose.max(axis=1)
        return np.where(thick >= 0.5 * thick.max(), values, 0.0)


@dataclass(frozen=True, eq=False)
class _Face:
    """A pad's outer face at some levels: points (R, C, 2) and where each stands along the ring (R, C)."""

    levels: slice
    points: Array
    place: Array
    there: NDArray[np.bool_]
    mirrored: bool  #: worked out on the wearer's left for a pad on the right
    both: bool  #: serves its mirror image too
    edge_first: bool  #: columns run from the free edge to the seam


def strips_on(figure: Figure, rows: Rows) -> Strips:
    """Body points, outward directions and loose foam round the given levels, ready for the cloth.

    The ring runs from the centre front over the wearer's left side and back again: both outer arcs without the
    points they share. Under each column of a pad the nearest ring point is moved to lie exactly below it, so
    that the ring carries the corners the tape touches. Foam is measured along the body's horizontal normal.
    """
    ring, outward = _ring(figure.body, rows)
    arc = along(ring)
    faces = _faces(figure, rows, ring, outward, arc)
    flip = (-np.arange(arc.shape[1])) % arc.shape[1]
    ends = np.array([-1.0, 1.0])
    for face in faces:
        at, fraction = _between(arc[face.levels], face.place)
        near = at + (fraction > 0.5)
        r, c = np.nonzero(face.there)
        if face.edge_first:  # where columns crowd, the free edge has the last word: it is the hull's corner
            r, c = r[::-1], c[::-1]
        near, at, share = near[r, c], at[r, c], fraction[r, c][:, None]
        r = r + face.levels.start
        point = ring[r, at] * (1 - share) + ring[r, at + 1] * share
        normal = outward[r, at] * (1 - share) + outward[r, at + 1] * share
        normal /= np.hypot(normal[:, 0], normal[:, 1])[:, None]
        if face.both or not face.mirrored:
            ring[r, near], outward[r, near] = point, normal
        if face.both or face.mirrored:
            ring[r, flip[near]], outward[r, flip[near]] = point * ends, normal * ends
    arc = along(ring)
    loose = np.zeros(arc.shape)
    for face in faces:
        part = face.levels
        if face.mirrored:
            here = ring[part][:, flip] * ends, outward[part][:, flip] * ends
            foam = _raised(face, *here, along(here[0]))[:, flip]
        else:
            foam = _raised(face, ring[part], outward[part], arc[part])
        loose[part] = np.maximum(loose[part], foam)
        if face.both:
            loose[part] = np.maximum(loose[part], foam[:, flip])
    loose[loose < THIN] = 0.0
    return Strips.of(ring, outward, loose)


def _ring(body: Body, rows: Rows) -> tuple[Array, Array]:
    parts = []
    for grid in (body.outer, body.normals):
        back = grid[1, rows][:, -2:0:-1, :2]
        parts.append(np.concatenate([grid[0, rows][..., :2], back], axis=1))
    ring, outward = parts
    # Between the legs the two arcs end apart; one point in the middle stands for both, far inside any taut cloth.
    middle = [0, body.outer.shape[2] - 1]
    ring[:, middle, 0] = outward[:, middle, 0] = 0.0
    size = np.sqrt(outward[..., 0] ** 2 + outward[..., 1] ** 2)
    outward /= np.maximum(size, 1e-9)[..., None]
    return ring, outward


def _faces(figure: Figure, rows: Rows, ring: Array, outward: Array, arc: Array) -> list[_Face]:
    """Where the columns of every pad stand along the ring, each mirrored pair once.

    A face point is dropped on the body at the tangent of the nearest ring point.
    """
    turn = np.unwrap(np.arctan2(outward[..., 0], outward[..., 1]), axis=1)
    bend = np.gradient(turn, axis=1) / np.maximum(np.gradient(arc, axis=1), 1e-6)
    drops = figure.body.drops[rows]
    faces = []
    for pad in figure.pads:
        mates = [p for p in figure.pads if p.part == pad.part and p.thickness is pad.thickness]
        if len(mates) == 2 and pad.side < 0:
            continue
        levels, points, _ = at_levels(pad, drops)
        if levels.stop <= levels.start:
            continue
        there = (points != 0).any(axis=-1)
        points = points * [float(pad.side), 1.0]
        part = ring[levels]
        far = points @ (-2 * part.swapaxes(1, 2))
        far += (part[..., 0] ** 2 + part[..., 1] ** 2)[:, None, :]
        near = far.argmin(axis=2)
        row = np.arange(len(part))[:, None]
        normal, offset = outward[levels][row, near], points - part[row, near]
        height = offset[..., 0] * normal[..., 0] + offset[..., 1] * normal[..., 1]
        aside = offset[..., 0] * normal[..., 1] - offset[..., 1] * normal[..., 0]
        place = arc[levels][row, near] + aside / np.maximum(1 + height * bend[levels][row, near], 0.2)
        if pad.part == "front":  # its columns run from the seam against the ring
            place, points, there = place[:, ::-1], points[:, ::-1], there[:, ::-1]
        # Levels with fewer cuts are filled up: those places stand just outside the pad's own.
        first = np.where(there, place, np.inf).min(axis=1, keepdims=True)
        last = np.where(there, place, -np.inf).max(axis=1, keepdims=True)
        filled = first - 1e-3 if pad.part == "front" else last + 1e-3
        place = np.maximum.accumulate(np.where(there, place, filled), axis=1)
        faces.append(_Face(levels, points, place, there, pad.side < 0, len(mates) == 2, pad.part == "front"))
    return faces


def _raised(face: _Face, ring: Array, outward: Array, arc: Array) -> Array:
    """Height of a pad's outer face over ring points (R, P), 0 where there is no foam.

    The face is a polygon through its columns, as the tape takes it, so its chords are followed.
    """
    row = np.arange(len(ring))[:, None]
    index, fraction = _between(face.place, arc)
    start = face.points[row, index]
    surface = start + (face.points[row, index + 1] - start) * fraction[..., None]
    surface -= ring
    height = surface[..., 0] * outward[..., 0] + surface[..., 1] * outward[..., 1]
    covered = (arc >= face.place[:, :1] - 1e-6) & (arc <= face.place[:, -1:] + 1e-6)
    covered &= face.there[row, index] & (face.there[row, index + 1] | (fraction < 1e-9))
    return np.asarray(np.maximum(height, 0.0) * covered)


def _between(table: Array, wanted: Array) -> tuple[Rows, Array]:
    """Where ``wanted`` (R, W) stands in ascending rows ``table`` (R, K): left index and fraction, both (R, W)."""
    rows = np.repeat(np.arange(len(table)), wanted.shape[1])
    index, fraction = columns_at(table, rows, wanted.ravel())
    return index.reshape(wanted.shape), fraction.reshape(wanted.shape)
