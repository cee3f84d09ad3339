"""Pads as the shell leaves them: the same grids with the foam pressed in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from silhouette.cloth.shell import Shell
from silhouette.shape.curves import Array, between, columns_at
from silhouette.shape.pads import Pad


def pressed_pads(shell: Shell, pads: Sequence[Pad]) -> tuple[Pad, ...]:
    """Pads of this figure, of any fineness, with their outer face where the shell holds it.

    Each place keeps the share of its loose thickness that the cloth leaves at that level and distance from the seam.
    """
    if not shell.tight:
        return tuple(pads)
    left = _share_left(shell)
    return tuple(_press(pad, left[pad.half], shell) for pad in pads)


def _share_left(shell: Shell) -> Array:
    """Share of the loose thickness left on both halves of the body, (2, L, K)."""
    body = shell.figure.body
    levels, columns = body.arc.shape[1:]
    ring = 2 * (columns - 1)
    loose, left = shell.loose_thickness, shell.worn.thickness
    share = np.ones((levels, ring))
    share[shell.rows] = np.where(loose > 0, left / np.where(loose > 0, loose, 1.0), 1.0)
    across = np.arange(columns)
    return np.stack([share[:, across], share[:, -across % ring]])


def _press(pad: Pad, share: Array, shell: Shell) -> Pad:
    body = shell.figure.body
    away = -body.arc[pad.half]
    drop, aside = -pad.inner[..., 2].ravel(), -pad.flat[..., 0].ravel()
    upper, down = between(body.drops, drop)
    down = np.clip(down, 0.0, 1.0)
    kept = np.zeros(len(drop))
    for level, weight in ((upper, 1 - down), (upper + 1, down)):
        index, fraction = columns_at(away, level, aside)
        kept += weight * (share[level, index] * (1 - fraction) + share[level, index + 1] * fraction)
    grid = kept.reshape(pad.thickness.shape)
    thickness, beneath = pad.thickness * grid, pad.beneath * grid
    inner = pad.inner + (beneath - pad.beneath)[..., None] * pad.away
    raised = inner + thickness[..., None] * pad.away
    return replace(pad, inner=inner, outer=raised, thickness=thickness, beneath=beneath)
