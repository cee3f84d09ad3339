"""From the scan that a sheet names to her body, and how far that can be trusted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np

from silhouette.asked.body_sources import Axis, BodySources
from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.figure import Along, Shape, Uneven
from silhouette.asked.lengths import format_length
from silhouette.asked.readings import Widths
from silhouette.asked.sheet import PARAMETERS, Sheet
from silhouette.shape.body import Body
from silhouette.shape.dimensions import Measures
from silhouette.shape.learnt import BLENDED
from silhouette.shape.measures import HERS
from silhouette.shape.scan.fit import ScanFit
from silhouette.shape.scan.landmarks import Placed, UnfitScanError, placed
from silhouette.shape.scan.mesh_file import Stamp, UnreadableMeshError, read_mesh, scan_place, stamp_of
from silhouette.shape.scan.slices import TornMeshError
from silhouette.shape.scan.standing import NotStandingError, Standing, upright
from silhouette.shape.scan.trust import NOISY, WORST, doubts_about, reasons_against
from silhouette.shape.scan.tubes import Taut, body_of_taut, residual_of, taut_levels
from silhouette.shape.sizing import rows_of

OTHERWISE: Final = 0.10  #: logarithm by which tape and scan may differ at a girth; beyond, one of them is of another
AT_ODDS: Final = 0.02  #: and beyond which it is said
LEVELS: Final = ("waist", "high_hip", "hip", "thigh", "knee")


def scanned_body(sheet: Sheet) -> Body:
    """Her body from the scan that the sheet names. Raises ``SheetError`` with all that is wrong with it."""
    try:
        place = scan_place(sheet.folder, sheet.body.scan)
        return _built(_hers(sheet), place, stamp_of(place))
    except UnreadableMeshError as error:
        raise SheetError([_fault(sheet, str(error))]) from error


def scan_mesh(sheet: Sheet) -> Placed:
    """The scan itself in the body's axes, for pictures. Raises ``SheetError``."""
    try:
        place = scan_place(sheet.folder, sheet.body.scan)
        return _placed(_hers(sheet), place, stamp_of(place))
    except UnreadableMeshError as error:
        raise SheetError([_fault(sheet, str(error))]) from error


def _hers(sheet: Sheet) -> Sheet:
    """What of a sheet a scanned body depends on."""
    return Sheet(**{name: getattr(sheet, name) for name in (*HERS, "unit", "folder")})


def _fault(sheet: Sheet, reason: str) -> Fault:
    return Fault("body.scan" if reason.startswith("this sheet") else f"body.scan = {sheet.body.scan[:60]}", reason)


@lru_cache(maxsize=2)
def _standing(place: Path, stamp: Stamp, up: Axis | None, front: Axis | None) -> Standing:
    vertices, triangles = read_mesh(place)
    return upright(vertices, triangles, BodySources(scan_up=up, scan_front=front))


@lru_cache(maxsize=4)
def _placed(sheet: Sheet, place: Path, stamp: Stamp) -> Placed:
    try:
        return placed(_standing(place, stamp, sheet.body.scan_up, sheet.body.scan_front), sheet)
    except NotStandingError as error:
        reason = (
            "shows no two legs below a trunk: legs grown together or under a skirt, or lying down; "
            'if it lies, say which axis is up, body.scan_up = "y"'
        )
        raise SheetError([_fault(sheet, reason)]) from error
    except UnfitScanError as error:
        raise SheetError([_fault(sheet, reason) for reason in error.reasons]) from error
    except TornMeshError as error:
        raise SheetError([_fault(sheet, str(error))]) from error


@lru_cache(maxsize=8)
def _built(sheet: Sheet, place: Path, stamp: Stamp) -> Body:
    scan = _placed(sheet, place, stamp)
    legs_given = sheet.body.scan_crotch is not None
    reasons = [*scan.reasons, *reasons_against(scan, scan.profile, legs_given=legs_given)]
    faults = [_fault(sheet, reason) for reason in reasons]
    try:
        m = _levels(sheet, scan, faults)
        if not scan.whole or m is None:
            raise SheetError(faults)
        taut = taut_levels(scan, m)
        own = _own(m, taut)
        faults += _far_off(sheet, own)
        if faults:
            raise SheetError(faults)
        m = _measured(sheet, m, taut, own)
        plain, body = body_of_taut(m, taut, np.array([own[name] for name in LEVELS]))
        mean, most = residual_of(scan, plain, taut.middle)
    except TornMeshError as error:
        raise SheetError([*faults, _fault(sheet, str(error))]) from error
    if most > WORST:
        reason = f"lies up to {most:.0f} mm from the body drawn through it: torn, noisy or of something else"
        raise SheetError([_fault(sheet, reason)])
    doubts = [*scan.doubts, *doubts_about(scan, scan.profile), *_disagreements(sheet, own), *_unused(sheet)]
    if mean > NOISY:
        doubts.append(f"rough: {mean:.1f} mm from the body drawn through it on average")
    found = tuple(name for name in ("waist", "hip", "crotch", "knee") if name in scan.found)
    taken = tuple(name for name in LEVELS if getattr(sheet.girths, name) is None)
    assert scan.size.unit is not None
    middle = (taut.middle, scan.waist)
    return replace(body, scan=ScanFit(sheet.body.scan, scan.size.unit, mean, most, middle, found, taken, tuple(doubts)))


