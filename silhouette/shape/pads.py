"""Pads worn round: flat pads laid on the body and raised along its outward normal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import format_length
from silhouette.asked.pads import Pads
from silhouette.asked.sheet import SIDES, Sheet, Side
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.draft import ROWS, FlatPad, distance_from, is_within
from silhouette.shape.drafting import PARTS, Drafted, Part, Wanted, draft_side, wanted_pads
from silhouette.shape.layers import carved, inner_end
from silhouette.shape.laying import EVENED, on_body
from silhouette.shape.sides import HALF, OTHER

#: Foam thickness over bevel width beyond which no other pad can lie over an edge; this tool's convention: 45°.
STEEPEST: Final = 1.0
ON_EDGE: Final = 1.0  #: mm beside an edge that still count as on it: no outline is cut nearer


@dataclass(frozen=True, eq=False)
class Pad:
    """One pad on the body, mm.

    Column 0 of its grid is the side seam between the bevels, the last column the free edge from the upper to the
    lower tip; a row runs level from the seam to the inner end of the bevel (column ``inside``) and from there
    square to the edge. The first and the last row therefore run along the seam, out to the tips.

    flat      (R, C, 2) signed distance from the side seam (positive to the front) and drop
    inner     (R, C, 3) on the body, or on the foam that lies beneath
    away      (R, C, 3) unit ways outward, along which the foam is measured
    outer     (R, C, 3) outer face
    thickness (R, C)    foam at each place, bevel included
    beneath   (R, C)    foam of other pads between the body and this one
    edge      (R, C)    flat distance from the nearest bevelled edge, up to the width of the bevel
    outline   (N, 2)    free edge in flat coordinates, tip to tip
    rim       (S, 2)    closed line of all that is bevelled: of a pair both free edges
    room      (R, C)    foam that has room in the hollows of the body
    clearance           distance left to the centre line at the hip line or wherever it is least; below 0 it runs past
    twin                whether its mirror image was laid on the other side
    alone               whether it has no mate, so that its seam edge is bevelled too
    narrowed            by how much it was narrowed below the crotch, to the outer side of the leg
    evened              points over which the ways outward were evened out, so that foam in a hollow keeps clear
    label               name of a further pad; empty for the pads of ``[pads]``
    layer, layers       which slab of how many it is, from the body outward
    follows             whether its foam is that of ``[pads]``
    under               the pads that were laid on this side before it
    """

    side: Side  #: the wearer's
    part: Part
    flat: Array
    inner: Array
    away: Array
    outer: Array
    thickness: Array
    beneath: Array
    edge: Array
    outline: Array
    rim: Array
    room: Array
    foam: float
    bevel: float
    profile: str
    clearance: float
    inside: int  #: column of the inner end of the bevel
    twin: bool = False
    alone: bool = False
    evened: int = 0
    narrowed: float = 0.0
    label: str = ""
    layer: int = 1
    layers: int = 1
    follows: bool = True
    under: tuple[Pad, ...] = ()

    @property
    def half(self) -> int:
        """Which half of the body's arrays it lies on."""
        return HALF[self.side]

    @property
    def name(self) -> str:
        slab = f"layer {self.layer}" if self.layers > 1 else ""
        return " ".join(word for word in (self.side, self.label, self.part, slab) if word)

    @property
    def built(self) -> float:
        """Thickness of the whole pad, all its slabs, mm."""
        return self.foam * self.layers

    @property
    def place(self) -> tuple[str, Part, int]:
        """What is the same of a pad and of its mirror image."""
        return self.label, self.part, self.layer

    def along_seam(self, grid: Array) -> Array:
        """What a grid of this pad (R, C, …) holds along the side seam, from the upper to the lower tip."""
        return np.concatenate([grid[0, :0:-1], grid[:, 0], grid[-1, 1:]])


def _show(mm: float, sheet: Sheet) -> str:
    return format_length(mm, sheet.unit)


