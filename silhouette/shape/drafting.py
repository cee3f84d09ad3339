"""The pads of one side drafted flat for this body: their outlines, and what cannot lie on her."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from silhouette.asked.faults import Fault
from silhouette.asked.lengths import format_length, in_unit
from silhouette.asked.pads import Pads
from silhouette.asked.sheet import Sheet, Side
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.draft import FlatPad, flat_pads, free_edge
from silhouette.shape.layers import inner_end, set_in
from silhouette.shape.measures import front_reach_of

Part = Literal["front", "back"]
PARTS: Final[tuple[Part, Part]] = ("front", "back")
Pair = tuple[FlatPad | None, FlatPad | None]  #: front and back

BEND: Final = 0.1  #: least radius that a body bends to where pads lie, of its hip girth
#: All this tool's convention. A pad keeps this far from the knee and is this wide and high at least, mm.
KNEE_ROOM: Final = 20.0
NARROWEST: Final = 20.0
SHORTEST: Final = 60.0
#: Below the crotch a pad keeps to this share of the way from the side seam to the inside of the leg, front and back.
OUTER_LEG: Final = 0.8
#: It narrows over at least this much above the crotch, mm, or all the way from its widest level.
NARROWING: Final = 60.0


@dataclass(frozen=True)
class Wanted:
    """A front and a back pad asked for on one side: the choices, and where in the sheet they stand."""

    label: str  #: empty for ``[pads]``
    pads: Pads
    table: str  #: "pads" or "more_pads[2]"
    side: Side
    own: frozenset[str]  #: keys that the table (or the side's own table) itself holds

    def key(self, name: str) -> str:
        """Where a key of these pads stands: its own table, or ``[pads]``, which it follows."""
        if not self.label:
            return f"pads.{self.side}.{name}" if name in self.own else f"pads.{name}"
        return f"{self.table}.{name}" if name in self.own or not name else f"pads.{name}"

    def place(self, alike: bool) -> str:
        """The table itself; a side by its name where the two differ."""
        return self.table if self.label or alike else f"pads.{self.side}"


def wanted_pads(sheet: Sheet, side: Side) -> tuple[Wanted, ...]:
    """What is asked for on one side (``left`` or ``right``), from the body outward."""
    own = frozenset(dict(sheet.left if side == "left" else sheet.right))
    more = [
        Wanted(one.name, one.pads, f"more_pads[{number}]", side, frozenset(one.own))
        for number, one in enumerate(sheet.more_pads, 1)
        if one.side in ("both", side)
    ]
    return (Wanted("", sheet.pads_on(side), "pads", side, own), *more)


@dataclass(frozen=True, eq=False)
class Drafted:
    """Front and back pad of one side, flat, slab by slab from the body outward, and by how much each was narrowed below
    the crotch, mm."""

    slabs: tuple[Pair, ...] = ()
    narrowed: tuple[float, float] = (0.0, 0.0)


def lower_end(pads: Pads, body: Body) -> float:
    """Drop of a pad's lower end: as asked, else under the seat, or a little below a start that lies lower."""
    if pads.end is not None:
        return pads.end
    m = body.measures
    return max(m.under_seat_drop, min(pads.start + 100.0, m.knee_drop - KNEE_ROOM))


def widest_drop(start: float, end: float, hip: float) -> float:
    """Level at which a drafted pad reaches furthest: the hip line, or the nearest the pad lets it be.

    A pad that ends above the hip line, or starts below it, is widest further in the more it keeps away.

    >>> widest_drop(40.0, 280.0, 200.0), widest_drop(40.0, 140.0, 200.0)
    (200.0, 90.0)
    """
    half = (end - start) / 2
    low = start + min(20.0 + max(0.0, start + 20.0 - hip), half)
    high = end - min(20.0 + max(0.0, hip + 20.0 - end), half)
    return float(min(max(hip, low), high))


