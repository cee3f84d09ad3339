"""A body from a scan is a body like any other: pads, cloth, templates, pictures, the page, search."""

from __future__ import annotations

import json

import numpy as np
import pytest

import silhouette
from silhouette.asked.writing import to_plain
from silhouette.cutting.output import write_templates
from silhouette.page.answers import answer, preview_for
from silhouette.page.clients_folder import Folder
from silhouette.search.thickness import option_of
from silhouette.shape.solids import solids_of
from silhouette.shown.report import report
from silhouette.shown.scan_veil import STANDS_OFF, veil_of
from silhouette.shown.sentences import estimated, ground_sentence, mark_note
from tests.shape.scan.scans import hers


@pytest.fixture(scope="module")
def seen(place):
    return silhouette.preview(hers(1, place))


def test_pads_and_cloth_lie_on_it(seen):
    assert len(seen.pads) == 4 and seen.verdict in ("fine", "watch", "obvious")
    added = seen.figure.added
    assert 40 < added < 140
    for solid in solids_of(seen.body, seen.pads):
        assert solid.watertight and solid.volume > 0, solid.name
    assert np.isfinite(seen.dressed.after.girth).all()
    assert np.all(
        seen.dressed.after.girth[: seen.figure.new_hip_row] >= seen.tape_before.girth[: seen.figure.new_hip_row] - 1
    )
    normals = seen.body.normals
    assert np.abs(np.linalg.norm(normals, axis=-1) - 1).max() < 1e-9
    assert (normals[0, :, seen.body.seam, 0] > 0).all() and (normals[1, :, seen.body.seam, 0] < 0).all()


def test_what_it_rests_on_is_said(seen):
    plain = report(seen, solids=False)["rests_on"]
    assert json.loads(json.dumps(plain)) == plain
    scan = plain["scan"]
    assert scan["file"] == "her.glb" and scan["unit"] == "m" and scan["found"] == ["crotch", "knee"]
    assert 0 < scan["mean_mm"] < 0.5 and scan["mean_mm"] < scan["most_mm"] < 5
    assert plain["words"] == ground_sentence(seen, "mm") and "the scan her.glb" in plain["words"]
    assert mark_note(seen).startswith("from the scan")
    assert "girths.thigh" in estimated(seen) and "girths.hip" not in estimated(seen)


def test_search_and_templates_run_on_it(seen, tmp_path):
    thicker = silhouette.preview(silhouette.with_values(seen.sheet, {"pads.thickness": 25.4}), like=seen.figure)
    assert thicker.body is seen.body and thicker.new_hip_girth > seen.new_hip_girth
    assert option_of(thicker, {"pads.thickness": 25.4}).hip > seen.figure.measures.hip
    write_templates(seen, tmp_path / "templates", "sheet")
    assert any((tmp_path / "templates").iterdir())


def test_the_page_shows_it_from_the_clients_folder(seen, place):
    plain = to_plain(seen.sheet)
    assert "folder" not in json.dumps(plain)
    shown = preview_for(plain, "in", place.parent)
    assert shown.new_hip_girth == pytest.approx(seen.new_hip_girth, abs=1e-6)
    assert len(answer(shown)) > 100_000
    folder = Folder(place.parent)
    kept = folder.save("her", plain, None)
    assert "her.glb" in kept.raw.decode()
    assert "fault" not in folder.listing()[0]
    with pytest.raises(silhouette.SheetError, match="lies in no folder"):
        preview_for(plain, None)


def test_the_veil_in_the_picture_lies_on_the_body(seen):
    veil = veil_of(seen)
    assert veil is not None
    used = np.unique(veil.triangles)
    points, normals = veil.points[used], veil.normals[used]
    drops, seam = seen.body.drops, seen.body.outer[:, :, seen.body.seam]
    near = (points[:, 2] < -10) & (points[:, 2] > -seen.body.measures.hip_drop)
    side = near & (np.abs(normals[:, 0]) > 0.99)
    assert side.sum() > 10
    reach = np.interp(-points[side, 2], drops, seam[0, :, 0])
    assert np.abs(np.abs(points[side, 0]) - STANDS_OFF - reach).max() < 3.0
    assert veil_of(silhouette.preview(silhouette.read_sheet("demo"))) is None