def _levels(sheet: Sheet, scan: Placed, faults: list[Fault]) -> Measures | None:
    """The levels of the scan, girths still to come; None where those of the sheet do not fit, which is a fault."""
    drop = {name: scan.waist - getattr(scan, name) for name in ("hip", "crotch", "knee")}
    drops = sheet.drops
    # under the seat she has legs and nothing of the trunk any more
    under = drops.under_seat or drop["crotch"] + BLENDED * (drop["knee"] - drop["crotch"])
    high = drops.high_hip or drop["hip"] / 2
    wrong = [
        Fault(f"drops.{name}", f"leaves no room between {above} and {below} on the scan")
        for name, low, mid, high_, above, below in (
            ("high_hip", 15.0, high, drop["hip"] - 15.0, "waist", "hip"),
            ("under_seat", drop["crotch"] + 5.0, under, drop["knee"] - 60.0, "crotch", "knee"),
        )
        if not low <= mid <= high_
    ]
    faults += wrong if scan.whole else []
    if wrong:
        return None
    return Measures(*(0.0,) * 5, high, drop["hip"], drop["crotch"], under, drop["knee"], 0.7, 0.7, measured=frozenset())


def _measured(sheet: Sheet, m: Measures, taut: Taut, own: dict[str, float]) -> Measures:
    """The girths of the sheet, and where it has none, be it waist or hip, those of the scan."""
    given = {name: mm for name in LEVELS if (mm := getattr(sheet.girths, name)) is not None}
    measured = {f"girths.{name}" for name in given}
    measured |= {f"drops.{n}" for n in ("high_hip", "hip", "under_seat", "knee") if getattr(sheet.drops, n) is not None}
    rows = rows_of(m, taut.drops)
    waist, hip = (float(np.divide(*np.ptp(taut.whole[rows[i]], axis=0)[::-1])) for i in (0, 2))
    known = {**own, **given}
    return replace(
        m,
        **{name: known[name] for name in LEVELS},
        waist_ratio=waist,
        hip_ratio=hip,
        own_waist_ratio=waist,
        measured=frozenset(measured),
    )


def _own(m: Measures, taut: Taut) -> dict[str, float]:
    """What a taut tape reads on the scan at the named levels; round one leg the mean of both."""
    waist, high_hip, hip, under, knee = rows_of(m, taut.drops)
    first = len(taut.drops) - len(taut.legs)
    legs = taut.leg_girth.mean(1)
    girth = taut.girth
    read = (girth[waist], girth[high_hip], girth[hip], legs[under - first], legs[knee - first])
    return dict(zip(LEVELS, map(float, read), strict=True))


def _far_off(sheet: Sheet, own: dict[str, float]) -> Iterator[Fault]:
    """Girths so far from the tape's that the scan is of somebody else, or she wears something."""
    for name, tape, spot, off in _compared(sheet, own):
        if off > OTHERWISE:
            reason = (
                f"its {name.replace('_', ' ')} is {spot} and girths.{name} is {tape}: is it hers, bare, and the "
                "levels right? (body.scan_waist, body.scan_hip, body.scan_knee)"
            )
            yield _fault(sheet, reason)
    for name in ("waist", "hip"):
        p, mm = PARAMETERS[f"girths.{name}"], own[name]
        if getattr(sheet.girths, name) is None and not (p.low or 0.0) <= mm <= (p.high or mm):
            size = format_length(mm, sheet.unit)
            yield _fault(sheet, f"its {name} is {size}, which is no woman's: mend body.scan_unit, or the levels")


def _disagreements(sheet: Sheet, own: dict[str, float]) -> Iterator[str]:
    for name, tape, spot, off in _compared(sheet, own):
        if off > AT_ODDS:
            yield f"{name.replace('_', ' ')} {spot} on the scan, {tape} by tape: the tape is kept to"


def _compared(sheet: Sheet, own: dict[str, float]) -> Iterator[tuple[str, str, str, float]]:
    """Girths given: name, by tape, on the scan, and how far apart (logarithm)."""
    for name, spot in own.items():
        mm = getattr(sheet.girths, name)
        if mm is not None:
            words = [format_length(x, sheet.unit, sixteenths=sheet.unit == "in") for x in (mm, spot)]
            yield name, words[0], words[1], float(abs(np.log(mm / spot)))


def _unused(sheet: Sheet) -> Iterator[str]:
    """Sections of a sheet that a scan makes needless."""
    held = (("widths", Widths()), ("along", Along()), ("shape", Shape()), ("uneven", Uneven()))
    names = [f"[{name}]" for name, empty in held if getattr(sheet, name) != empty]
    if names:
        yield f"{' and '.join(names)} not used: the scan says it"
