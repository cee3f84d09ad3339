"""The output folder: everything the issue of a preview promises is there, opens, and says the same thing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from silhouette.asked.reading import from_plain
from silhouette.cli import commands as cli
from silhouette.pipeline import preview
from silhouette.shape.solids import solids_of
from silhouette.shown import outputs, views
from silhouette.shown.models import from_gltf, glb, model_files, to_gltf
from silhouette.shown.report import report
from silhouette.shown.views import NO_PICTURE
from tests.clients import plain_sheet
from tests.loaded_meshes import mesh_of, meshes_of, scene_of
from tests.shown.test_drawings import png_size

#: One thick pad in front on the left, a thin one behind on the right: nothing is mirrored.
UNLIKE = plain_sheet(pads={"left": {"back": False, "thickness": 1}, "right": {"front": False, "thickness": 0.5}})


@pytest.fixture
def no_opengl(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "can_render", lambda: False)


def call(*arguments: str | Path) -> int:
    try:
        cli.main([str(a) for a in arguments])
    except SystemExit as left:
        return int(left.code or 0)
    return 0


def test_without_opengl_one_sentence_and_everything_else(
    no_opengl: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new" / "out"
    assert call("preview", "demo", "--json", "--out", out) == 0
    said, told = capsys.readouterr()
    assert told.splitlines()[0] == NO_PICTURE and len(told.splitlines()) == 2
    pads = [f"pad-{side}-{part}.stl" for side in ("left", "right") for part in ("front", "back")]
    assert {p.name for p in out.iterdir()} == {
        "silhouettes.svg",
        "silhouettes.png",
        "body.glb",
        "padded.glb",
        "dressed.glb",
        "report.json",
        *pads,
    }
    assert json.loads((out / "report.json").read_text("utf-8")) == json.loads(said)
    ElementTree.parse(out / "silhouettes.svg")
    assert png_size((out / "silhouettes.png").read_bytes())[0] > 1000
    for name in pads:
        mesh = mesh_of((out / name).read_bytes())
        assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 50_000


def test_an_existing_folders_other_files_stay_and_stale_ones_are_named(
    no_opengl: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    (tmp_path / "report.json").write_text("old")
    (tmp_path / "views.png").write_text("of an earlier run")
    (tmp_path / "pad-left-back.stl").write_text("of an earlier run")
    sheet = tmp_path / "sheet.toml"
    sheet.write_text('unit = "in"\n[girths]\nwaist = 31\nhip = 42\n[pads]\nback = false\n', "utf-8")
    assert call("preview", sheet, "--out", tmp_path) == 0
    told = capsys.readouterr().err
    assert "pad-left-back.stl, views.png left there by an earlier run" in told
    assert (tmp_path / "notes.txt").read_text() == "mine"
    assert (tmp_path / "views.png").read_text() == "of an earlier run"
    assert json.loads((tmp_path / "report.json").read_text("utf-8"))["verdict"]
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]


def test_an_output_place_that_cannot_be_ends_with_2_and_no_table(
    no_opengl: None, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("mine")
    for place in (tmp_path / "file", tmp_path / "file" / "below"):
        assert call("preview", "demo", "--out", place) == 2
        out, err = capsys.readouterr()
        assert out == "" and "a file stands where" in err
    assert (tmp_path / "file").read_text() == "mine"

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    assert call("preview", "demo", "--out", tmp_path / "out") == 2
    out, err = capsys.readouterr()
    assert out == "" and "No space left on device" in err
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_comparison_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("compare", "demo", "demo", "--out", tmp_path) == 0
    assert "comparison.svg" in capsys.readouterr().err
    wanted = {"comparison.svg", "comparison.png", "comparison.json"}
    wanted |= {"figures.png", "figures.svg"} if views.can_render() else set()
    assert {p.name for p in tmp_path.iterdir()} == wanted
    said = json.loads((tmp_path / "comparison.json").read_text("utf-8"))
    assert [one["name"] for one in said] == ["demo (1)", "demo (2)"] and said[0]["verdict"]


def test_3d_files_are_right_handed_in_metres_and_left_stays_left() -> None:
    """Axes as glTF 2.0 (Khronos, section 3.4) has them: +Y up, +Z forward, +X to the figure's own left."""
    seen = preview(from_plain(UNLIKE))
    files = model_files(seen)
    assert set(files) == {"body.glb", "padded.glb", "dressed.glb", "pad-left-front.stl", "pad-right-back.stl"}
    assert set(scene_of(files["padded.glb"]).graph.nodes_geometry) == {"body", "left front", "right back"}
    parts = meshes_of(files["padded.glb"])
    body, left, right = (parts[name] for name in ("body", "left front", "right back"))
    for mesh in (body, left, right):
        mesh.merge_vertices(merge_tex=True, merge_norm=True)
        assert mesh.is_watertight and mesh.is_winding_consistent
        assert mesh.volume > 0  # a mirrored file would turn its skin inside out
    knee = seen.body.drops[-1] / 1000
    assert body.bounds[1][1] == pytest.approx(0.0, abs=1e-6) and body.bounds[0][1] == pytest.approx(-knee, abs=1e-6)
    left_of, up, front_of = (np.array(axis, dtype=float) for axis in ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
    assert np.allclose(np.cross(left_of, up), front_of)
    assert left.centroid @ left_of > 0.05 > -0.05 > right.centroid @ left_of
    assert left.centroid @ front_of > right.centroid @ front_of + 0.05
    assert body.bounds[0][2] < -body.bounds[1][2]  # the seat stands further behind than the front in front

    drawn = mesh_of(files["pad-left-front.stl"])  # mm, x right, y front, z up
    assert drawn.is_watertight and drawn.volume > 0
    assert drawn.centroid[0] < -50 and drawn.centroid[1] > right.centroid[2] * 1000 and drawn.centroid[2] < -50
    assert drawn.volume == pytest.approx(left.volume * 1e9, rel=1e-4)


def test_axes_there_and_back() -> None:
    points = np.random.default_rng(3).normal(size=(50, 3)) * 300
    assert np.allclose(from_gltf(to_gltf(points)), points)


def test_solids_in_files_are_those_of_the_report() -> None:
    seen = preview(from_plain(UNLIKE))
    parts = meshes_of(glb(solids_of(seen.body, seen.pads)))
    for said in report(seen)["solids"]:
        mesh = parts[said["name"]]
        assert len(mesh.faces) == said["triangles"]
        assert mesh.volume * 1e9 == pytest.approx(said["volume_mm3"], rel=2e-4)


def test_the_folder_is_checked_before_any_drawing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("mine")
    monkeypatch.setattr(outputs, "silhouette_files", lambda *_: pytest.fail("drawn for nothing"))
    assert call("preview", "demo", "--out", tmp_path / "file") == 2
