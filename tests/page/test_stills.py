"""Still pictures: PNG as other libraries read it, and the figure in them as broad as the dressed surface."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

import silhouette
from silhouette.page.bundle import NotUnderstood, bundle
from silhouette.page.handover import static_text
from silhouette.page.stills import ABOVE, BELOW, GROUND, png, stills

image = pytest.importorskip("PIL.Image")


@settings(max_examples=40, deadline=None)
@given(arrays.arrays(np.uint8, st.tuples(st.integers(1, 9), st.integers(1, 9), st.just(3))))
def test_png_is_read_back_by_pillow(picture: np.ndarray) -> None:
    read = image.open(io.BytesIO(png(picture)))
    read.load()
    assert (read.format, read.mode) == ("PNG", "RGB")
    assert np.array_equal(np.asarray(read), picture)


def test_the_figure_is_as_broad_as_the_dressed_surface() -> None:
    seen = silhouette.preview(silhouette.read_sheet("demo"))
    height = 240
    made = stills(seen, height)
    pair = seen.dressed
    scale = height / (ABOVE + float(pair.before.drops[-1]) + BELOW)
    for name, angle in (("front", 0.0), ("side", np.pi / 2)):
        for raw, dressed in zip(made[name], (pair.before, pair.after), strict=True):
            picture = np.asarray(image.open(io.BytesIO(raw))).astype(int)
            figure = np.abs(picture - GROUND).max(axis=2) > 40
            at = 0.8 * float(dressed.drops[-1])
            row = figure[round((ABOVE + at) * scale)]
            seen_from = dressed.outline.outline_from(angle)
            broad = np.interp(at, dressed.drops, seen_from[:, 1] - seen_from[:, 0]) * scale
            assert abs(row.sum() - broad) < 3  # px; cloth is drawn 1.6 mm off
            columns = np.flatnonzero(row)
            assert row[columns[0] : columns[-1] + 1].all()  # no pixel is missed


def test_the_page_bundles_by_its_explicit_imports() -> None:
    script = bundle("handover.js", static_text)
    assert script.index("const module_lengths" if "module_lengths" in script else "const module_matrix") >= 0
    assert "\nimport " not in script and "\nexport " not in script
    assert "module_main" not in script and "findings" not in script  # only what is imported comes along


@pytest.mark.parametrize(
    "module",
    [
        'import * as all from "./b.js";',
        'import b from "./b.js";',
        'import { b as c } from "./b.js";',
        'import { missing } from "./b.js";',
        'import "./b.js";',
        "export { b };",
        "export default 1;",
        'import { b } from "./a.js";',
    ],
)
def test_what_is_not_understood_is_refused(module: str) -> None:
    with pytest.raises(NotUnderstood):
        bundle("a.js", {"a.js": module, "b.js": "export const b = 1;"}.__getitem__)
