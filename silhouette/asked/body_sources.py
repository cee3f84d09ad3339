"""What her body rests on beside the tape: the section ``[body]``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath, PureWindowsPath
from typing import Final, Literal, get_args

from silhouette.asked.declared import CHOICE, LENGTH, OUTLINE, TEXT, declare
from silhouette.asked.faults import Fault

ScanUnit = Literal["mm", "cm", "m", "in"]
MM_PER_SCAN_UNIT: Final[dict[ScanUnit, float]] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
Axis = Literal["x", "-x", "y", "-y", "z", "-z"]
AXES: Final[tuple[Axis, ...]] = get_args(Axis)
SCAN_FILES: Final = (".obj", ".ply", ".stl", ".glb")


def _height(label: str, where: str, low: float) -> float | None:
    return declare(  # type: ignore[no-any-return]
        label,
        LENGTH,
        f"Height of {where} in the scan, above its lowest point.",
        low=low,
        high=2200,
        group="scan",
        step=5,
        absent="found on the scan",
    )


@dataclass(frozen=True)
class OutlineLevel:
    """Her outline at one drop below the waist, mm.

    left, right   how far she reaches to her own left and right of her mid line, seen from the front
    front, back   how far she reaches before and behind one plumb line, seen from the side

    Either pair may be left out.
    """

    drop: float
    left: float | None = None
    right: float | None = None
    front: float | None = None
    back: float | None = None


@dataclass(frozen=True)
class BodySources:
    """A scan of her, or her own outline. Girths stay as taped, whatever stands here."""

    outline: tuple[OutlineLevel, ...] | None = declare(
        "traced outline",
        OUTLINE,
        "Traced from photographs, level by level: { drop, breadth, front, back }, or left and right for breadth.",
        group="body",
        absent="the figure of her girths",
    )
    scan: str = declare(
        "scan of her",
        TEXT,
        "A 3D scan beside the sheet: a file of kind OBJ, PLY, STL or GLB.",
        "",
        group="scan",
        absent="built from her girths",
    )
    scan_unit: ScanUnit | None = declare(
        "unit of the scan",
        CHOICE,
        "What one unit in the scan is.",
        choices=tuple(MM_PER_SCAN_UNIT),
        group="scan",
        absent="found by her size",
    )
    scan_up: Axis | None = declare(
        "up in the scan",
        CHOICE,
        "Which axis of the scan points up.",
        choices=AXES,
        group="scan",
        absent="found by her legs",
    )
    scan_front: Axis | None = declare(
        "front in the scan",
        CHOICE,
        "Which axis of the scan she faces along.",
        choices=AXES,
        group="scan",
        absent="found by her feet and seat",
    )
    scan_waist: float | None = _height("waist in the scan", "her waist", 250)
    scan_hip: float | None = _height("hip in the scan", "the fullest part of her seat", 200)
    scan_crotch: float | None = _height("crotch in the scan", "her crotch", 150)
    scan_knee: float | None = _height("knee in the scan", "the middle of her knee", 0)


def scan_faults(body: BodySources) -> Iterator[tuple[tuple[str, ...], Fault]]:
    """What cannot be right about a scan before it is opened: each with the keys that it concerns."""
    given = [n for n in ("unit", "up", "front", "waist", "hip", "crotch", "knee") if _of(body, n) is not None]
    if not body.scan:
        for name in given:
            yield (f"body.scan_{name}",), Fault(f"body.scan_{name}", "says something of a scan; name it in body.scan")
        return
    place = f"body.scan = {body.scan[:60]}"
    if body.outline is not None:
        yield ("body.outline", "body.scan"), Fault("body.outline", "a scan says more: leave one of the two out")
    windows, plain = PureWindowsPath(body.scan), PurePosixPath(body.scan)
    if windows.drive or windows.root or plain.root or ".." in (*windows.parts, *plain.parts) or "\0" in body.scan:
        yield ("body.scan",), Fault(place, "name a file beside the sheet: no path that leads out of its folder")
    elif plain.suffix.lower() not in SCAN_FILES:
        yield ("body.scan",), Fault(place, f"a scan is a file of kind {', '.join(SCAN_FILES)}")
    if body.scan_up and body.scan_front and body.scan_up[-1] == body.scan_front[-1]:
        yield ("body.scan_front",), Fault("body.scan_front", "she cannot face along the axis that points up")
    heights = [(n, _of(body, n)) for n in ("waist", "hip", "crotch", "knee") if _of(body, n) is not None]
    for (above, high), (below, low) in zip(heights, heights[1:], strict=False):
        if low > high - 20:
            keys = (f"body.scan_{above}", f"body.scan_{below}")
            yield keys, Fault(keys[1], f"must lie at least 20 mm below {keys[0]}: heights from the lowest point up")


def _of(body: BodySources, name: str) -> float:
    return getattr(body, f"scan_{name}")  # type: ignore[no-any-return]
