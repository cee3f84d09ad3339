"""What cannot be cut is refused in plain words, with exit status 2 and nothing written."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import silhouette
from silhouette.asked.faults import SheetError
from silhouette.cli.commands import main
from silhouette.cutting import job as job_module
from silhouette.cutting.job import prepare
from silhouette.cutting.output import template_files
from silhouette.cutting.paper.booklet import tiled_pdf
from tests.cutting.workshop import TODAY, seen

SHEET = """
unit = "in"
[girths]
waist = 30
hip = 40
"""


def run(capsys, *arguments):
    with pytest.raises(SystemExit) as left:
        main(["templates", *map(str, arguments)])
    return left.value.code, capsys.readouterr().err


@pytest.fixture
def sheet(tmp_path):
    def write(more=""):
        path = tmp_path / "client.toml"
        path.write_text(SHEET + more)
        return path

    return write


def test_a_foam_sheet_narrower_than_a_piece(capsys, sheet, tmp_path):
    code, told = run(capsys, sheet("[foam]\nsheet_width = 6\n"), "--out", tmp_path / "out")
    assert code == 2
    assert "foam.sheet_width = 6 in" in told and "back" in told and "at least" in told
    assert not (tmp_path / "out").exists()
    needed = float(told.split("at least ")[1].split(" in")[0])
    prepare(silhouette.preview(silhouette.read_text(SHEET + f"[foam]\nsheet_width = {needed}\n")), TODAY)


def test_a_cover_cloth_narrower_than_a_piece(capsys, sheet, tmp_path):
    code, told = run(capsys, sheet("[cloth]\ncover_width = 10\n"), "--out", tmp_path / "out")
    assert code == 2 and "cloth.cover_width = 10 in" in told and "cover" in told


def test_an_unknown_page_size_names_the_nearest(capsys, sheet, tmp_path):
    code, told = run(capsys, sheet(), "--out", tmp_path / "out", "--page", "leter")
    assert code == 2 and "leter" in told and "did you mean letter?" in told and "a4" in told
    assert not (tmp_path / "out").exists()


def test_a_folder_that_cannot_be_written(capsys, sheet, tmp_path):
    place = tmp_path / "taken"
    place.write_text("a file")
    code, told = run(capsys, sheet(), "--out", place)
    assert code == 2 and "file stands" in told
    assert place.read_text() == "a file"


def test_out_is_compulsory(capsys, sheet):
    code, told = run(capsys, sheet())
    assert code == 2 and "out" in told.lower()


def test_a_sheet_without_pads_has_nothing_to_cut(capsys, sheet, tmp_path):
    code, told = run(capsys, sheet("[pads]\nfront = false\nback = false\n"), "--out", tmp_path / "out")
    assert code == 2 and "nothing to cut" in told
    assert not (tmp_path / "out").exists()


def test_a_faulty_sheet_lists_its_faults(capsys, sheet, tmp_path):
    code, told = run(capsys, sheet("[cloth]\nnip = 9\ncover_stretch = 500\n"), "--out", tmp_path / "out")
    assert code == 2 and "cloth.nip" in told and "cloth.cover_stretch" in told and "0 to 150" in told


def test_a_pad_that_folds_over_itself_is_named(monkeypatch):
    """A body wound up like a spiral stair, two and a half turns to the knee: its pads cannot lie flat."""
    shown = seen("demo")
    body = shown.body

    def wound(points):
        turn = 5 * np.pi * points[..., 2] / points[..., 2].min()
        far = 60.0 + np.hypot(points[..., 0], points[..., 1]) * 0.3
        return np.stack([far * np.cos(turn), far * np.sin(turn), points[..., 2] * 0.02], axis=-1)

    outer = wound(body.outer)
    monkeypatch.setattr("silhouette.shape.pads.crosses_itself", lambda pad: False)  # let it come as far as the table
    twisted = replace(shown, figure=replace(shown.figure, body=replace(body, outer=outer)))
    with pytest.raises(SheetError) as caught:
        prepare(twisted, TODAY)
    assert any("cannot be cut from a flat sheet" in f.message and "laid flat" in f.message for f in caught.value.faults)
    assert any("left back" in f.place for f in caught.value.faults)
    monkeypatch.undo()


def test_stretch_beyond_what_foam_forgives_is_advised(monkeypatch):
    shown = seen("demo")
    advised = prepare(shown, TODAY)  # its back pads lie over the seat
    monkeypatch.setattr(job_module, "FORGIVEN", 0.20)
    assert not prepare(shown, TODAY).advice
    assert [a.split(":")[0] for a in advised.advice] == ["Left back and right back"]
    assert any("dart" in step.words for step in advised.steps)


@settings(max_examples=10)
@given(
    waist=st.floats(520, 1400),
    over=st.floats(1.02, 1.45),
    thickness=st.floats(2, 60),
    bevel=st.floats(0, 160),
    profile=st.sampled_from(["straight", "rounded", "feathered"]),
    fullness=st.floats(0, 1),
    start=st.floats(0, 110),
    gap=st.floats(-40, 150),
    front=st.booleans(),
)
@example(1259.5, 1.4056, 56.0, 58.2, "straight", 0.256, 0.0, 56.0, True)  # darts that no evening brings to rest
@example(1259.5, 1.4056, 59.1, 58.2, "feathered", 0.256, 0.0, -0.5, True)
def test_any_sheet_is_prepared_or_refused_in_words(waist, over, thickness, bevel, profile, fullness, start, gap, front):
    pads = {
        "thickness": thickness,
        "bevel": bevel,
        "profile": profile,
        "fullness": fullness,
        "start": start,
        "back_gap": gap,
        "front": front,
    }
    plain = {"unit": "mm", "girths": {"waist": waist, "hip": waist * over}, "pads": pads}
    try:
        job = prepare(silhouette.preview(silhouette.from_plain(plain)), TODAY)
    except SheetError as error:
        assert all(f.place and f.message for f in error.faults)
        return
    for template in job.templates:
        assert np.isfinite(template.outline).all() and template.volume > 0
        assert abs(template.seam_length - template.seam_on_body) < 0.8
    assert all(np.isfinite(row.gains).all() for row in job.panels.rows)
    assert tiled_pdf(job, "letter").startswith(b"%PDF")


@pytest.mark.parametrize("thickness", [20.0, 56.0])
def test_no_skirt_is_cut_by_darts_that_run_away(thickness):
    """Evened darts leave the waist as long as it is on the figure, or there is no skirt to cut."""
    pads = {"thickness": thickness, "bevel": 58.2, "profile": "straight", "start": 0, "back_gap": thickness}
    plain = {"unit": "mm", "girths": {"waist": 1259.5, "hip": 1770.3}, "pads": pads, "aim": {"look": "stage"}}
    job = prepare(silhouette.preview(silhouette.from_plain(plain), advice=False), TODAY)
    assert job.templates
    assert bool(job.halves) == (thickness == 20)
    for half in job.halves:
        flat = half.panel.waist_length
        assert flat == pytest.approx(1259.5 / 4, rel=0.15), half.of


def test_a_skirt_that_cannot_be_laid_flat_leaves_the_pads_their_templates():
    plain = {
        "unit": "mm",
        "girths": {"waist": 700, "hip": 930},
        "pads": {"thickness": 60, "bevel": 30, "start": 20, "end": 110},
        "aim": {"look": "stage"},
    }
    shown = silhouette.preview(silhouette.from_plain(plain), advice=False)
    job = prepare(shown, TODAY)
    assert len(job.foam) == 4 and job.covers and job.strips and not job.garment
    assert any("pieces are left out" in words for words in job.advice)
    files = template_files(shown, "a4", TODAY)
    assert files["templates-a4.pdf"].startswith(b"%PDF") and b'"shell_pieces": []' in files["templates.json"]
    assert not any("shell cloth" in item.what for item in job.buying)
