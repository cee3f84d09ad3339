"""SVG and DXF read back by other readers; folders written whole or not at all."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
import shapely
import svgelements
from ezdxf.filemanagement import readfile

from silhouette.asked.faults import OutputError
from silhouette.cutting.output import PAGES, template_files, write_templates
from silhouette.cutting.paper.dxf import dxf_text
from silhouette.cutting.paper.svg import svg_text
from silhouette.cutting.piece import PENS, scale_piece, side_by_side
from tests.cutting.workshop import TODAY, seen


def apart(one, two):
    """Largest distance between two closed outlines, mm."""
    return shapely.hausdorff_distance(shapely.LinearRing(one), shapely.LinearRing(two))


def test_svg_is_in_true_millimetres(demo, tmp_path):
    """svgelements turns the document's units into pixels of 1/96 in; in mm outlines agree within 0.05."""
    path = tmp_path / "t.svg"
    path.write_text(svg_text([scale_piece(), *demo.pieces], "Templates"), encoding="utf-8")
    drawing = svgelements.SVG.parse(str(path))
    pixel = 25.4 / 96
    placed, wide, high = side_by_side([scale_piece(), *demo.pieces], 900.0)
    assert (drawing.width * pixel, drawing.height * pixel) == pytest.approx((wide, high), abs=0.01)
    groups = {g.id: g for g in drawing.select(lambda e: isinstance(e, svgelements.Group) and e.id)}
    for piece in placed:
        paths = [e for e in groups[piece.name] if isinstance(e, svgelements.Path)]
        kind = "scale" if piece.kind == "scale" else "cut"
        found = next(p for p in paths if p.values["class"] == kind)
        points = np.array([(s.end.x, high / pixel - s.end.y) for s in found if s.end is not None]) * pixel
        wanted = piece.lines[0].points if piece.kind == "scale" else piece.outline
        assert apart(points, wanted) < 0.05
        assert {p.values["class"] for p in paths} == {line.pen for line in piece.lines}


def read_dxf(text):
    """Units and polylines (layer, closed, points), read by the test itself from the group codes."""
    lines = text.splitlines()
    pairs = list(zip((int(c) for c in lines[::2]), (v.strip() for v in lines[1::2]), strict=True))
    units = next(pairs[k + 1][1] for k, p in enumerate(pairs) if p == (9, "$INSUNITS"))
    found: list[dict[str, Any]] = []
    current: dict[str, Any] | None = None
    for code, value in pairs:
        if code == 0:
            if current is not None:
                found.append(current)
            current = {"layer": "", "closed": False, "x": [], "y": []} if value == "LWPOLYLINE" else None
        elif current is not None:
            if code == 8:
                current["layer"] = value
            elif code == 70:
                current["closed"] = bool(int(value) & 1)
            elif code in (10, 20):
                current["x" if code == 10 else "y"].append(float(value))
    return units, [(c["layer"], c["closed"], np.column_stack([c["x"], c["y"]])) for c in found]


def test_dxf_is_in_millimetres_on_named_layers(demo, tmp_path):
    text = dxf_text([scale_piece(), *demo.pieces])
    units, lines = read_dxf(text)
    assert units == "4"  # millimetres
    placed, _, _ = side_by_side([scale_piece(), *demo.pieces], 900.0)
    outlines = [points for layer, closed, points in lines if layer == "cut" and closed]
    wanted = [p.outline for p in placed if p.kind != "scale"]
    assert len(outlines) == len(wanted)
    assert all(apart(a, b) < 0.05 for a, b in zip(outlines, wanted, strict=True))
    sides = [np.ptp(points, axis=0) for layer, _, points in lines if layer == "scale"]
    assert sorted(float(s) for side in sides for s in side) == pytest.approx([100.0, 100.0, 101.6, 101.6])
    assert {layer for layer, _, _ in lines} <= set(PENS)
    path = tmp_path / "t.dxf"
    path.write_text(text, encoding="utf-8")
    document = readfile(path)
    assert not document.audit().errors
    assert set(PENS) <= {layer.dxf.name for layer in document.layers}


def test_the_same_preview_gives_the_same_pdf_and_svg():
    one, two = (template_files(seen("demo"), "sheet", TODAY) for _ in range(2))
    assert one["templates-sheet.pdf"] == two["templates-sheet.pdf"]
    assert one["templates.svg"] == two["templates.svg"] and one["templates.json"] == two["templates.json"]


@pytest.mark.parametrize("page", PAGES)
def test_each_page_choice_writes_its_files(tmp_path, page):
    told = write_templates(seen("lean"), tmp_path / "out", page, TODAY)
    names = {f.name for f in (tmp_path / "out").iterdir()}
    papers = ("a4", "letter", "sheet") if page == "all" else (page,)
    assert names == {f"templates-{p}.pdf" for p in papers} | {f"templates.{e}" for e in ("svg", "dxf", "json")}
    assert all((tmp_path / "out" / f"templates-{p}.pdf").read_bytes().startswith(b"%PDF") for p in papers)
    assert any("laid flat" in line for line in told) and any("ask for" in line for line in told)


def test_numbers_repeat_what_was_prepared(demo):
    plain = json.loads(template_files(demo.result, "a4", TODAY)["templates.json"])
    assert [p["name"] for p in plain["pieces"]] == ["left front", "left back", "right front", "right back"]
    assert sum(p["volume_mm3"] for p in plain["pieces"]) == pytest.approx(sum(t.volume for t in demo.templates), abs=1)
    hip = next(r for r in plain["shell"] if r["level"] == "hip")
    bare = float(np.interp(hip["drop_mm"], demo.panels.bare.drops, demo.panels.bare.girth))
    assert sum(hip["gains_mm"].values()) == pytest.approx(hip["shell_mm"] - bare, abs=0.1)


def test_other_files_in_the_folder_are_left_alone(tmp_path):
    keep = tmp_path / "notes.txt"
    keep.write_text("Ask about the hem.")
    write_templates(seen("lean"), tmp_path, "a4", TODAY)
    first = (tmp_path / "templates.svg").read_bytes()
    write_templates(seen("lean"), tmp_path, "a4", TODAY)  # written again over the first
    assert keep.read_text() == "Ask about the hem."
    assert (tmp_path / "templates.svg").read_bytes() == first
    assert not [f for f in tmp_path.iterdir() if f.name.startswith(".")]


def test_a_disk_that_fills_up_leaves_nothing_half_written(tmp_path, monkeypatch):
    import os

    calls = []

    def full(handle):
        calls.append(handle)
        if len(calls) == 3:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="No space"):
        write_templates(seen("lean"), tmp_path, "all", TODAY)
    assert list(tmp_path.iterdir()) == []


def test_a_file_where_the_folder_should_be_is_refused_before_any_work(tmp_path):
    place = tmp_path / "out"
    place.write_text("a file")
    with pytest.raises(OutputError, match="file stands"):
        write_templates(seen("lean"), place, "a4", TODAY)
    with pytest.raises(OutputError, match=r"file stands|cannot be written"):
        write_templates(seen("lean"), place / "deeper", "a4", TODAY)
    assert place.read_text() == "a file"
