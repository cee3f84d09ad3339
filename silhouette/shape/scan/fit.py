"""How well a body meets the scan that it was drawn through."""

from __future__ import annotations

from dataclasses import dataclass

from silhouette.asked.body_sources import ScanUnit


@dataclass(frozen=True)
class ScanFit:
    """What a body rests on.

    file         name of the scan
    unit         what one unit in it is
    mean, most   distance between its taut sections and the tubes, half-way between the levels drawn through, mm
    waist        where the body's origin lies in the scan: y of the waist's middle and its height, mm
    found        which of waist, hip, crotch and knee were found on the scan, not given
    taken        which girths are its own, as the sheet has none
    doubts       what is doubtful, in words
    """

    file: str
    unit: ScanUnit
    mean: float
    most: float
    waist: tuple[float, float]
    found: tuple[str, ...]
    taken: tuple[str, ...]
    doubts: tuple[str, ...]
