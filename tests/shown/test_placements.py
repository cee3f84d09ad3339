"""The dressed figures of several sheets side by side: measured in the picture, and said plainly where none is drawn."""

from __future__ import annotations

import io
from pathlib import Path

import matplotlib.image
import numpy as np
import pytest

from silhouette.pipeline import preview
from silhouette.shown import outputs, placements, views
from silhouette.shown.placements import NO_PLACEMENTS, placement_files
from tests.clients import sheet


def _shown(thickness: float):
    keys = {"pads.thickness": thickness, "pads.bevel": 3, "pads.end": 13, "aim.look": "stage"}
    return preview(sheet(keys, unit="in", waist=28, hip=39))


def test_figures_stand_side_by_side_at_one_scale() -> None:
    """The width of the skirt at its hem, in pixels, against the dressed outline in mm: one ratio for all figures."""
    if not views.can_render():
        pytest.skip(views.NO_PICTURE)
    one, two = _shown(0.5), _shown(1.5)
    files = placement_files(["half", "one and a half"], [one, two], "in", width=200)
    assert set(files) == {"figures.png", "figures.svg"}
    assert files == placement_files(["half", "one and a half"], [one, two], "in", width=200), "differs from run to run"
    picture = matplotlib.image.imread(io.BytesIO(files["figures.png"]), format="png")[..., :3]
    columns = picture.shape[1] // 3
    cloth = (picture[..., 2] - picture[..., 0]) > 0.04  # slate cloth is bluer than skin and paper
    front = cloth[: (len(picture) - int(placements.HEAD * placements.DPI)) // 3 + int(placements.HEAD * placements.DPI)]
    pixels = [int(front[:, k * columns : (k + 1) * columns].any(axis=0).sum()) for k in range(3)]
    outlines = [one.dressed.before, one.dressed.after, two.dressed.after]
    wide = [float(np.ptp(d.outline.outline_from(0.0), axis=1).max()) for d in outlines]
    scale = np.array(pixels) / wide
    assert np.ptp(scale) / scale.mean() < 0.03, (pixels, wide)
    assert pixels[0] < pixels[1] < pixels[2]


def test_without_3d_the_rest_is_written_and_one_line_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(placements, "can_render", lambda: False)
    shown = preview(sheet(waist=700, hip=950))
    lines = list(outputs.write_comparison(["a", "b"], [shown, shown], tmp_path, "cm"))
    assert NO_PLACEMENTS in lines and "figures.png" not in {p.name for p in tmp_path.iterdir()}