def draft_side(
    sheet: Sheet,
    pads: Pads,
    body: Body,
    side: int,
    key: Callable[[str], str],
    rows: int,
    faults: list[Fault],
    fine: int = 1,
) -> Drafted:
    """Both pads of one side (0 left, 1 right) drafted flat; faults are added, each at the key that ``key`` names."""

    def fault(name: str, mm: float, message: str) -> None:
        faults.append(Fault(f"{key(name)} = {in_unit(mm, sheet.unit):.5g} {sheet.unit}", message))

    def show(mm: float) -> str:
        return format_length(mm, sheet.unit, sixteenths=sheet.unit == "in")

    before, m = len(faults), body.measures
    end, lowest = lower_end(pads, body), m.knee_drop - KNEE_ROOM
    below_knee = f"runs below the knee, which is {show(m.knee_drop)} below the waist: the lowest that can be is"
    for part in PARTS:
        points = getattr(pads, f"{part}_outline")
        if points is not None and getattr(pads, part) and points[-1][1] > lowest:
            fault(f"{part}_outline", points[-1][1], f"{below_knee} {show(lowest)}")
    if end > lowest:
        fault("end", end, f"{below_knee} {show(lowest)}")
    elif pads.start > end - SHORTEST:
        fault(
            "start",
            pads.start,
            f"leaves a pad that ends {show(end)} below the waist too short: {show(end - SHORTEST)} at most",
        )
    widest = widest_drop(pads.start, end, m.hip_drop)
    half = np.array(
        [np.interp(widest, body.drops, body.arc[side, :, 0]), -np.interp(widest, body.drops, body.arc[side, :, -1])]
    )
    front_reach = front_reach_of(sheet, pads, m.hip)
    edges: list[Array | None] = []
    for part, reach, name, mm in (
        ("front", front_reach, "front_reach", front_reach),
        ("back", float(half[1]) - pads.back_gap, "back_gap", pads.back_gap),
    ):
        points, edge = getattr(pads, f"{part}_outline"), None
        if getattr(pads, part):
            if points is None and reach < NARROWEST:
                most = f"; {show(half[1] - NARROWEST)} at most" if part == "back" else ""
                fault(
                    name,
                    mm,
                    f"leaves a {part} pad {show(max(reach, 0))} wide; it needs at least {show(NARROWEST)}{most}",
                )
            elif points is None and pads.bevel > reach:
                fault("bevel", pads.bevel, f"wider than the {part} pad, which reaches {show(reach)}")
            if len(faults) == before:
                edge = free_edge(reach, widest, pads, end, points, rows)
        edges.append(edge)
    return _drafted(edges, pads, body, side, key, faults, fine) if len(faults) == before else Drafted()


def _drafted(
    edges: list[Array | None],
    pads: Pads,
    body: Body,
    side: int,
    key: Callable[[str], str],
    faults: list[Fault],
    fine: int,
) -> Drafted:
    front, back = edges
    if front is not None and back is not None and (np.abs(front[[0, -1], 1] - back[[0, -1], 1]) > 1).any():
        own = "front_outline" if pads.front_outline is not None else "back_outline"
        message = "front and back pad must begin and end at the same drops: they are sewn together"
        faults.append(Fault(key(own), message))
        return Drafted()
    narrowed, much = [], []
    for edge, sign, column in ((front, 1.0, 0), (back, -1.0, -1)):
        edge, by = (None, 0.0) if edge is None else narrowed_on_leg(edge, sign * body.arc[side, :, column], body)
        narrowed.append(edge)
        much.append(by)
    if front is None and back is None:
        return Drafted()
    count, slabs = int(pads.layers), []
    try:
        for layer in range(1, count + 1):
            begin, end = (pads.bevel * inner_end(pads.profile, k, count) for k in (layer - 1, layer))
            rims = set_in((narrowed[0], narrowed[1]), begin)
            slabs.append(flat_pads(rims, end - begin, BEND * body.measures.hip, fine))
        return Drafted(tuple(slabs), (much[0], much[1]))
    except ValueError as error:
        faults.append(Fault(key("").rstrip("."), str(error)))
        return Drafted()


def narrowed_on_leg(edge: Array, room: Array, body: Body) -> tuple[Array, float]:
    """A free edge (R, 2) kept to the outer side of the leg below the crotch, and by how much that narrows it, mm.

    ``room`` (L,) is the way from the side seam to the inner end of the outer arc. The edge above is drawn in smoothly.
    """
    crotch = float(body.drops[body.crotch])
    low = edge[:, 1] > crotch
    if not low.any() or edge[low, 0].max() <= 0:
        return edge, 0.0
    at = np.append(edge[low, 1], crotch)
    wide = np.interp(at, edge[:, 1], edge[:, 0])
    share = float(np.min(OUTER_LEG * np.interp(at, body.drops, room) / np.maximum(wide, 1e-6)))
    if share >= 1:
        return edge, 0.0
    begin = min(float(edge[np.argmax(edge[:, 0]), 1]), crotch - NARROWING)
    t = np.clip((edge[:, 1] - begin) / (crotch - begin), 0.0, 1.0)
    drawn = edge[:, 0] * (1 - (1 - share) * t * t * (3 - 2 * t))
    by = float((edge[:, 0] - drawn)[low].max())
    return np.stack([drawn, edge[:, 1]], axis=-1), by