def foam_thickness(sheet: Sheet, pads: Pads) -> float:
    """What a caliper reads on the foam if it was measured, else the nominal thickness, mm.

    A measurement belongs to the common sheet of foam: a side with a thickness of its own keeps that one.
    """
    if sheet.foam.measured is not None and pads.thickness == sheet.pads.thickness:
        return sheet.foam.measured
    return pads.thickness


def lay_pads(sheet: Sheet, body: Body, rows: int = ROWS) -> tuple[Pad, ...]:
    """All pads of a sheet on a body, left before right; each lies on those before it on its side.

    Raises ``SheetError`` with every fault when a pad cannot lie on this body.
    """
    faults: list[Fault] = []
    sides = [wanted_pads(sheet, side) for side in SIDES]
    alike = [w.pads for w in sides[0]] == [w.pads for w in sides[1]]
    same = alike and body.even
    laid: list[Pad] = []
    for side, wanted in zip(SIDES, sides[:1] if same else sides, strict=False):
        laid += _lay_side(wanted, body, side, sheet, rows, alike, faults)
    if faults:
        raise SheetError(dict.fromkeys(faults))
    if not same:
        return tuple(laid)
    laid = [replace(pad, twin=True) for pad in laid]
    return (*laid, *(mirrored(pad) for pad in laid))


def _lay_side(
    wanted: Sequence[Wanted], body: Body, side: Side, sheet: Sheet, rows: int, alike: bool, faults: list[Fault]
) -> list[Pad]:
    """The pads of one side on the body, with the ways outward evened out no more than they need."""
    before, drafts = len(faults), list[Drafted]()
    for one in wanted:
        fine = 2 if drafts else 1  # what lies over other pads has their edges to follow
        drafts.append(draft_side(sheet, one.pads, body, HALF[side], one.key, fine * (rows - 1) + 1, faults, fine))
    for evened in EVENED if len(faults) == before else ():
        laid: list[Pad] = []
        for one, drafted in zip(wanted, drafts, strict=True):
            for layer, flats in enumerate(drafted.slabs, 1):
                for part, flat, narrowed in zip(PARTS, flats, drafted.narrowed, strict=True):
                    if flat is None:
                        continue
                    try:
                        pad = lay_flat(flat, body, side, part, one, layer, evened, tuple(laid), sheet)
                        laid.append(replace(pad, narrowed=narrowed))
                    except ValueError as error:
                        faults.append(Fault(f"{one.place(alike)}, {part} pad", str(error)))
        bad = [pad for pad in laid if crosses_itself(pad)]
        if len(faults) > before or not bad:
            return laid
        if evened == EVENED[-1]:
            names = " and ".join(dict.fromkeys(pad.part for pad in bad))
            much = _show(max(float((pad.thickness + pad.beneath).max()) for pad in bad), sheet)
            message = f"foam of {much} runs into itself in a hollow of the body: take thinner foam or end it higher"
            faults.append(Fault(f"{wanted[0].place(alike)}, {names} pad", message))
    return []


def crosses_itself(pad: Pad) -> bool:
    """Whether the foam is too thick for a hollow it lies in."""
    return bool(np.any((pad.thickness > 0) & (pad.thickness + pad.beneath > pad.room)))


def mirrored(pad: Pad) -> Pad:
    """The same pad on the other side of the body."""
    flip = np.array([-1.0, 1.0, 1.0])
    inner, away, outer = pad.inner * flip, pad.away * flip, pad.outer * flip
    return replace(pad, side=OTHER[pad.side], inner=inner, away=away, outer=outer)


def mate_of(pad: Pad, pads: Sequence[Pad]) -> Pad | None:
    """The pad that one is sewn to at the side seam, if there is one."""
    return next(
        (p for p in pads if p.side == pad.side and p.part != pad.part and (p.label, p.layer) == (pad.label, pad.layer)),
        None,
    )


def is_mirrored(pad: Pad, pads: Sequence[Pad]) -> bool:
    """Whether the mirror image of a pad is among these."""
    return pad.twin and any(p.twin and p.side == OTHER[pad.side] and p.place == pad.place for p in pads)


