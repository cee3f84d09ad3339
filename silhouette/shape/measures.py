"""Measurements made complete: what was measured stays, the rest is estimated and marked so.

Sources of the estimates
    thigh           0.604 · hip − 5.8 mm: fitted to 260 women (Heinz, Peterson, Johnson, Kerk 2003,
                    *Exploring relationships in body dimensions*, J. Stat. Educ. 11(2)), residual SD 19.8 mm
    knee            0.369 · hip, the mean of the same table
    depth/breadth   fitted to half of the 1986 women of ANSUR II (Gordon et al. 2014), which takes the waist
                    at the navel; a natural waist is 0.836 of it (the mean of the 260 women)
    levels          heights over stature from ANSUR II (seat .512, crotch .480, knee .276) on a stature of
                    1680 mm with the natural waist 203 mm above the seat
    high hip girth  half of the way from waist to hip: 48 to 50 % on open body surfaces, at half the drop
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import Final

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.figure import Along
from silhouette.asked.lengths import in_unit
from silhouette.asked.pads import Pads
from silhouette.asked.readings import Drops
from silhouette.asked.sheet import Sheet
from silhouette.shape.dimensions import Measures
from silhouette.shape.laid_along import levels_along
from silhouette.shape.outline_fit import levels_used, outline_faults
from silhouette.shape.uneven import halves_of, high_hip_of, hip_drop_of, measured_by_halves, thigh_of
from silhouette.shape.widths import WIDTHS, solved_widths

#: Levels of an average figure, mm below the natural waist.
USUAL_DROPS: Final = {"high_hip": 102.0, "hip": 203.0, "under_seat": 286.0, "knee": 599.0}
#: How far from the hip to under the seat the crotch lies (ANSUR II heights).
CROTCH_SHARE: Final = 0.58
#: Common practice, no source: front reach by trade size, and the hip girths that stand in for the size.
REACH_BY_SIZE: Final = ((12.0, 101.6), (16.0, 127.0), (float("inf"), 152.4))
REACH_BY_HIP: Final = ((1016.0, 101.6), (1118.0, 127.0), (float("inf"), 152.4))
#: sections of a sheet that a body is built from
HERS: Final = ("girths", "drops", "along", "widths", "shape", "uneven", "body")
HIGH_HIP_SHARE: Final = 0.50  #: of the way from waist to hip girth
KNEE_SHARE: Final = 0.369  #: of the hip girth


def measures_of(sheet: Sheet) -> Measures:
    """Complete a sheet's measurements. Raises ``SheetError`` when they are no body's."""
    return _measures_of(Sheet(**{name: getattr(sheet, name) for name in (*HERS, "unit")}))


@lru_cache(maxsize=64)
def _measures_of(sheet: Sheet) -> Measures:
    faults: list[Fault] = []
    first = _completed(sheet, sheet.drops, faults)
    wrong: list[Fault] = []
    if faults:  # the widths are looked at all the same, on the usual levels
        solved_widths(sheet, _completed(sheet, Drops(), wrong), wrong)
        raise SheetError(dict.fromkeys([*faults, *wrong]))
    built = _known(sheet, first, faults)
    if not faults and sheet.along != Along():
        built = levels_along(sheet, lambda drops: _known(sheet, _completed(sheet, drops, faults), faults), faults)
    if not faults:
        faults += outline_faults(sheet, built)
    if faults:
        raise SheetError(dict.fromkeys(faults))
    return built


def _known(sheet: Sheet, m: Measures, faults: list[Fault]) -> Measures:
    """With the widths solved on the body of the girths; her outline is laid over that."""
    built = solved_widths(sheet, m, faults)
    return replace(built, outline=levels_used(sheet.body.outline, built.knee_drop))


def _completed(sheet: Sheet, drops: Drops, faults: list[Fault]) -> Measures:
    """Everything but widths and readings along the body, which need a body to be solved on."""
    girths, waist, hip = sheet.girths, sheet.girths.waist, sheet.girths.hip
    assert waist is not None and hip is not None, "a sheet without a scan has both"
    thigh, thighs = thigh_of(sheet, estimated_thigh(hip))
    knee = girths.knee if girths.knee is not None else min(KNEE_SHARE * hip, 0.8 * thigh)
    high_hip = high_hip_of(sheet, waist + HIGH_HIP_SHARE * (hip - waist))
    hip_drop, hip_drops = hip_drop_of(sheet, drops)
    level = _complete_drops(replace(drops, hip=hip_drop))
    crotch = level["hip"] + CROTCH_SHARE * (level["under_seat"] - level["hip"])
    faults += _drop_faults(sheet, level)
    navel = waist / 0.836 / hip
    named = {f"girths.{n}": getattr(girths, n) for n in ("waist", "high_hip", "hip", "thigh", "knee")}
    named |= {f"drops.{n}": getattr(sheet.drops, n) for n in USUAL_DROPS}
    named |= {f"along.{n}": getattr(sheet.along, n) for n in ("hip", "under_seat", "knee")}
    named |= {f"widths.{n}": getattr(sheet.widths, n) for n in WIDTHS}
    measured = {name for name, value in named.items() if value is not None}
    measured |= {key.replace("along.", "drops.") for key in measured}  # a reading along the body is as good a level
    measured |= measured_by_halves(sheet)
    built = Measures(
        waist=waist,
        high_hip=high_hip,
        hip=hip,
        thigh=thigh,
        knee=knee,
        high_hip_drop=level["high_hip"],
        hip_drop=level["hip"],
        crotch_drop=crotch,
        under_seat_drop=level["under_seat"],
        knee_drop=level["knee"],
        waist_ratio=min(max(0.001 + 0.317 * navel + 0.731 * thigh / hip, 0.62), 0.95),
        hip_ratio=min(max(-0.066 + 0.254 * navel + 0.844 * thigh / hip, 0.55), 0.85),
        measured=frozenset(measured),
        shape=sheet.shape,
    )
    return replace(built, halves=halves_of(sheet, built, thighs, hip_drops, faults))


def estimated_thigh(hip: float) -> float:
    """Thigh girth estimated from the hip girth, both mm.

    >>> round(estimated_thigh(956.5), 1)
    571.9
    """
    return 0.604 * hip - 5.8


def front_reach_of(sheet: Sheet, pads: Pads, hip: float) -> float:
    """Front reach along the hip line, mm: as asked, else by trade size, else by her ``hip`` girth."""
    if pads.front_reach is not None:
        return pads.front_reach
    size = sheet.client.size
    table, by = (REACH_BY_HIP, hip) if size is None else (REACH_BY_SIZE, size)
    usual = next(reach for limit, reach in table if by <= limit)
    return min(usual, 0.2 * hip)


def _complete_drops(drops: Drops) -> dict[str, float]:
    """Missing levels lie between the given ones as they do on an average figure, so the order always holds."""
    usual, own = [0.0], [0.0]
    for name, drop in USUAL_DROPS.items():
        given = getattr(drops, name)
        if given is not None:
            usual.append(drop)
            own.append(given)
    result = {}
    for name, drop in USUAL_DROPS.items():
        above = max(i for i, u in enumerate(usual) if u <= drop)
        if usual[above] == drop:
            result[name] = own[above]
        elif above + 1 < len(usual):
            share = (drop - usual[above]) / (usual[above + 1] - usual[above])
            result[name] = own[above] + share * (own[above + 1] - own[above])
        else:
            result[name] = drop * (own[above] / usual[above] if above else 1.0)
    return result


def _drop_faults(sheet: Sheet, drops: dict[str, float]) -> Iterator[Fault]:
    for above, below, least in (("high_hip", "hip", 15), ("hip", "under_seat", 20), ("under_seat", "knee", 60)):
        if drops[below] - drops[above] < least:
            place = next((p for name in (below, above) if (p := _place_of(sheet, name))), f"drops.{below}")
            shown = f"{in_unit(drops[place.split('.')[1]], sheet.unit):.4g} {sheet.unit}"
            yield Fault(
                f"{place} = {shown}",
                f"leaves less than {least} mm between {above.replace('_', ' ')} and {below.replace('_', ' ')}",
            )


def _place_of(sheet: Sheet, name: str) -> str | None:
    """Which key gave a level, if any."""
    for section in ("drops", "along"):
        if getattr(getattr(sheet, section), name, None) is not None:
            return f"{section}.{name}"
    return None
