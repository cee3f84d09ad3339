"""Pads that were laid, taken as of other foam: thicker or thinner sheets, or slabs as one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from silhouette.asked.sheet import Side
from silhouette.shape.layers import inner_end
from silhouette.shape.pads import Pad


def with_foam(pads: Sequence[Pad], foam: Mapping[Side, float] | Callable[[Pad], float]) -> tuple[Pad, ...]:
    """The same pads of other foam, mm: pad by pad, or by side for those that follow ``[pads]``.

    What lies beneath a pad changes in proportion.
    """
    built = []
    for pad in pads:
        wanted = foam(pad) if callable(foam) else foam[pad.side] if pad.follows else pad.foam
        if wanted == pad.foam:
            built.append(pad)
            continue
        scale = wanted / pad.foam
        thickness, beneath = pad.thickness * scale, pad.beneath * scale
        inner = pad.inner + (beneath - pad.beneath)[..., None] * pad.away
        raised = inner + thickness[..., None] * pad.away
        built.append(replace(pad, foam=wanted, thickness=thickness, beneath=beneath, inner=inner, outer=raised))
    return tuple(built)


def whole_pads(pads: Sequence[Pad]) -> tuple[Pad, ...]:
    """Pads built of slabs as one pad each, of the whole thickness, the edge carved through."""
    kept = []
    for pad in pads:
        if pad.layers == 1:
            kept.append(pad)
        elif pad.layer == 1:
            whole = pad.bevel / inner_end(pad.profile, 1, pad.layers)
            under = tuple(lower for lower in pad.under if lower.label != pad.label)
            kept.append(replace(pad, foam=pad.foam * pad.layers, bevel=whole, layers=1, under=under))
    return tuple(kept)