def lay_flat(
    flat: FlatPad,
    body: Body,
    side: Side,
    part: Part,
    one: Wanted,
    layer: int,
    evened: int,
    under: tuple[Pad, ...],
    sheet: Sheet,
) -> Pad:
    """One flat pad on the body and on the pads before it. Raises ``ValueError`` where it cannot lie."""
    sign = 1.0 if part == "front" else -1.0
    laid = on_body(flat, body, HALF[side], sign, evened)
    pads, layers = one.pads, int(one.pads.layers)
    foam = foam_thickness(sheet, pads)
    bevel = pads.bevel * (inner_end(pads.profile, layer, layers) - inner_end(pads.profile, layer - 1, layers))
    thickness = foam * carved(flat.edge, bevel, pads.profile, layer, layers)
    places = np.stack([sign * flat.distance, flat.drop], axis=-1)
    beneath = foam_beneath(under, one.label, part, places, over=thickness > 0)
    inner = laid.points + beneath[..., None] * laid.away
    assert flat.rim is not None
    return Pad(
        side=side,
        part=part,
        flat=places,
        inner=inner,
        away=laid.away,
        outer=inner + thickness[..., None] * laid.away,
        thickness=thickness,
        beneath=beneath,
        edge=flat.edge,
        outline=flat.outline * [sign, 1.0],
        rim=flat.rim,
        room=laid.room,
        foam=foam,
        bevel=bevel,
        profile=pads.profile,
        clearance=laid.clearance,
        inside=flat.inside,
        alone=flat.alone,
        evened=evened,
        label=one.label,
        layer=layer,
        layers=layers,
        under=under,
        follows=not one.label or "thickness" not in one.own,
    )


def foam_beneath(
    under: Sequence[Pad], label: str, part: Part, places: Array, over: NDArray[np.bool_] | None = None
) -> Array:
    """Foam at flat places (…, 2) that lies beneath a pad with this name and part."""
    beneath = np.zeros(places.shape[:-1])
    for lower in under:
        if lower.label != label:
            beneath += foam_at(lower, places, over)
        elif lower.part == part:  # a slab of the same pad is full wherever the next one lies
            beneath += lower.foam
    return beneath


def foam_at(pad: Pad, places: Array, over: NDArray[np.bool_] | None = None) -> Array:
    """Foam of a pad at flat places (…, 2); 0 beside it.

    Raises ``ValueError`` when the places ``over`` run over an edge too steep to lie on.
    """
    flat = places.reshape(-1, 2)
    sign = 1.0 if pad.part == "front" else -1.0
    mine = sign * flat[:, 0] >= (-1e-9 if pad.part == "front" or pad.alone else 1e-9)
    half = mine | pad.alone  # beside a pair lies its mate, which is asked by itself
    away = np.full(len(flat), np.inf)
    away[mine] = distance_from(flat[mine, :1], flat[mine, 1:], pad.rim)[:, 0]
    inside = is_within(flat, pad.rim)
    mine &= inside | (away < ON_EDGE)
    foam, covered = np.zeros(len(flat)), flat[mine]
    edge = np.where(inside[mine], np.minimum(away[mine], max(pad.bevel, 0.0)), 0.0)
    if pad.alone and pad.bevel > 0:
        edge *= np.minimum(np.abs(covered[:, 0]) / pad.bevel, 1.0)
    foam[mine] = pad.foam * carved(edge, pad.bevel, pad.profile, pad.layer, pad.layers)
    if over is not None and pad.foam > STEEPEST * pad.bevel:
        here = foam[over.ravel() & half]
        if here.min(initial=pad.foam) < pad.foam - 1e-6 and here.max(initial=0.0) > 0:
            raise ValueError(
                f"lies over the steep edge of the {pad.name} pad: carve that edge wider than its foam is thick"
            )
    return foam.reshape(places.shape[:-1])
