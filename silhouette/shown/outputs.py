"""The output folder of a preview or a comparison, written whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from fnmatch import fnmatch
from pathlib import Path

from silhouette.asked.fittings import Fitting
from silhouette.pipeline import Preview
from silhouette.shown.drawings import comparison_files, silhouette_files
from silhouette.shown.files import check_folder, write_files
from silhouette.shown.models import model_files
from silhouette.shown.placements import NO_PLACEMENTS, placement_files
from silhouette.shown.report import report
from silhouette.shown.views import NO_PICTURE, views_file


def write_folder(result: Preview, out: Path, fittings: Sequence[Fitting] = ()) -> Iterator[str]:
    """Write drawings, rendered views, 3D files and the report; yields a line for each thing worth saying.

    Raises ``OutputError`` when the folder cannot be written; nothing is left half-written then.
    """
    check_folder(out)
    files: dict[str, bytes | str] = dict(silhouette_files(result, result.sheet.unit))
    files |= model_files(result)
    views = views_file(result)
    if views is None:
        yield NO_PICTURE
    else:
        files["views.png"] = views
    files["report.json"] = json.dumps(report(result, fittings), indent=1, ensure_ascii=False) + "\n"
    write_files(out, files)
    yield f"{out}: {', '.join(sorted(files))}"
    stale = [path.name for path in sorted(out.iterdir()) if _ours(path.name) and path.name not in files]
    if stale:
        yield f"{out}: {', '.join(stale)} left there by an earlier run; not of this sheet"


def _ours(name: str) -> bool:
    """Whether this is the name of a file that a preview writes for some sheets and not for others."""
    return name in ("views.png", "worn.glb") or fnmatch(name, "pad-*.stl")


def write_comparison(names: Sequence[str], results: Sequence[Preview], out: Path, unit: str) -> Iterator[str]:
    """Write the dressed figures side by side, the overlaid silhouettes and the reports of several sheets."""
    check_folder(out)
    files: dict[str, bytes | str] = dict(comparison_files(names, results, unit))
    figures = placement_files(names, results, unit)
    files |= figures
    if not figures:
        yield NO_PLACEMENTS
    reports = [{"name": name, **report(result)} for name, result in zip(names, results, strict=True)]
    files["comparison.json"] = json.dumps(reports, indent=1, ensure_ascii=False) + "\n"
    write_files(out, files)
    yield f"{out}: {', '.join(sorted(files))}"
