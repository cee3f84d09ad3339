"""Pads worn round: flat pads laid on the body and raised along its outward normal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import in_unit
from silhouette.asked.sheet import SIDES, Pads, Sheet
from silhouette.shape.body import Body
from silhouette.shape.curves import Array, rows_at
from silhouette.shape.measures import front_reach_of
from silhouette.shape.outline import COLUMNS, ROWS, FlatPad, flat_pads, free_edge, profile_height


@dataclass(frozen=True, eq=False)
class Pad:
    """One pad on the body, mm. Rows run from the upper to the lower tip, columns from the side seam to the free edge.

    flat      (R, C, 2) signed distance from the side seam (positive to the front) and drop
    inner     (R, C, 3) on the body
    outer     (R, C, 3) outer face
    thickness (R, C)    foam at each place, bevel included
    edge      (R, C)    flat distance from the nearest bevelled edge
    outline   (N, 2)    free edge in flat coordinates, tip to tip
    clearance           distance left to the centre line at the hip line or wherever it is least; below 0 it runs past
    """

    side: int  #: +1 wearer's left, -1 right
    part: str  #: "front" or "back"
    flat: Array
    inner: Array
    outer: Array
    thickness: Array
    edge: Array
    outline: Array
    foam: float
    bevel: float
    profile: str
    clearance: float

    @property
    def name(self) -> str:
        return f"{'left' if self.side > 0 else 'right'} {self.part}"


def foam_thickness(sheet: Sheet, pads: Pads) -> float:
    """What a caliper reads on the foam if it was measured, else the nominal thickness, mm.

    A measurement belongs to the common sheet of foam: a side with a thickness of its own keeps that one.
    """
    if sheet.foam.measured is not None and pads.thickness == sheet.pads.thickness:
        return sheet.foam.measured
    return pads.thickness


def lay_pads(sheet: Sheet, body: Body, rows: int = ROWS, columns: int = COLUMNS) -> tuple[Pad, ...]:
    """All pads of a sheet on a body, left before right, front before back.

    Raises ``SheetError`` with every fault when a pad cannot lie on this body.
    """
    faults: list[Fault] = []
    same = sheet.pads_on("left") == sheet.pads_on("right")
    laid: list[Pad] = []
    for number, side in enumerate(SIDES[:1] if same else SIDES):
        pads = sheet.pads_on(side)
        flats = _draft(sheet, pads, body, side, rows, columns, faults)
        foam = foam_thickness(sheet, pads)
        for part, flat in zip(("front", "back"), flats, strict=True):
            if flat is not None and not faults:
                try:
                    laid.append(_lay(flat, body, number, part, foam, pads))
                except ValueError as error:
                    faults.append(Fault(f"pads.{side} {part}", str(error)))
    if faults:
        raise SheetError(dict.fromkeys(faults))
    return (*laid, *(mirrored(pad) for pad in laid)) if same else tuple(laid)


def mirrored(pad: Pad) -> Pad:
    """The same pad on the other side of the body."""
    flip = np.array([-1.0, 1.0, 1.0])
    return Pad(
        -pad.side, pad.part, pad.flat, pad.inner * flip, pad.outer * flip, pad.thickness, pad.edge,
        pad.outline, pad.foam, pad.bevel, pad.profile, pad.clearance,
    )  # fmt: skip


def _draft(
    sheet: Sheet, pads: Pads, body: Body, side: str, rows: int, columns: int, faults: list[Fault]
) -> tuple[FlatPad | None, FlatPad | None]:
    m = body.measures
    own = dict(sheet.left if side == "left" else sheet.right)

    def fault(name: str, mm: float, message: str) -> None:
        place = f"pads.{side}.{name}" if name in own else f"pads.{name}"
        faults.append(Fault(f"{place} = {in_unit(mm, sheet.unit):.5g} {sheet.unit}", message))

    def show(mm: float) -> str:
        return f"{in_unit(mm, sheet.unit):.4g} {sheet.unit}"

    end = m.under_seat_drop if pads.end is None else pads.end
    drafted_by_numbers = (pads.front and pads.front_outline is None) or (pads.back and pads.back_outline is None)
    before = len(faults)
    if drafted_by_numbers:
        if pads.start > m.hip_drop - 20:
            fault("start", pads.start, f"must lie at least {show(20)} above the hip line, which is {show(m.hip_drop)} below the waist")
        if end < m.hip_drop + 20:
            fault("end", end, f"must lie at least {show(20)} below the hip line, which is {show(m.hip_drop)} below the waist")
    for part, points in (("front", pads.front_outline), ("back", pads.back_outline)):
        if points is not None and getattr(pads, part) and points[-1][1] > m.knee_drop - 20:
            fault(f"{part}_outline", points[-1][1], "runs below the knee, where the body ends")
    if end > m.knee_drop - 20:
        fault("end", end, f"runs below the knee, which is {show(m.knee_drop)} below the waist")
    hip_row = int(np.argmin(np.abs(body.drops - m.hip_drop)))
    half_back = float(-body.arc[hip_row, -1])
    reach = front_reach_of(sheet, pads)
    back_reach = half_back - pads.back_gap
    edges: list[Array | None] = []
    for part, points, wide, key, mm in (
        ("front", pads.front_outline, reach, "front_reach", reach),
        ("back", pads.back_outline, back_reach, "back_gap", pads.back_gap),
    ):
        if not getattr(pads, part):
            edges.append(None)
            continue
        if points is None and wide < 20:
            fault(key, mm, f"leaves a {part} pad {show(max(wide, 0))} wide; it needs at least {show(20)}")
        elif points is None and pads.bevel > wide:
            fault("bevel", pads.bevel, f"wider than the {part} pad, which reaches {show(wide)}")
        edges.append(None)
        if len(faults) == before:
            edges[-1] = free_edge(wide, m.hip_drop, pads, end, points, rows)
    if len(faults) > before:
        return None, None
    front, back = edges
    if front is not None and back is not None and (
        abs(front[0, 1] - back[0, 1]) > 1 or abs(front[-1, 1] - back[-1, 1]) > 1
    ):  # fmt: skip
        faults.append(
            Fault(f"pads.{side}", "front and back outline must begin and end at the same drops: they are sewn together")
        )
        return None, None
    if front is None and back is None:
        return None, None
    return flat_pads((front, back), pads.bevel, columns)


def _lay(flat: FlatPad, body: Body, side: int, part: str, foam: float, pads: Pads) -> Pad:
    sign = 1.0 if part == "front" else -1.0
    drops = flat.drop[:, 0]
    arc, points, normals, room = _rows_of(body, side, drops, sign, float(flat.distance.max()))
    clearance = float((room - flat.distance.max(axis=1)).min())
    index, fraction = rows_at(arc, flat.distance)
    row = np.arange(len(drops))[:, None]
    f = fraction[..., None]
    inner = points[row, index] * (1 - f) + points[row, index + 1] * f
    normal = normals[row, index] * (1 - f) + normals[row, index + 1] * f
    normal /= np.sqrt((normal**2).sum(-1, keepdims=True))
    share = flat.edge / pads.bevel if pads.bevel > 0 else np.ones_like(flat.edge)
    thickness = foam * profile_height(pads.profile, share)
    return Pad(
        side=1 if side == 0 else -1,
        part=part,
        flat=np.stack([sign * flat.distance, flat.drop], axis=-1),
        inner=inner,
        outer=inner + thickness[..., None] * normal,
        thickness=thickness,
        edge=flat.edge,
        outline=flat.outline * [sign, 1.0],
        foam=foam,
        bevel=pads.bevel,
        profile=pads.profile,
        clearance=clearance,
    )


def _rows_of(body: Body, side: int, drops: Array, sign: float, widest: float) -> tuple[Array, Array, Array, Array]:
    """Body arcs at given drops from the seam outward: arc (R, K), points and normals (R, K, 3), room (R,).

    Room is the distance from the seam to the centre line. Where a pad is wider than that, the arc goes on
    past the centre line over the other half, as a pad would.
    """
    seam = body.seam
    cut = slice(seam, None, -1) if sign > 0 else slice(seam, None)
    at = np.clip(np.searchsorted(body.drops, drops, side="right") - 1, 0, len(body.drops) - 2)
    f = ((drops - body.drops[at]) / (body.drops[at + 1] - body.drops[at]))[:, None]

    def level(grid: Array) -> Array:
        share = f if grid.ndim == 2 else f[..., None]
        return np.asarray(grid[at] * (1 - share) + grid[at + 1] * share)

    arc = level(sign * body.arc[:, cut])
    points, normals = level(body.outer[side][:, cut]), level(body.normals[side][:, cut])
    room = arc[:, -1].copy()
    if np.any(widest > room):
        turn = slice(-2, None, -1)
        other = 1 - side
        more = 2 * room[:, None] - arc[:, turn]
        arc = np.concatenate([arc, more], axis=1)
        points = np.concatenate([points, level(body.outer[other][:, cut])[:, turn]], axis=1)
        normals = np.concatenate([normals, level(body.normals[other][:, cut])[:, turn]], axis=1)
    return arc, points, normals, room


def at_levels(pad: Pad, drops: Array) -> tuple[slice, Array, Array]:
    """The outer face brought back to horizontal levels.

    The normal is not horizontal where the body slopes, so a row of the outer face is not level; each column
    is monotone in height and is interpolated. Returns the slice of ``drops`` that the pad covers, points
    (Lp, C, 2) there and foam thickness (Lp, C); a column that does not reach a level keeps the origin, which
    no taut tape can touch.
    """
    path, thick = pad.outer, pad.thickness
    if thick[:, -1].any():  # a square edge has walls: let each column run down them to the body
        head = pad.inner[:1] if pad.inner[0, 0, 2] > path[0, 0, 2] else path[:1]
        tail = pad.inner[-1:] if pad.inner[-1, 0, 2] < path[-1, 0, 2] else path[-1:]
        path = np.concatenate([head, path, tail])
        thick = np.concatenate([thick[:1], thick, thick[-1:]])
    down = np.maximum.accumulate(-path[..., 2], axis=0).T  # (C, R)
    first = int(np.searchsorted(drops, down[:, 0].min()))
    last = int(np.searchsorted(drops, down[:, -1].max(), side="right"))
    wanted = np.broadcast_to(drops[first:last], (down.shape[0], last - first))
    if first == last:
        return slice(first, last), np.zeros((0, down.shape[0], 2)), np.zeros((0, down.shape[0]))
    index, fraction = rows_at(down, wanted)
    column = np.arange(down.shape[0])[:, None]
    f = fraction[..., None]
    points = path[index, column, :2] * (1 - f) + path[index + 1, column, :2] * f
    foam = thick[index, column] * (1 - fraction) + thick[index + 1, column] * fraction
    outside = (wanted < down[:, :1]) | (wanted > down[:, -1:])
    points[outside] = 0.0
    foam[outside] = 0.0
    return slice(first, last), points.swapaxes(0, 1), foam.T


def count_round(pads: Sequence[Pad]) -> int:
    """How many pads a tape passes on its way round."""
    return len(pads)
