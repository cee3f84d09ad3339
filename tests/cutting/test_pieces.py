"""What stands on the pieces, covers, edge card and workroom pages. Common practice of the trade, no source:
two front and two back pads, every piece named, covers with their stretchiest direction across the body."""

from __future__ import annotations

import io

import numpy as np
import pypdf
import pytest
import shapely

import silhouette
from silhouette.asked.pads import PROFILES
from silhouette.asked.supplies import Foam
from silhouette.cutting.buying import weight_words
from silhouette.cutting.edge import Edge, card, profile_line, steps
from silhouette.cutting.job import prepare
from silhouette.cutting.paper.booklet import tiled_pdf
from silhouette.cutting.unrolled import length_of
from silhouette.shape.draft import profile_height
from silhouette.shown.sentences import CAUTIONS
from tests.cutting.workshop import CLIENTS, TODAY, seen

NAMES = list(CLIENTS)


def lines_of(piece, pen):
    return [line.points for line in piece.lines if line.pen == pen]


@pytest.mark.parametrize("name", NAMES)
def test_two_front_and_two_back_pads_each_with_its_words(jobs, name):
    job = jobs[name]
    assert [p.name for p in job.foam] == ["left front", "left back", "right front", "right back"]
    for piece, pad in zip(job.foam, job.result.pads, strict=True):
        text = " ".join(n.text for n in piece.notes)
        for wanted in (piece.name.upper(), "cut 1", "outside", job.heading.client, "4 Mar 2026", pad.profile):
            assert wanted in text
        assert f"{pad.foam:.1f} mm" in text or f"{pad.foam:.0f} mm" in text
        assert {line.pen for line in piece.lines} >= {
            "cut",
            "seam",
            "bevel",
            "carve",
            "hip",
            "notch",
            "arrow",
            "section",
        }
        outline = shapely.Polygon(piece.outline).buffer(0.3)
        inner = [line.points for line in piece.lines if line.pen not in ("cut",)]
        assert all(outline.contains(shapely.MultiPoint(points)) for points in inner)
        assert all(outline.contains(shapely.Point(n.at)) for n in piece.notes)


@pytest.mark.parametrize("name", NAMES)
def test_up_arrows_point_up(jobs, name):
    for piece in jobs[name].foam:
        shaft = lines_of(piece, "arrow")[0]
        assert shaft[1, 1] > shaft[0, 1] + 5 and shaft[0, 0] == shaft[1, 0]


@pytest.mark.parametrize("name", NAMES)
def test_notches_match_front_to_back(jobs, name):
    """Each notch stands at the same length along the seam on both pieces, from the upper tip."""
    job = jobs[name]
    for front, back in ((0, 1), (2, 3)):
        runs = []
        for k in (front, back):
            seam = shapely.LineString(job.templates[k].seam)
            runs.append([seam.project(shapely.Point(n[0])) for n in lines_of(job.foam[k], "notch")])
        assert len(runs[0]) == len(runs[1]) == 3
        assert np.abs(np.array(runs[0]) - np.array(runs[1])).max() < 0.5


@pytest.mark.parametrize("profile", PROFILES)
def test_the_edge_card_fits_the_edge(profile):
    """Card and foam section touch all along the bevel and nowhere overlap."""
    edge = Edge(20.0, 45.0, profile)
    outline = shapely.Polygon(card(edge, "test").outline)
    run = profile_line(edge)
    foam = shapely.Polygon(np.concatenate([run, [[edge.bevel + 15, edge.foam], [edge.bevel + 15, 0.0]]]))
    assert outline.is_valid
    assert outline.intersection(foam).area < 1e-6
    together = outline.union(foam)
    assert together.geom_type == "Polygon"
    touching = outline.exterior.intersection(foam.exterior.buffer(1e-6)).length
    assert touching == pytest.approx(length_of(run) + 15, rel=1e-3)


