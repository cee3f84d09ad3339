"""What a body rests on and how well, as plain values."""

from __future__ import annotations

from typing import NotRequired, TypedDict

from silhouette.pipeline import Preview
from silhouette.shape.outline_fit import fit_of
from silhouette.shown.sentences import ground_sentence


class PlainOutline(TypedDict):
    """How well the body meets a traced outline, and how far that has moved the figure of her girths."""

    levels: int
    views: list[str]
    breadth_mm: float | None
    depth_mm: float | None
    back_mm: float | None
    worst_drop_mm: float
    moved_mm: float


class PlainScan(TypedDict):
    """The scan that the body was drawn through: ``mean_mm`` and ``most_mm`` lie between its sections and the body;
    ``found`` names the levels that were found on it, not given, ``girths_from_scan`` the girths that are its own."""

    file: str
    unit: str
    found: list[str]
    girths_from_scan: list[str]
    mean_mm: float
    most_mm: float
    doubts: list[str]


class Ground(TypedDict):
    """What the body rests on, in words and in numbers."""

    words: str
    outline: NotRequired[PlainOutline]
    scan: NotRequired[PlainScan]


def ground_of(preview: Preview) -> Ground:
    """What the body of a preview rests on."""
    scan = preview.body.scan
    ground = Ground(words=ground_sentence(preview, preview.sheet.unit))
    if scan is not None:
        ground["scan"] = PlainScan(
            file=scan.file,
            unit=scan.unit,
            found=list(scan.found),
            girths_from_scan=list(scan.taken),
            mean_mm=_mm(scan.mean),
            most_mm=_mm(scan.most),
            doubts=list(scan.doubts),
        )
        return ground
    fit = fit_of(preview.body)
    if fit is not None:
        breadth, depth, back = (None if mm is None else _mm(mm) for mm in (fit.breadth, fit.depth, fit.back))
        ground["outline"] = PlainOutline(
            levels=fit.levels,
            views=list(fit.views),
            breadth_mm=breadth,
            depth_mm=depth,
            back_mm=back,
            worst_drop_mm=_mm(fit.drop),
            moved_mm=_mm(fit.moved),
        )
    return ground


def _mm(value: float) -> float:
    return round(value, 3)
