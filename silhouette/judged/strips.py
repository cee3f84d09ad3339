"""Body points, outward directions and loose foam round a level, from a padded figure: what the cloth lies on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from silhouette.judged.taut import THIN, Strips
from silhouette.shape.body import Body
from silhouette.shape.curves import Array, along, columns_at
from silhouette.shape.figure import Figure
from silhouette.shape.pads import at_levels

Rows = NDArray[np.intp]


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
