"""Pads worn round: flat pads laid on the body and raised along its outward normal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import SIDES, Pads, Sheet
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.draft import ROWS, FlatPad, profile_height
from silhouette.shape.drafting import PARTS, Drafted, Part, draft_side
from silhouette.shape.laying import EVENED, on_body


@dataclass(frozen=True, eq=False)
class Pad:
    """One pad on the body, mm.

    Column 0 of its grid is the side seam between the bevels, the last column the free edge from the upper to the
    lower tip; a row runs level from the seam to the inner end of the bevel (column ``inside``) and from there
    square to the edge. The first and the last row therefore run along the seam, out to the tips.

    flat      (R, C, 2) signed distance from the side seam (positive to the front) and drop
    inner     (R, C, 3) on the body
    away      (R, C, 3) unit ways outward, along which the foam is measured
    outer     (R, C, 3) outer face
    thickness (R, C)    foam at each place, bevel included
    edge      (R, C)    flat distance from the nearest bevelled edge, up to the width of the bevel
    outline   (N, 2)    free edge in flat coordinates, tip to tip
    room      (R, C)    foam that has room in the hollows of the body
    clearance           distance left to the centre line at the hip line or wherever it is least; below 0 it runs past
    twin                whether its mirror image was laid on the other side
    narrowed            by how much it was narrowed below the crotch, to the outer side of the leg
    evened              points over which the ways outward were evened out, so that foam in a hollow keeps clear
    """

    side: int  #: +1 wearer's left, -1 right
    part: Part
    flat: Array
    inner: Array
    away: Array
    outer: Array
    thickness: Array
    edge: Array
    outline: Array
    room: Array
    foam: float
    bevel: float
    profile: str
    clearance: float
    inside: int  #: column of the inner end of the bevel
    twin: bool = False
    evened: int = 0
    narrowed: float = 0.0

    @property
    def side_name(self) -> Literal["left", "right"]:
        return "left" if self.side > 0 else "right"

    @property
    def name(self) -> str:
        return f"{self.side_name} {self.part}"

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
    """All pads of a sheet on a body, left before right, front before back.

    Raises ``SheetError`` with every fault when a pad cannot lie on this body.
    """
    faults: list[Fault] = []
    alike = sheet.pads_on("left") == sheet.pads_on("right")
    same = alike and body.even
    laid: list[Pad] = []
    for number, side in enumerate(SIDES[:1] if same else SIDES):
        pads = sheet.pads_on(side)
        place = "pads" if alike else f"pads.{side}"
        own = dict(sheet.left if side == "left" else sheet.right)

        def key(name: str, side: str = side, own: dict[str, object] = own) -> str:
            return f"pads.{side}.{name}" if name in own else f"pads.{name}"

        drafted = draft_side(sheet, pads, body, number, key, rows, faults)
        if not faults:
            laid += _lay_pair(drafted, body, number, foam_thickness(sheet, pads), pads, place, sheet, faults)
    if faults:
        raise SheetError(dict.fromkeys(faults))
    if not same:
        return tuple(laid)
    laid = [replace(pad, twin=True) for pad in laid]
    return (*laid, *(mirrored(pad) for pad in laid))


def _lay_pair(
    drafted: Drafted, body: Body, side: int, foam: float, pads: Pads, place: str, sheet: Sheet, faults: list[Fault]
) -> list[Pad]:
    """The pads of one side on the body, with the ways outward evened out no more than they need."""
    for evened in EVENED:
        laid = []
        for part, flat, narrowed in zip(PARTS, drafted.flats, drafted.narrowed, strict=True):
            if flat is None:
                continue
            try:
                laid.append(replace(_lay(flat, body, side, part, foam, pads, evened), narrowed=narrowed))
            except ValueError as error:
                faults.append(Fault(f"{place}, {part} pad", str(error)))
        if faults or not any(map(crosses_itself, laid)):
            return laid
    names = " and ".join(pad.part for pad in laid if crosses_itself(pad))
    message = (
        f"foam of {_show(foam, sheet)} runs into itself in a hollow of the body: take thinner foam or end it higher"
    )
    faults.append(Fault(f"{place}, {names} pad", message))
    return []


def crosses_itself(pad: Pad) -> bool:
    """Whether the foam is too thick for a hollow it lies in."""
    return bool(np.any(pad.thickness > pad.room))


def mirrored(pad: Pad) -> Pad:
    """The same pad on the other side of the body."""
    flip = np.array([-1.0, 1.0, 1.0])
    return replace(pad, side=-pad.side, inner=pad.inner * flip, away=pad.away * flip, outer=pad.outer * flip)


def is_mirrored(pad: Pad, pads: Sequence[Pad]) -> bool:
    """Whether the mirror image of a pad is among these."""
    return pad.twin and any(p.twin and p.side == -pad.side and p.part == pad.part for p in pads)


def with_foam(pads: Sequence[Pad], foam: Mapping[int, float]) -> tuple[Pad, ...]:
    """The same pads cut from other foam, by side (+1 left, -1 right), mm."""
    made = []
    for pad in pads:
        wanted = foam[pad.side]
        if wanted == pad.foam:
            made.append(pad)
            continue
        scale = wanted / pad.foam
        raised = pad.inner + (pad.outer - pad.inner) * scale
        made.append(replace(pad, foam=wanted, thickness=pad.thickness * scale, outer=raised))
    return tuple(made)


def _lay(flat: FlatPad, body: Body, side: int, part: Part, foam: float, pads: Pads, evened: int) -> Pad:
    sign = 1.0 if part == "front" else -1.0
    laid = on_body(flat, body, side, sign, evened)
    share = flat.edge / pads.bevel if pads.bevel > 0 else np.ones_like(flat.edge)
    thickness = foam * profile_height(pads.profile, share)
    return Pad(
        side=1 if side == 0 else -1,
        part=part,
        flat=np.stack([sign * flat.distance, flat.drop], axis=-1),
        inner=laid.points,
        away=laid.away,
        outer=laid.points + thickness[..., None] * laid.away,
        thickness=thickness,
        edge=flat.edge,
        outline=flat.outline * [sign, 1.0],
        foam=foam,
        bevel=pads.bevel,
        profile=pads.profile,
        room=laid.room,
        clearance=laid.clearance,
        inside=flat.inside,
        evened=evened,
    )
