"""Everything for the cutting table as files, in memory and then in a folder."""

from __future__ import annotations

import difflib
import json
from datetime import date as Date
from pathlib import Path
from typing import Any, Final

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import format_length
from silhouette.cutting.garment_pieces import pieces_numbers
from silhouette.cutting.job import FORGIVEN, Job, prepare
from silhouette.pipeline import Preview

PAGES: Final = ("a4", "letter", "sheet", "all")


def template_files(result: Preview, page: str = "all", today: Date | None = None) -> dict[str, bytes]:
    """File names and contents for one preview; nothing is written.

    `page` is one of `PAGES`: the tiled set for A4 or Letter, the large sheet for a plotter, or all of them.
    SVG, DXF and the numbers as JSON always come along. Raises `SheetError` for an unknown page size, a sheet
    without pads, a pad that cannot be laid flat, or a foam sheet or cloth narrower than a piece.
    """
    check_page(page)
    return _files(prepare(result, today or Date.today()), page)


def write_templates(result: Preview, out: Path, page: str = "all", today: Date | None = None) -> list[str]:
    """Write the files of `template_files` into the folder `out`, all of them or none.

    Other files in the folder are never touched. Returns lines to tell the maker. Raises `SheetError` as
    `template_files` does and `OutputError` when the folder cannot be written.
    """
    from silhouette.shown.files import check_folder, write_files

    check_page(page)
    check_folder(out)
    job = prepare(result, today or Date.today())
    files = _files(job, page)
    write_files(out, files)
    return [f"{out / name}: {_WHAT[name]}" for name in files] + summary(job)


def check_page(page: str) -> None:
    """Raise `SheetError` unless `page` is one of `PAGES`."""
    if page not in PAGES:
        near = difflib.get_close_matches(page.lower(), PAGES, n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]}?" if near else ""
        raise SheetError([Fault(f"page = {page[:40]}", f"unknown page size; use {', '.join(PAGES)}{hint}")])


_WHAT: Final = {
    "templates-a4.pdf": "print at 100 % on A4",
    "templates-letter.pdf": "print at 100 % on Letter",
    "templates-sheet.pdf": "all pieces on one large sheet, for a plotter",
    "templates.svg": "all pieces in true millimetres",
    "templates.dxf": "all pieces in millimetres, for a plotter",
    "templates.json": "the numbers",
}


def _files(job: Job, page: str) -> dict[str, bytes]:
    from silhouette.cutting.paper.booklet import sheet_pdf, tiled_pdf
    from silhouette.cutting.paper.dxf import dxf_text
    from silhouette.cutting.paper.svg import svg_text
    from silhouette.cutting.piece import scale_piece

    files: dict[str, bytes] = {}
    for paper in ("a4", "letter"):
        if page in (paper, "all"):
            files[f"templates-{paper}.pdf"] = tiled_pdf(job, paper)
    if page in ("sheet", "all"):
        files["templates-sheet.pdf"] = sheet_pdf(job)
    everything = (scale_piece(), *job.pieces)
    title = f"Templates: {job.heading.client or 'hip pads'}"
    files["templates.svg"] = svg_text(everything, title).encode("utf-8")
    files["templates.dxf"] = dxf_text(everything).encode("utf-8")
    files["templates.json"] = (json.dumps(numbers(job), indent=1, ensure_ascii=False) + "\n").encode("utf-8")
    return files


def numbers(job: Job) -> dict[str, Any]:
    """The figures of a job as plain values; lengths in mm, volumes in mm³, areas in mm²."""
    return {
        "client": job.heading.client,
        "date": job.heading.date,
        "pieces": [
            {
                "name": t.name,
                "foam_mm": p.foam,
                "area_mm2": round(t.area, 1),
                "volume_mm3": round(t.volume, 1),
                "side_seam_mm": round(t.seam_length, 3),
                "side_seam_on_body_mm": round(t.seam_on_body, 3),
                "largest_length_change": round(t.stretch.largest_length, 5),
                "mean_length_change": round(t.stretch.mean_length, 5),
                "area_change": round(t.stretch.total_area, 5),
                "outer_face_larger_by": round(t.outer_stretch, 5),
            }
            for t, p in zip(job.templates, job.result.pads, strict=True)
        ],
        "shell": [
            {
                "level": r.name,
                "drop_mm": round(r.drop, 2),
                "body_mm": round(r.body, 2),
                "padded_mm": round(r.padded, 2),
                "added_mm": round(r.added, 2),
                "gains_mm": dict(zip(_PANEL_KEYS, (round(g, 3) for g in r.gains), strict=True)),
                "shell_mm": round(r.shell, 2),
                "lining_mm": round(r.lining, 2),
                "worn_mm": round(r.shows, 2),
            }
            for r in job.panels.rows
        ],
        "shell_pieces": pieces_numbers(job.halves),
        "side_seams": [
            {"side": side, "hem_rise_mm": round(rise, 2)}
            for side, rise in zip(("left", "right"), job.panels.rises, strict=True)
        ],
        "foam": [
            {
                "thickness_mm": s.foam,
                "sheet_width_mm": s.layout.width,
                "sheet_length_mm": s.ask,
                "pieces_mm2": round(s.layout.area, 1),
                "waste": round(s.layout.waste, 4),
            }
            for s in job.sheets
        ],
        "buying": [{"what": i.what, "amount": i.amount, "remark": i.remark} for i in job.buying],
        "advice": list(job.advice),
    }


_PANEL_KEYS: Final = ("left_front", "left_back", "right_front", "right_back")


def summary(job: Job) -> list[str]:
    """A few lines for the terminal: stretch per piece, foam to buy, advice."""
    unit = job.heading.unit
    lines = [
        f"{t.name}: laid flat, lengths change by {100 * t.stretch.mean_length:.1f} % on average, at most "
        f"{100 * t.stretch.largest_length:.1f} %"
        + (" (more than foam forgives)" if t.stretch.largest_length > FORGIVEN else "")
        for t in job.templates
    ]
    for sheet in job.sheets:
        size = format_length(sheet.ask, unit), format_length(sheet.layout.width, unit)
        lines.append(f"foam: ask for {size[0]} of a sheet {size[1]} wide")
    return lines + list(job.advice)