@pytest.mark.parametrize("profile", PROFILES)
def test_carving_steps_are_quarters_of_the_depth(profile):
    found = steps(Edge(24.0, 50.0, profile))
    assert [left for left, _ in found] == [6.0, 12.0, 18.0, 24.0]
    for left, inward in found:
        assert 24.0 * profile_height(profile, np.array([inward / 50.0]))[0] == pytest.approx(left, abs=0.02)
    assert found[-1][1] == 50.0


def test_a_square_edge_has_no_carving():
    plain = {"unit": "in", "girths": {"waist": 30, "hip": 40}, "pads": {"bevel": 0}}
    job = prepare(silhouette.preview(silhouette.from_plain(plain)), TODAY)
    assert all(not lines_of(p, "carve") and not lines_of(p, "bevel") for p in job.foam)
    assert not any(s.title.startswith("Carve") for s in job.steps)
    assert not job.cards and not any("card" in i.what for i in job.buying)
    assert not any("carve" in n.text for p in job.foam for n in p.notes)
    strips = [p for p in job.covers if "strip" in p.name]
    assert len(strips) == 1 and strips[0].count == 2  # the edge stays thick and needs cloth of its own
    assert strips[0].bounds[3] == pytest.approx(19.05 + 2 * job.result.sheet.cloth.cover_allowance)


def cover_of(job, face):
    return next(p for p in job.covers if face in p.name)


def sewing(piece):
    return next(line.points for line in piece.lines if line.pen == "sew")


def test_covers_are_narrowed_across_by_the_pull_and_by_nothing_else():
    """Cloth that stretches 40 %, half of it used: the same piece, 1/1.2 as wide and as high as without pull."""
    base = {"unit": "in", "girths": {"waist": 30, "hip": 40}, "cloth": {"cover_stretch": 40, "cover_pull": 0}}
    loose = prepare(silhouette.preview(silhouette.from_plain(base)), TODAY)
    pulled = prepare(
        silhouette.preview(silhouette.from_plain({**base, "cloth": {"cover_stretch": 40, "cover_pull": 0.5}})), TODAY
    )
    for face in ("inner", "outer"):
        a, b = sewing(cover_of(loose, face)), sewing(cover_of(pulled, face))
        assert np.abs(a * [1 / 1.2, 1.0] - b).max() < 1e-6


@pytest.mark.parametrize("name", NAMES)
def test_covers_have_allowance_stay_line_and_stretch_across(jobs, name):
    job = jobs[name]
    allowance = job.result.sheet.cloth.cover_allowance
    for piece in job.covers:
        line = shapely.LinearRing(sewing(piece))
        around = shapely.distance(shapely.points(piece.outline), line)
        assert np.abs(around - allowance).max() < 0.1
        stay = shapely.LinearRing(lines_of(piece, "stay")[0])
        assert 5.5 < shapely.distance(line, stay) < 6.5
        across = max(lines_of(piece, "arrow"), key=lambda p: np.ptp(p[:, 0]))
        assert np.ptp(across[:, 1]) == 0.0 and np.ptp(across[:, 0]) > 20
        assert any("stretchiest direction, across the body" in n.text for n in piece.notes)
    assert sum(p.count for p in job.covers) == 4  # inner and outer face for both hips
    outer, inner = cover_of(job, "outer"), cover_of(job, "inner")
    assert outer.area > inner.area  # it goes over the thickness


@pytest.mark.parametrize("name", NAMES)
def test_covers_say_front_back_up_side_seam_opening_and_loops(jobs, name):
    for piece in jobs[name].covers:
        said = [n.text for n in piece.notes]
        assert {"FRONT", "BACK", "up", "side seam", "leave open"} <= set(said) and said.count("loop") == 2
        seam = lines_of(piece, "place")[0]
        front, back = (next(n.at[0] for n in piece.notes if n.text == word) for word in ("FRONT", "BACK"))
        left = "right" not in piece.name  # on her left hip the front lies to the left
        assert (front < seam[:, 0].mean() < back) == left
        across = lines_of(piece, "place")[1:]
        ring, sewn = shapely.LinearRing(piece.outline), shapely.LinearRing(sewing(piece))
        marks = [sewn.project(sewn.intersection(shapely.LineString(line))) for line in across]
        assert len(marks) == 4 and all(ring.distance(shapely.Point(line[1])) < 1.0 for line in across)
        way = (marks[1] - marks[0]) % sewn.length
        assert min(way, sewn.length - way) == pytest.approx(100.0, abs=0.5)  # a hand's breadth


