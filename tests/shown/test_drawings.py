"""Drawings to scale, checked as files: the SVG is parsed, its outline measured against the tape's own array."""

from __future__ import annotations

import re
import struct
import warnings
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from svgelements import SVG, Path, Polyline

from silhouette.asked.lengths import format_length
from silhouette.asked.reading import from_plain, read_sheet
from silhouette.pipeline import Preview, preview
from silhouette.shown.drawings import comparison_files, silhouette_files
from tests.clients import plain_sheet

INK = "#2d2a27"


def words(svg: bytes) -> list[str]:
    root = ElementTree.fromstring(svg)
    return ["".join(node.itertext()).strip() for node in root.iter() if node.tag.endswith("}text")]


def png_size(png: bytes) -> tuple[int, int]:
    """Width and height from the header (PNG specification, IHDR chunk)."""
    assert png.startswith(b"\x89PNG\r\n\x1a\n") and png.endswith(b"IEND\xaeB`\x82")
    width, height = struct.unpack(">II", png[16:24])
    return int(width), int(height)


@pytest.fixture(scope="module")
def demo() -> tuple[Preview, dict[str, bytes]]:
    seen = preview(read_sheet("demo"))
    return seen, silhouette_files(seen, "in")


def test_both_files_are_sound(demo: tuple[Preview, dict[str, bytes]]) -> None:
    _, files = demo
    assert set(files) == {"silhouettes.svg", "silhouettes.png"}
    width, height = png_size(files["silhouettes.png"])
    assert width == 1650 and 1000 < height < 2500
    assert ElementTree.fromstring(files["silhouettes.svg"]).tag.endswith("svg")


def test_girths_scale_bar_and_marks_are_on_the_drawing(demo: tuple[Preview, dict[str, bytes]]) -> None:
    seen, files = demo
    said = words(files["silhouettes.svg"])
    for reading in seen.levels:
        mark = "" if reading.measured else "~"
        assert any(text.startswith(mark + format_length(reading.before, "in")) for text in said), reading
        if reading.added > 2:
            assert any(text.endswith(f"→  {mark}{format_length(reading.after, 'in')}") for text in said), reading
    for text in (
        "4 in",
        "front",
        "side",
        "back",
        "wearer's left",
        "her own body",
        "pads",
        "dressed",
        "Market keeper, act two",
    ):
        assert text in said
    assert any("estimated" in text for text in said)


def _strokes(svg: bytes, colour: str) -> list[np.ndarray[Any, Any]]:
    found = []
    for element in SVG.parse(__import__("io").BytesIO(svg)).elements():
        if isinstance(element, (Path, Polyline)) and element.stroke.hex == colour and len(element) > 20:
            found.append(np.array([[p.x, p.y] for p in Path(element).as_points()]))
    return found


def test_the_outline_is_drawn_to_scale(demo: tuple[Preview, dict[str, bytes]]) -> None:
    """The dressed outline's breadth over its height, read from the SVG, is that of the array of the dressed surface."""
    seen, files = demo
    strokes = _strokes(files["silhouettes.svg"], INK)
    assert len(strokes) == 2  # once round in each of two views
    outline = seen.dressed.after.outline
    for drawn, angle in zip(strokes, (0.0, np.pi / 2), strict=True):
        after = outline.outline_from(angle)
        scale = np.ptp(drawn[:, 1]) / (outline.drops[-1] - outline.drops[0])
        assert np.ptp(drawn[:, 0]) / scale == pytest.approx(after[:, 1].max() - after[:, 0].min(), abs=0.5)


def test_the_same_drawing_every_time(demo: tuple[Preview, dict[str, bytes]]) -> None:
    seen, files = demo
    assert silhouette_files(seen, "in") == files


def test_no_pads_and_centimetres() -> None:
    seen = preview(
        from_plain(
            {
                **plain_sheet(pads={"front": False, "back": False}),
                "unit": "mm",
                "girths": {"waist": "80 cm", "hip": "105 cm"},
            }
        )
    )
    said = words(silhouette_files(seen, "cm")["silhouettes.svg"])
    assert "10.0 cm" in said and "pads" not in said and "dressed" in said
    assert any(text.startswith("no pads") for text in said)
    assert not any("→" in text for text in said)


@pytest.mark.parametrize("name", ["$x_1^2$ \\frac{", "Zoë [b] <&> ½", "x" * 1000, "line\nend", "\\", "$", "100 % $ $"])
def test_odd_names_are_drawn_as_they_are(name: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        files = silhouette_files(preview(from_plain(plain_sheet(client={"name": name}))), "in")
    flat = " ".join(name.split())
    assert (flat if len(flat) <= 60 else flat[:59] + "…") in words(files["silhouettes.svg"])


def test_a_name_in_signs_the_font_lacks_is_still_drawn_without_a_word() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        files = silhouette_files(preview(from_plain(plain_sheet(client={"name": "Ida 😀 衣装"}))), "in")
    assert "Ida 😀 衣装" in words(files["silhouettes.svg"])


def test_a_comparison_names_every_sheet_with_its_verdict() -> None:
    seen = [preview(from_plain(plain_sheet(pads={"thickness": t}))) for t in (0.5, 0.75, 1.5)]
    files = comparison_files(["thin", "middle $", "thick"], seen, "in")
    assert set(files) == {"comparison.svg", "comparison.png"}
    png_size(files["comparison.png"])
    said = " | ".join(words(files["comparison.svg"]))
    for name, one in zip(("thin", "middle \\$".replace("\\", ""), "thick"), seen, strict=True):
        assert f"{name}: {format_length(one.new_hip_girth, 'in')} ({one.verdict})" in said
    colours = set(re.findall(rb"stroke: (#[0-9a-f]{6})", files["comparison.svg"]))
    assert len(colours & {b"#1f3d5c", b"#c4714f", b"#3f7a5a"}) == 3
