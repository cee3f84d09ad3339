"""The README's picture of a body from a scan: ``python -m tests.shape.scan.picture`` writes ``meshes/scan.png``."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

from silhouette.pipeline import preview
from silhouette.shown.views import views_file
from tests.reference_meshes import FOLDER
from tests.shape.scan.scans import hers, saved, woman


def main() -> None:
    from PIL import Image

    with tempfile.TemporaryDirectory() as folder:
        mesh, _ = woman(3, 2)
        picture = views_file(preview(hers(3, saved(mesh, Path(folder) / "her.ply"))), width=300)
    assert picture is not None
    whole = Image.open(io.BytesIO(picture)).convert("RGB")
    head = round(0.36 * 150)  # the names of the sides, in dots
    row = (whole.height - head) // 4
    last = whole.crop((0, head + 3 * row, whole.width, whole.height))
    after = whole.crop((0, head + row, whole.width, head + 2 * row))
    made = Image.new("RGB", (whole.width, head + 2 * row))
    made.paste(whole.crop((0, 0, whole.width, head)), (0, 0))
    made.paste(last, (0, head))
    made.paste(after, (0, head + row))
    made.save(FOLDER / "scan.png", optimize=True)


if __name__ == "__main__":
    main()