def test_firm_covers_wrap_each_pad_by_itself_before_the_side_seam_is_sewn():
    """Cloth without stretch: each outer face reaches over the upright side-seam edge by the foam's thickness."""
    plain = {"unit": "in", "girths": {"waist": 30, "hip": 40}, "cloth": {"cover_stretch": 0}}
    job = prepare(silhouette.preview(silhouette.from_plain(plain)), TODAY)
    assert [p.name for p in job.covers] == [
        f"{part} cover, {face} face" for part in ("front", "back") for face in ("inner", "outer")
    ]
    for template, (inner, outer) in zip(job.templates, (job.covers[:2], job.covers[2:]), strict=False):
        assert shapely.Polygon(sewing(inner)).area == pytest.approx(template.area, rel=0.01)
        seam = lines_of(outer, "place")[0]
        middle = seam[len(seam) // 2]
        assert shapely.LinearRing(sewing(outer)).distance(shapely.Point(middle)) == pytest.approx(19.05, abs=0.4)
        assert shapely.LinearRing(sewing(inner)).distance(shapely.Point(lines_of(inner, "place")[0][5])) < 1e-6
    titles = [s.title for s in job.steps]
    assert titles.index("Cover") < titles.index("Sew front to back")
    assert any("firm" in i.what for i in job.buying) and not any("strip" in p.name for p in job.covers)


@pytest.mark.parametrize("name", ["demo", "lean"])
def test_raw_edges_are_neatened(jobs, name):
    assert "Neaten the raw edges" in next(s.words for s in jobs[name].steps if s.title == "Cover")


def test_an_inner_cover_is_the_two_pads_joined(jobs):
    job = jobs["demo"]
    pull = 1 + job.result.sheet.cloth.cover_stretch / 100 * job.result.sheet.cloth.cover_pull
    joined = shapely.Polygon(sewing(cover_of(job, "inner"))).area * pull
    assert joined == pytest.approx(sum(t.area for t in job.templates[:2]), rel=0.02)


def test_layouts_hold_every_piece_and_mirror_the_mirrored(jobs):
    for job in jobs.values():
        laid = [p for sheet in job.sheets for p in sheet.layout.placed]
        assert sorted(p.name for p in laid) == sorted(t.name for t in job.templates)
        for sheet in job.sheets:
            shapes = [shapely.Polygon(p.outline) for p in sheet.layout.placed]
            assert all(not a.intersects(b) for k, a in enumerate(shapes) for b in shapes[:k])
            assert max(s.bounds[2] for s in shapes) <= sheet.layout.width
            assert max(s.bounds[3] for s in shapes) <= sheet.ask
        by_name = {p.name: p.outline for p in laid}
        for template in job.templates:
            turned = shapely.LinearRing(by_name[template.name]).is_ccw
            assert turned == shapely.LinearRing(template.outline).is_ccw
    left, right = (jobs["demo"].templates[k].outline for k in (0, 2))
    assert shapely.LinearRing(left).is_ccw != shapely.LinearRing(right).is_ccw


def test_foam_of_two_thicknesses_is_bought_apart(jobs):
    job = jobs["uneven"]
    assert [s.foam for s in job.sheets] == [15.0, 25.0]
    assert sum("foam sheet" in i.what for i in job.buying) == 2


def test_weight_is_volume_times_density():
    assert weight_words(1e6, Foam(grade="35/50"))[0] == "35 g"  # one litre at 35 kg/m³
    low, high = weight_words(2e6, Foam())[0].removesuffix(" g").split(" to ")
    assert (float(low), float(high)) == (50.0, 80.0)


def test_the_making_order_runs_in_order_with_its_cautions(jobs):
    titles = [s.title for s in jobs["demo"].steps]
    order = [
        "Measure the foam first",
        "Cut the foam",
        "Carve the edge",
        "Check the mirrored pairs",
        "Sew front to back",
        "Cover",
        "Fit",
        "Record the fitted girth",
    ]
    places = [titles.index(t) for t in order]
    assert places == sorted(places) and titles[0] == order[0] and titles[-1] == order[-1]
    by_title = {s.title: s for s in jobs["demo"].steps}
    assert "away from your body" in by_title["Cut the foam"].caution
    assert "Carve away from the body" in by_title["Carve the edge"].caution
    assert "ventilation" in by_title["Carve the edge"].caution
    assert "latex" in by_title["Cover"].caution


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_workroom_pages_are_complete_and_one_page_each(jobs, name, paper):
    job = jobs[name]
    pages = [p.extract_text() for p in pypdf.PdfReader(io.BytesIO(tiled_pdf(job, paper))).pages]
    titles = [
        "Templates:",
        "Workroom card",
        "Making order",
        "Shell and lining",
        "Panels before and after",
        "Buying list",
        "Bevel guide",
    ]
    for page, title in zip(pages, titles, strict=False):
        assert title in page
    assert all(step.title in pages[2] for step in job.steps)
    assert " ".join(CAUTIONS[0].split()[:4]) in " ".join(pages[2].split())
    assert all(row.name in " ".join(pages[3].split()) for row in job.panels.rows)
    assert all(item.amount.split(" of ")[0] in pages[5] for item in job.buying)
    assert "100 mm" in pages[0]
    card = " ".join(pages[1].split())
    assert all(half.name in card for half in job.halves) and job.heading.client in card and "4 Mar 2026" in card
    assert "close-fitting" in card and "cut to" in card and "waist raised at the side" in card


def test_pictures_in_any_alphabet_do_not_fail():
    plain = {"unit": "cm", "client": {"name": "Łucja Ὀδύσσεια Ж <b>&amp; 衣"}, "girths": {"waist": 75, "hip": 100}}
    job = prepare(silhouette.preview(silhouette.from_plain(plain)), TODAY)
    assert tiled_pdf(job, "a4").startswith(b"%PDF")


def test_a_lone_back_pad_is_prepared_too():
    plain = {"unit": "cm", "girths": {"waist": 75, "hip": 100}, "pads": {"front": False}}
    job = prepare(silhouette.preview(silhouette.from_plain(plain)), TODAY)
    assert [p.name for p in job.foam] == ["left back", "right back"]
    assert all(not lines_of(p, "seam") for p in job.foam)
    assert not any(s.title == "Sew front to back" for s in job.steps)
    assert seen("demo").pads[0].name == "left front"


def test_where_to_hang_the_pads_is_told_for_each_side_that_differs(jobs):
    hang = {name: next(s.words for s in job.steps if s.title == "Hang the pads") for name, job in jobs.items()}
    plain = {name: " ".join(text.split()) for name, text in hang.items()}
    assert "upper end 1 1/2 in below the waist, hip notch 8 1/4 in below it, back edge 1 in" in plain["demo"]
    assert "upper end 5.0 cm (left) and 4.0 cm (right) below the waist" in plain["uneven"]


def test_a_long_name_is_cut_to_fit():
    plain = {"unit": "cm", "client": {"name": "x" * 300 + "\n" + "y" * 900}, "girths": {"waist": 75, "hip": 100}}
    job = prepare(silhouette.preview(silhouette.from_plain(plain)), TODAY)
    assert job.heading.client == "x" * 47 + "…"
