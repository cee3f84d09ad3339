"""Pads on pads: slabs of one pad, further pads; volumes and girths against exact solids, solids closed and clear."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from silhouette import SheetError
from silhouette.asked.pads import Pads
from silhouette.asked.reading import from_plain
from silhouette.asked.readings import Girths
from silhouette.asked.sheet import MorePads, Sheet
from silhouette.asked.writing import sheet_toml, to_plain, with_values
from silhouette.shape.figure import figure_like, figure_of
from silhouette.shape.layers import inner_end, slab_height
from silhouette.shape.pads import lay_pads, mate_of
from silhouette.shape.refoamed import whole_pads
from silhouette.shape.solids import pad_solid
from silhouette.shape.support import support
from silhouette.shape.tape import Tape, tape_over
from tests.shape.test_crossing import DEEPEST, crossing_depth, read_back, solids_of_random_pads
from tests.shape.test_pads import FLAT, HIP_DROP, cylinder

GIRTHS = Girths(waist=700.0, hip=1000.0)


def disc(radius: float, of: float, **choices: Any) -> Pads:
    """Front and back pad that together are a disc of radius ``of`` about the hip line, on a cylinder."""
    gap = radius * np.pi / 2 - of
    return Pads(start=HIP_DROP - of, end=HIP_DROP + of, fullness=0.5, front_reach=of, back_gap=gap, **choices)


def volume(pads: Any) -> float:
    return sum(pad_solid(pad).volume for pad in pads if pad.side == "left")


@pytest.mark.parametrize("layers", [2, 3, 4])
def test_straight_slabs_on_a_plane_are_slices_of_the_frustum_of_a_cone(layers):
    """Each slab by itself: π t (R² + R r + r²) / 3 between the radii at its faces; elementary geometry."""
    t, bevel, of = 15.0, 60.0, 120.0
    sheet = Sheet(GIRTHS, pads=disc(FLAT, of, thickness=t, bevel=bevel, profile="straight", layers=layers))
    laid = lay_pads(sheet, cylinder(FLAT), 161)
    for layer in range(1, layers + 1):
        wide, narrow = (of - bevel * k / layers for k in (layer - 1, layer))
        true = np.pi * t / 3 * (wide**2 + wide * narrow + narrow**2)
        slab = [pad for pad in laid if pad.layer == layer]
        assert volume(slab) == pytest.approx(true, rel=4e-3)
        assert all(np.allclose(pad.beneath, t * (layer - 1)) for pad in slab)
    assert volume(laid) == pytest.approx(np.pi * t * layers / 3 * (of**2 + of * 60 + 60**2), rel=3e-3)


@pytest.mark.parametrize("profile", ["straight", "rounded", "feathered"])
def test_slabs_make_the_shape_of_one_pad_of_their_whole_thickness(profile):
    """On the body: volume and tape of two slabs against one pad twice as thick."""
    one = figure_of(
        from_plain(
            {
                "unit": "mm",
                "girths": {"waist": 740, "hip": 1010},
                "pads": {"thickness": 30, "bevel": 60, "profile": profile},
            }
        )
    )
    two = figure_of(with_values(one.sheet, {"pads.thickness": 15.0, "pads.layers": 2}))
    assert len(two.pads) == 2 * len(one.pads)
    assert volume(two.pads) == pytest.approx(volume(one.pads), rel=6e-3)
    assert np.abs(two.after.h - one.after.h).max() < 1.5
    assert two.new_hip_girth == pytest.approx(one.new_hip_girth, abs=1.5)
    assert [pad.foam for pad in whole_pads(two.pads)] == pytest.approx([pad.foam for pad in one.pads])
    assert [pad.bevel for pad in whole_pads(two.pads)] == pytest.approx([pad.bevel for pad in one.pads])


@pytest.mark.parametrize("profile", ["straight", "rounded", "feathered"])
@pytest.mark.parametrize("layers", [1, 2, 4])
def test_the_slabs_edges_are_the_profile_cut_in_equal_heights(profile, layers):
    ends = [inner_end(profile, k, layers) for k in range(layers + 1)]
    assert ends[0] == 0.0 and ends[-1] == 1.0 and np.all(np.diff(ends) > 0)
    for layer in range(1, layers + 1):
        height = slab_height(profile, np.linspace(0, 1, 101), layer, layers)
        assert height[0] == pytest.approx(0, abs=1e-6) and height[-1] == pytest.approx(1, abs=1e-6)
        assert np.all(np.diff(height) > -1e-12)


def test_a_cylinder_wrapped_twice_reads_the_perimeters_of_two_full_wraps():
    """Steiner: a convex section wrapped all round by t1, then by t2, gains exactly 2π (t1 + t2).

    The pads' cells are chords of at most 4.5°, which fall short of a circle by θ²/24 of its girth: 0.26 mm.
    """
    radius, inner, outer = 150.0, 12.0, 20.0
    pads = Pads(
        thickness=inner, bevel=0.0, start=20.0, end=386.0, fullness=1.0, front_reach=radius * np.pi / 2, back_gap=0
    )
    more = MorePads("over", "both", replace(pads, thickness=outer), ("thickness",))
    body = cylinder(radius, 401)
    laid = lay_pads(Sheet(GIRTHS, pads=pads, more_pads=(more,)), body)
    turn = np.linspace(0, 2 * np.pi, 3601)[:-1]
    bare = support(radius * np.stack([np.cos(turn), np.sin(turn)], axis=-1), 96)
    tape = Tape(np.array([HIP_DROP]), np.arange(96) * 2 * np.pi / 96, bare[None])  # where the pads go all round
    gain = tape_over(tape, laid).girth - tape.girth
    assert gain == pytest.approx([2 * np.pi * (inner + outer)], abs=0.3)
    once = tape_over(tape, [p for p in laid if not p.label]).girth - tape.girth
    assert once == pytest.approx([2 * np.pi * inner], abs=0.3)


def test_where_pads_meet_the_upper_lies_on_the_lower_and_elsewhere_on_the_body():
    """A small disc on the middle of a large one, on a plane: heights by hand, volume that of two frusta."""
    lower = disc(FLAT, 140.0, thickness=20.0, bevel=40.0, profile="straight")
    upper = disc(FLAT, 60.0, thickness=10.0, bevel=30.0, profile="straight")
    sheet = Sheet(GIRTHS, pads=lower, more_pads=(MorePads("top", "both", upper, ("thickness",)),))
    laid = lay_pads(sheet, cylinder(FLAT), 81)
    top = [pad for pad in laid if pad.label == "top"]
    assert all(np.allclose(pad.beneath, 20.0) for pad in top), "wholly on the flat of the lower"
    assert volume(top) == pytest.approx(np.pi * 10 / 3 * (60**2 + 60 * 30 + 30**2), rel=4e-3)

    wide = replace(
        sheet,
        more_pads=(MorePads("top", "both", disc(FLAT, 135.0, thickness=10.0, bevel=30.0, profile="straight"), ()),),
    )
    for pad in lay_pads(wide, cylinder(FLAT), 81):
        if pad.label:
            away = 140.0 - np.hypot(pad.flat[..., 0], pad.flat[..., 1] - HIP_DROP)
            assert pad.beneath == pytest.approx(20.0 * np.clip(away / 40.0, 0, 1), abs=0.15)
            rise = np.linalg.norm(pad.outer - pad.inner, axis=-1)
            assert rise == pytest.approx(pad.thickness, abs=1e-6)


def drawn(chance: random.Random) -> dict[str, Any]:
    """Up to four pads: the usual ones and further ones anywhere."""
    hip = chance.uniform(850, 1300)
    plain: dict[str, Any] = {
        "unit": "mm",
        "girths": {"waist": hip * chance.uniform(0.65, 0.85), "hip": hip},
        "pads": {
            "thickness": chance.choice([10, 19, 25]),
            "bevel": chance.uniform(30, 90),
            "profile": chance.choice(["straight", "rounded", "feathered"]),
            "layers": chance.choice([1, 1, 1, 2, 3]),
        },
        "more_pads": [],
    }
    for number in range(chance.choice([1, 1, 2, 3])):
        start = chance.uniform(10, 330)
        plain["more_pads"].append(
            {
                "name": f"pad {number}",
                "side": chance.choice(["both", "both", "left", "right"]),
                "start": start,
                "end": start + chance.uniform(90, 220),
                "thickness": chance.choice([6, 12, 19]),
                "bevel": chance.uniform(20, 44),
                "front_reach": chance.uniform(60, 130),
                "front": chance.random() < 0.8,
                "back_gap": chance.uniform(0, 60),
            }
        )
    return plain


def test_random_sets_of_pads_are_closed_and_clear_of_themselves_or_refused():
    """Closed: trimesh on what an STL gives back. Crossing: CGAL through libigl."""
    for place, solid in solids_of_random_pads(drawn, 16, 10):
        assert read_back(solid).is_watertight and solid.volume > 0, place
        assert crossing_depth(solid) < DEEPEST, place


PLAIN: dict[str, Any] = {
    "unit": "mm",
    "girths": {"waist": 740, "hip": 1010},
    "pads": {"thickness": 19, "bevel": 50},
    "more_pads": [
        {"name": "high hip", "start": 20, "end": 150, "thickness": 12},
        {"name": "seat", "side": "left", "front": False, "start": 120, "end": 280, "bevel": 40},
    ],
}


def test_names_sides_and_mates():
    laid = figure_of(from_plain(PLAIN)).pads
    names = [pad.name for pad in laid]
    assert names == [
        "left front",
        "left back",
        "left high hip front",
        "left high hip back",
        "left seat back",
        "right front",
        "right back",
        "right high hip front",
        "right high hip back",
    ]
    assert not any(pad.twin for pad in laid), "the sides differ"
    mates = {pad.name: mate.name for pad in laid if (mate := mate_of(pad, laid)) is not None}
    assert mates["left high hip front"] == "left high hip back" and "left seat back" not in mates
    assert laid[2].foam == 12 and laid[4].foam == 19, "what a further pad leaves out is as in [pads]"
    both = {**PLAIN, "more_pads": PLAIN["more_pads"][:1]}
    assert all(pad.twin for pad in figure_of(from_plain(both)).pads)


def test_the_sheet_carries_further_pads_through_text_and_changes():
    sheet = from_plain(PLAIN)
    assert from_plain(to_plain(sheet)) == sheet
    text = sheet_toml(sheet)
    assert text.count("[[more_pads]]") == 2
    thicker = with_values(sheet, {"pads.thickness": 25.0})
    assert [more.pads.thickness for more in thicker.more_pads] == [12, 25]
    kept = sheet_toml(thicker, over=text.replace('name = "high hip"', 'name = "high hip"  # her own wish'))
    assert "her own wish" in kept and kept.count("[[more_pads]]") == 2
    figure = figure_of(sheet)
    assert np.array_equal(figure_like(thicker, figure).after.h, figure_of(thicker).after.h)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"pads": {"layers": 2.5}}, "pads.layers"),
        ({"pads": {"layers": 2, "front": False, "bevel": 50}}, "pads"),
        ({"more_pads": [{"name": ""}]}, "more_pads[1].name"),
        ({"more_pads": [{"name": "a"}, {"name": "A"}]}, "more_pads[2].name"),
        ({"more_pads": [{"name": "a", "side": "middle"}]}, "more_pads[1].side"),
        ({"more_pads": [{"name": "a", "start": 9000}]}, "more_pads[1].start"),
        ({"more_pads": [{"name": "a", "strat": 9}]}, "more_pads[1].strat"),
        ({"more_pads": [{"name": "a", "end": 640}]}, "more_pads[1].end"),
        ({"more_pads": "none"}, "more_pads"),
        ({"pads": {"bevel": 0}, "more_pads": [{"name": "a", "start": 20, "end": 150, "bevel": 40}]}, "more_pads[1]"),
    ],
)
def test_what_cannot_be_is_refused_at_its_place(change, place):
    with pytest.raises(SheetError) as caught:
        figure_of(from_plain({"unit": "mm", "girths": {"waist": 740, "hip": 1010}, **change}))
    assert any(fault.place.split(" ")[0].rstrip(",") == place for fault in caught.value.faults), caught.value
