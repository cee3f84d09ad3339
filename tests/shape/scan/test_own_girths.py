"""A sheet with a scan and no waist or hip: the scan's own are taken, marked, and everything runs on them."""

from __future__ import annotations

import datetime
import json

import numpy as np
import pytest
import trimesh

import silhouette
from silhouette.asked.reading import read_text
from silhouette.asked.writing import to_plain
from silhouette.cutting.output import write_templates
from silhouette.page.answers import numbers, preview_for
from silhouette.page.clients_folder import Folder
from silhouette.page.proposal import proposal
from silhouette.search.fitted import Reading, recorded
from silhouette.search.maker import habit_of
from silhouette.search.thickness import thickness_for
from silhouette.search.what_now import what_now
from silhouette.shape.known_body import hip_of
from silhouette.shown.report import report
from silhouette.shown.sentences import estimated, mark_note
from tests.shape.scan.scans import around, around_ellipse, body_on, ellipse_woman, refusal, saved, sheet, taut, woman

LEVELS = {"scan_waist": 740.0, "scan_hip": 530.0}


@pytest.fixture(scope="module")
def asked(place):
    _, at = woman(1)
    return sheet(place, {}, scan_waist=at["waist"], scan_hip=at["hip"], scan_unit="m")


@pytest.fixture(scope="module")
def shown(asked):
    return silhouette.preview(asked)


def test_the_scan_s_own_girths_are_taken(asked, shown):
    """Against sections cut by trimesh, and to the same body as on a sheet that has them from there."""
    mesh, at = woman(1)
    waist, hip = (around(taut(mesh, at[name])[0]) for name in ("waist", "hip"))
    m = shown.figure.measures
    assert (m.waist, m.hip) == pytest.approx((waist, hip), abs=0.3)
    assert hip_of(asked) == m.hip and asked.girths.hip is None
    taped = silhouette.with_values(asked, {"girths.waist": m.waist, "girths.hip": m.hip})
    assert np.abs(body_on(taped).outer - shown.body.outer).max() < 1e-6


def test_they_are_marked_wherever_they_are_shown(shown, tmp_path):
    assert estimated(shown)[:3] == ["girths.waist", "girths.high_hip", "girths.hip"]
    assert mark_note(shown).startswith("from the scan")
    assert not any(level.measured for level in shown.levels)
    plain = report(shown, solids=False)
    assert json.loads(json.dumps(plain["rests_on"])) == plain["rests_on"]
    assert plain["rests_on"]["scan"]["girths_from_scan"] == ["waist", "high_hip", "hip", "thigh", "knee"]
    assert "Waist and hip are its own." in plain["rests_on"]["words"]
    assert not any(row["measured"] for row in plain["girths"])
    on_page = numbers(shown)
    assert on_page["values"]["girths.hip"] == pytest.approx(shown.figure.measures.hip, abs=1e-3)
    write_templates(shown, tmp_path / "templates", "sheet")
    assert any((tmp_path / "templates").iterdir())


def test_it_is_written_and_read_without_them(asked, shown, place):
    assert "girths" not in to_plain(asked)
    text = silhouette.sheet_toml(asked)
    assert read_text(text, place.parent) == asked
    folder = Folder(place.parent)
    folder.save("her own", to_plain(asked), None)
    assert not any("fault" in row for row in folder.listing())
    again = preview_for(to_plain(asked), "in", place.parent)
    assert again.new_hip_girth == pytest.approx(shown.new_hip_girth, abs=1e-6)


def test_search_fittings_and_the_page_s_first_pads_run_on_them(asked, shown, place):
    wanted = shown.new_hip_girth + 15
    assert thickness_for(asked, wanted).exact.hip == pytest.approx(wanted, abs=1.0)
    wish = silhouette.with_values(asked, {"aim.hip": shown.figure.measures.hip - 10})
    with pytest.raises(silhouette.SheetError, match="not above her own hip"):
        proposal(wish)
    text = silhouette.sheet_toml(asked)
    built = recorded(text, Reading(shown.new_hip_girth - 12, "pads", datetime.date(2026, 11, 25)), place.parent)
    body = [cause for cause in what_now(built.sheet, built.lesson, "pads").causes if cause.name == "body"]
    assert body and body[0].needed == pytest.approx(shown.figure.measures.hip - 12, abs=4)
    assert habit_of([(built.sheet, [built.record])] * 3) is not None


def test_what_her_own_hip_forbids_is_refused_once_it_is_known(asked, shown):
    """The sheet could not know: half of her hip, and a shell smaller than she is."""
    hip = shown.figure.measures.hip
    wrong = silhouette.with_values(asked, {"pads.front_reach": hip / 2 + 20, "cloth.shell_hip": hip - 30})
    for like in (None, shown.figure):
        with pytest.raises(silhouette.SheetError) as caught:
            silhouette.preview(wrong, like)
        said = str(caught.value)
        assert "wider than the body" in said and "smaller than the body" in said


def test_without_a_scan_both_are_asked_for_at_once():
    with pytest.raises(silhouette.SheetError) as caught:
        silhouette.from_plain({"unit": "mm", "pads": {"thickness": 900}})
    places = [fault.place for fault in caught.value.faults]
    assert "girths.waist" in places and "girths.hip" in places and any("thickness" in place for place in places)


@pytest.mark.parametrize(("unit", "girths"), [("cm", {}), ("in", {}), ("mm", {"waist": 700}), ("in", {"waist": 700})])
def test_the_unit_is_known_by_her_waist_or_by_her_size(unit, girths, tmp_path):
    body = body_on(sheet(saved(ellipse_woman(), tmp_path / "her.ply", unit), girths, **LEVELS))
    assert body.scan is not None and body.scan.unit == unit
    assert body.measures.hip == pytest.approx(around_ellipse(186, 126), abs=0.5)
    assert [doubt.startswith(f"taken to be in {unit}") for doubt in body.scan.doubts] == [True] * (not girths)


@pytest.mark.parametrize("scale", [0.4, 2.2, 1 / 340])
def test_a_unit_that_cannot_be_known_is_refused_with_the_way_out(scale, tmp_path):
    mesh = ellipse_woman()
    mesh.apply_scale(scale)
    text = refusal(sheet(saved(mesh, tmp_path / "odd.ply"), {}))
    assert "body.scan_unit" in text and "girths.hip" in text


def test_a_unit_given_wrong_is_refused(tmp_path):
    for unit in ("cm", "m"):
        text = refusal(sheet(saved(ellipse_woman(), tmp_path / "her.ply"), {}, scan_unit=unit, **LEVELS))
        assert "mend body.scan_unit" in text


def test_unit_lean_and_arm_are_said_at_once(tmp_path):
    mesh = ellipse_woman()
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.radians(6), [0, 1, 0]))
    hand = (np.abs(mesh.vertices[:, 2] - 850) < 30) & (mesh.vertices[:, 0] > 130)
    mesh.vertices = mesh.vertices + np.where(hand, 70.0, 0.0)[:, None] * [1, 0, 0]
    mesh.apply_scale(1 / 340)
    text = refusal(sheet(saved(mesh, tmp_path / "all.ply"), {}, scan_front="y"))
    assert "body.scan_unit" in text and "leans" in text and "arm or hand" in text
