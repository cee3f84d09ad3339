"""From what is known of her, girths, words, an outline or a scan, to her body: nothing after this asks which it was."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from silhouette.asked.crosscheck import cross_faults
from silhouette.asked.faults import SheetError
from silhouette.asked.sheet import Sheet
from silhouette.shape.body import Body, kept_body
from silhouette.shape.dimensions import Measures
from silhouette.shape.measures import measures_of
from silhouette.shape.scan.scanned import scanned_body
from silhouette.shape.tape import Tape, tape_round


def body_of(sheet: Sheet) -> tuple[Body, Tape]:
    """Her body and the tape round it, kept while only the pads change. Raises ``SheetError``."""
    if sheet.body.scan:
        return _taped(scanned_body(sheet))
    return _bare(measures_of(sheet))


def hip_of(sheet: Sheet) -> float:
    """Her hip girth: as taped, or where the sheet leaves it out as her scan has it, mm. Raises ``SheetError``."""
    hip = sheet.girths.hip
    return body_of(sheet)[0].measures.hip if hip is None else hip


def check_girths_found(sheet: Sheet, m: Measures) -> None:
    """Look at a sheet once more with the waist and hip that it left to the scan. Raises ``SheetError``."""
    girths = sheet.girths
    if girths.waist is None or girths.hip is None:
        faults = [*cross_faults(replace(sheet, girths=replace(girths, waist=m.waist, hip=m.hip)))]
        if faults:
            raise SheetError(faults)


@lru_cache(maxsize=16)
def _bare(measures: Measures) -> tuple[Body, Tape]:
    return _taped(kept_body(measures))


@lru_cache(maxsize=16)
def _taped(body: Body) -> tuple[Body, Tape]:
    """A body and the tape round it, neither to be written on."""
    before = tape_round(body)
    for array in (body.outer, body.inner, body.normals, body.arc, body.drops, before.h, before.directions):
        array.setflags(write=False)
    return body, before
