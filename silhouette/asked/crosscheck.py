"""Values that are possible each by itself, but not together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from silhouette.asked.body_sources import scan_faults
from silhouette.asked.faults import Fault
from silhouette.asked.lengths import INCH, format_length, in_unit
from silhouette.asked.materials import material_faults
from silhouette.asked.pads import Pads
from silhouette.asked.sheet import SIDES, Sheet
from silhouette.asked.uneven_faults import uneven_faults

Show = Callable[[float], str]

NARROWEST: Final = 10.0  #: mm that an outline keeps between its ends; this tool's convention


def cross_faults(sheet: Sheet, wrong: frozenset[str] = frozenset()) -> Iterator[Fault]:
    """What does not fit together in a sheet; nothing is compared with a waist or hip that a scan has still to say.

    ``wrong`` holds keys that are already known to be faulty: nothing is said of what was compared with them.
    """
    result: set[str] = set()
    for keys, fault in _all(sheet):
        if not wrong.intersection(keys) and str(fault) not in result:
            result.add(str(fault))
            yield fault


def _all(sheet: Sheet) -> Iterator[tuple[tuple[str, ...], Fault]]:
    unit = sheet.unit

    def show(mm: float) -> str:
        return format_length(mm, unit, sixteenths=unit == "in")

    def at(key: str, mm: float) -> str:
        return f"{key} = {in_unit(mm, unit):.6g} {unit}"

    yield from _girths(sheet, show, at)
    drops = [(n, getattr(sheet.drops, n)) for n in ("high_hip", "hip", "under_seat", "knee")]
    given = [(n, d) for n, d in drops if d is not None]
    for (above, a), (below, b) in zip(given, given[1:], strict=False):
        if b < a + 20:
            keys = (f"drops.{above}", f"drops.{below}")
            yield (
                keys,
                Fault(
                    at(keys[1], b),
                    f"must lie at least {show(20)} below {keys[0]} ({show(a)}): measure down from the waist",
                ),
            )
    if not sheet.body.scan:  # which knows her sides itself
        yield from uneven_faults(sheet, show, at)
    yield from scan_faults(sheet.body)
    yield from material_faults(sheet)
    for side in SIDES:
        own = dict(sheet.left if side == "left" else sheet.right)
        yield from _pads(sheet.pads_on(side), f"pads.{side}.", set(own), sheet, show, at)
    for number, more in enumerate(sheet.more_pads, 1):
        yield from _pads(more.pads, f"more_pads[{number}].", set(more.own), sheet, show, at)


At = Callable[[str, float], str]


def _girths(sheet: Sheet, show: Show, at: At) -> Iterator[tuple[tuple[str, ...], Fault]]:
    waist, hip = sheet.girths.waist, sheet.girths.hip
    if waist is not None and hip is not None:
        yield from _trunk(sheet, waist, hip, show, at)
    if hip is not None:
        yield from _legs(sheet, hip, show, at)


def _trunk(sheet: Sheet, waist: float, hip: float, show: Show, at: At) -> Iterator[tuple[tuple[str, ...], Fault]]:
    high_hip = sheet.girths.high_hip
    both = ("girths.waist", "girths.hip")
    if waist > 1.2 * hip:
        message = f"far above the hip girth {show(hip)}; were the two swapped?"
        if sheet.unit == "in" and 0.5 <= waist / 2.54 / hip <= 1.1:
            message = f"far above the hip girth {show(hip)}; {waist / INCH:g} cm was probably meant, or the two swapped"
        yield both, Fault(at("girths.waist", waist), message)
    if high_hip is not None and not 0.75 * waist <= high_hip <= 1.25 * max(hip, waist):
        low, high = show(0.75 * waist), show(1.25 * max(hip, waist))
        yield (
            (*both, "girths.high_hip"),
            Fault(at("girths.high_hip", high_hip), f"must lie near the waist and hip girths ({low} to {high})"),
        )


def _legs(sheet: Sheet, hip: float, show: Show, at: At) -> Iterator[tuple[tuple[str, ...], Fault]]:
    thigh, knee = sheet.girths.thigh, sheet.girths.knee
    if thigh is not None and not 0.4 * hip <= thigh <= 0.8 * hip:
        message = f"one thigh is 0.4 to 0.8 of the hip girth ({show(0.4 * hip)} to {show(0.8 * hip)})"
        yield ("girths.hip", "girths.thigh"), Fault(at("girths.thigh", thigh), message)
    if knee is not None:
        known = thigh is not None
        leg = thigh if thigh is not None else 0.6 * hip
        if not 0.35 * leg <= knee <= 0.95 * leg:
            message = f"must be 0.35 to 0.95 of the thigh girth ({show(leg)}{'' if known else ', estimated'})"
            yield (
                (("girths.thigh", "girths.knee") if known else ("girths.hip", "girths.knee", "girths.thigh")),
                Fault(at("girths.knee", knee), message),
            )


def _pads(
    pads: Pads, own_place: str, own: set[str], sheet: Sheet, show: Show, at: At
) -> Iterator[tuple[tuple[str, ...], Fault]]:
    def place(name: str) -> str:
        return f"{own_place}{name}" if name in own else f"pads.{name}"

    if pads.layers != int(pads.layers):
        yield (place("layers"),), Fault(f"{place('layers')} = {pads.layers:g}", "layers are counted: 1, 2, 3 or 4")
    reach, bevel, start, end = (place(n) for n in ("front_reach", "bevel", "start", "end"))
    hip = sheet.girths.hip
    if pads.front_reach is not None and pads.front and pads.front_outline is None:
        if hip is not None and pads.front_reach > hip / 2:
            message = f"wider than the body: half the hip girth is {show(hip / 2)}"
            yield (reach, "girths.hip"), Fault(at(reach, pads.front_reach), message)
        if pads.bevel > pads.front_reach:
            message = f"wider than the front pad, which reaches {show(pads.front_reach)}"
            yield (bevel, reach), Fault(at(bevel, pads.bevel), message)
    for part in ("front", "back"):
        outline = getattr(pads, f"{part}_outline")
        if outline is None or not getattr(pads, part):
            continue
        widths = [distance for distance, _ in outline]
        widest = max(widths)
        for i, (width, drop) in enumerate(outline[1:-1], 1):
            if width < min(NARROWEST, max(widths[:i]), max(widths[i + 1 :])):
                message = (
                    f"narrows to {show(width)} at {show(drop)} below the waist, where foam tears: "
                    f"keep at least {show(NARROWEST)}, or end it above"
                )
                yield (place(f"{part}_outline"),), Fault(place(f"{part}_outline"), message)
                break
        if hip is not None and widest > hip / 2:
            message = f"reaches {show(widest)}, wider than the body: half the hip girth is {show(hip / 2)}"
            yield (place(f"{part}_outline"), "girths.hip"), Fault(place(f"{part}_outline"), message)
        if pads.bevel > widest:
            message = f"wider than the {part} pad, which reaches {show(widest)}"
            yield (bevel, place(f"{part}_outline")), Fault(at(bevel, pads.bevel), message)
    if pads.end is not None and pads.end < pads.start + 60:
        message = f"must lie at least {show(60)} below the pad's start ({show(pads.start)})"
        yield (start, end), Fault(at(end, pads.end), message)
