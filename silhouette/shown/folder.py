"""The output folder of a preview or a comparison, written whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

from silhouette.preview import Preview
from silhouette.shown.drawings import comparison_files, silhouette_files
from silhouette.shown.files import check_folder, write_files
from silhouette.shown.models import model_files
from silhouette.shown.numbers import report
from silhouette.shown.views import NO_PICTURE, views_file


def write_folder(seen: Preview, out: Path, unit: str | None = None) -> Iterator[str]:
    """Write drawings, rendered views, 3D files and the report; yields a line for each thing worth saying.

    Raises ``OutputError`` when the folder cannot be written; nothing is left half-written then.
    """
    check_folder(out)
    unit = unit or seen.sheet.unit
    files: dict[str, bytes | str] = dict(silhouette_files(seen, unit))
    files |= model_files(seen)
    views = views_file(seen)
    if views is None:
        yield NO_PICTURE
    else:
        files["views.png"] = views
    files["report.json"] = json.dumps(report(seen), indent=1, ensure_ascii=False) + "\n"
    write_files(out, files)
    yield f"{out}: {', '.join(sorted(files))}"


def write_comparison(names: Sequence[str], all_seen: Sequence[Preview], out: Path, unit: str) -> Iterator[str]:
    """Write the overlaid silhouettes and the reports of several sheets."""
    check_folder(out)
    files: dict[str, bytes | str] = dict(comparison_files(names, all_seen, unit))
    reports = [{"name": name, **report(seen)} for name, seen in zip(names, all_seen, strict=True)]
    files["comparison.json"] = json.dumps(reports, indent=1, ensure_ascii=False) + "\n"
    write_files(out, files)
    yield f"{out}: {', '.join(sorted(files))}"
