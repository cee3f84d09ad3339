"""Body points, outward directions and loose foam round a level, from a padded figure: what the cloth lies on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from silhouette.cloth.chain import THIN, Strips
from silhouette.shape.body import Body
from silhouette.shape.curves import Array, along, columns_at
from silhouette.shape.cuts import cuts
from silhouette.shape.figure import Figure
from silhouette.shape.pads import is_mirrored
from silhouette.shape.sides import SIGN

Rows = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class _Face:
    """A pad's outer face at some levels: points (R, C, 2) and where each stands along the ring (R, C)."""

    levels: slice
    points: Array
    place: Array
    present: NDArray[np.bool_]
    mirrored: bool  #: worked out on the wearer's left for a pad on the right
    both: bool  #: serves its mirror image too


def strips_on(figure: Figure, rows: Rows) -> Strips:
    """Body points, outward directions and loose foam round the given levels, ready for the cloth.

    The ring runs from the centre front over the wearer's left side and back again: both outer arcs without the
    points they share. Under each column of a pad the nearest ring point is moved to lie exactly below it, so
    that the ring carries the corners the tape touches. Foam is measured along the body's horizontal normal.
    """
    body, square = _ring(figure.body, rows)
    flip = (-np.arange(body.shape[1])) % body.shape[1]
    ends = np.array([-1.0, 1.0])
    left = body, square, along(body)
    right = left if figure.body.even else (body[:, flip] * ends, square[:, flip] * ends, along(body[:, flip]))
    faces = _faces(figure, rows, left, right)
    ring, outward = body.copy(), square.copy()
    twin, middle = figure.body.even, body.shape[1] // 2
    for face in faces:
        r, c = np.nonzero(face.present)
        order = np.argsort(_turns(face)[r, c], kind="stable")  # where columns crowd, the sharpest has the last word
        r, c = r[order], c[order]
        under, square, arc = right if face.mirrored else left
        at, share = columns_at(arc[face.levels], r, face.place[r, c])
        near, share = at + (share > 0.5), share[:, None]
        twin &= face.both and bool((near > 0).all() and (near < middle).all())
        r = r + face.levels.start
        point = under[r, at] * (1 - share) + under[r, at + 1] * share
        normal = square[r, at] * (1 - share) + square[r, at + 1] * share
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
    return Strips.of(ring, outward, loose, twin)


def _turns(face: _Face) -> Array:
    """How sharply the face turns at each of its points (R, C), radians; its ends count as sharpest."""
    step = np.diff(face.points, axis=1)
    towards = np.arctan2(step[..., 1], step[..., 0])
    turn = np.full(face.place.shape, np.pi)
    turn[:, 1:-1] = np.abs((np.diff(towards, axis=1) + np.pi) % (2 * np.pi) - np.pi)
    turn[:, :-1][~face.present[:, 1:]] = np.pi
    return turn


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


_Side = tuple[Array, Array, Array]  #: ring, outward directions, length run along it, as seen from one side


def _faces(figure: Figure, rows: Rows, left: _Side, right: _Side) -> list[_Face]:
    """Where the columns of every pad stand along the ring, each mirrored pair once; ``right`` is the mirror image.

    A face point is dropped on the body at the tangent of the place its distance from the seam points to.
    """
    drops, seam = figure.body.drops[rows], figure.body.seam
    bent = _bend(left)
    bends = bent, bent if right is left else _bend(right)
    faces = []
    for pad in figure.pads:
        both = is_mirrored(pad, figure.pads)
        if both and pad.side == "right":
            continue
        level, cut = cuts(pad, drops)
        if len(level) == 0:
            continue
        point = cut[:, :2] * [float(SIGN[pad.side]), 1.0]
        ring, outward, arc = (left, right)[pad.half]
        bend = bends[pad.half]
        guess = arc[level, seam] - cut[:, 3]  # the distance is positive to the front, the ring runs to the back
        for _ in range(2):
            at, share = columns_at(arc, level, guess)
            near, onward = ring[level, at], share[:, None]
            normal = outward[level, at] * (1 - onward) + outward[level, at + 1] * onward
            offset = point - near - (ring[level, at + 1] - near) * onward
            height = offset[:, 0] * normal[:, 0] + offset[:, 1] * normal[:, 1]
            aside = offset[:, 0] * normal[:, 1] - offset[:, 1] * normal[:, 0]
            guess = guess + aside / np.maximum(1 + height * bend[level, at], 0.2)
        order = np.lexsort((guess, level))
        level, low = level[order] - level.min(), int(level.min())
        count = np.bincount(level)
        column = np.arange(len(level)) - np.repeat(np.cumsum(count) - count, count)
        shape = (len(count), int(count.max()))
        present = np.arange(shape[1]) < count[:, None]
        points, place = np.zeros((*shape, 2)), np.zeros(shape)
        points[level, column], place[level, column] = point[order], guess[order]
        # Levels with fewer cuts are filled up: those places stand just outside the pad's own.
        last = np.take_along_axis(place, np.maximum(count - 1, 0)[:, None], axis=1)
        place = np.where(present, place, last + 1e-3)
        span = slice(low, low + shape[0])
        faces.append(
            _Face(
                span,
                points,
                place,
                present,
                pad.side == "right",
                both,
            )
        )
    return faces


def _bend(side: _Side) -> Array:
    """Turn of the outward direction for each mm along the ring (R, P)."""
    _, outward, arc = side
    turn = np.unwrap(np.arctan2(outward[..., 0], outward[..., 1]), axis=1)
    return np.asarray(np.gradient(turn, axis=1) / np.maximum(np.gradient(arc, axis=1), 1e-6))


def _raised(face: _Face, ring: Array, outward: Array, arc: Array) -> Array:
    """Height of a pad's outer face over ring points (R, P), 0 where there is no foam.

    The face is a polygon through its columns, as the tape takes it, so its chords are followed.
    """
    raised = np.zeros(arc.shape)
    ends = face.place[:, :1] - 1e-6, np.where(face.present, face.place, -np.inf).max(axis=1, keepdims=True) + 1e-6
    row, column = np.nonzero((arc >= ends[0]) & (arc <= ends[1]))
    index, share = columns_at(face.place, row, arc[row, column])
    start = face.points[row, index]
    end = np.where(face.present[row, index + 1][:, None], face.points[row, index + 1], start)
    offset = start + (end - start) * share[:, None] - ring[row, column]
    normal = outward[row, column]
    raised[row, column] = offset[:, 0] * normal[:, 0] + offset[:, 1] * normal[:, 1]
    return np.maximum(raised, 0.0)
