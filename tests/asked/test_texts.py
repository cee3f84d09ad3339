"""Texts and files that are sheets, or cannot be one: what is wrong in them is said by line and column."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from silhouette.asked.faults import SheetError
from silhouette.asked.reading import DEMO, from_plain, read_sheet, read_text, sheet_text
from tests.asked.sheets import text_faults
from tests.clients import plain_sheet


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("waist = 29 1/2", "line 3, column 12", 'quotes: waist = "29 1/2"'),
        ("waist = 74,5", "line 3, column 11", 'quotes: waist = "74,5"'),
        ("waist = 38½", "line 3, column 11", 'quotes: waist = "38½"'),
        ('waist = 38.5"', "line 3, column 13", 'quotes: waist = "38.5 in"'),
        ("waist = 38 in # tight", "line 3, column 12", 'quotes: waist = "38 in"'),
        ("waist = “38 in”", "line 3, column 9", 'plain quotes: waist = "38 in"'),
        ("waist =", "line 3, column 8", "nothing stands after waist ="),
        ("waist = # later", "line 3, column 9", "nothing stands after waist ="),
        ("waist: 38", "line 3, column 6", "not a colon"),
        ("name = Anna", "line 3, column 8", 'text goes in quotes: name = "Anna"'),
        ("waist = 1\nwaist = 2", "line 4, column 10", "twice"),
        ("waist = 1\n[girths]", "line 4, column 8", "twice"),
        ("waist", "line 3, column 6", "expected '='"),
        ("waist = [1, 2", "line 3, column 14", "unclosed array"),
        ('waist = "38', "line 3, column 12", "unterminated string"),
        ("\0", "line 3, column 1", "invalid"),
        ("waist = " + "1" * 5000, "sheet", "thousands of digits"),
        ("waist = " + "[" * 5000 + "]" * 5000, "sheet", "nested far too deeply"),
        ("a" + ".a" * 5000 + " = 1", "line 3, column 1", "names with dots between"),
    ],
)
def test_text_that_is_not_toml(text: str, place: str, words: str) -> None:
    (found,) = text_faults(f'unit = "in"\n[girths]\n{text}')
    assert found.startswith(f"{place}: "), found
    assert words in found


def test_files_that_are_no_sheet(tmp_path: Path) -> None:
    noise = np.random.default_rng(7).bytes(90_000)
    cases = {
        "missing.toml": (None, "no such file"),
        "noise.toml": (noise, "not a text file"),
        "large.toml": (b"#" * 100_001, "larger than 100 kB"),
        "latin.toml": ('name = "Zoë"'.encode("latin-1"), "byte 10 is not UTF-8"),
        "wide.toml": ('unit = "in"'.encode("utf-16"), "not a text file"),
    }
    for name, (raw, words) in cases.items():
        path = tmp_path / name
        if raw is not None:
            path.write_bytes(raw)
        with pytest.raises(SheetError) as caught:
            read_sheet(path)
        (fault,) = caught.value.faults
        assert fault.place == str(path)
        assert words in fault.message
    for path in (tmp_path, tmp_path / "large.toml" / "below", tmp_path / ("x" * 400)):
        with pytest.raises(SheetError):
            read_sheet(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_an_endless_file_is_refused() -> None:
    if not Path("/dev/zero").exists():
        pytest.skip("no /dev/zero on this system")
    with pytest.raises(SheetError, match="larger than 100 kB"):
        read_sheet("/dev/zero")


def test_windows_line_ends_and_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "sheet.toml"
    path.write_bytes(b"\xef\xbb\xbf" + b'unit = "in"\r\n[girths]\r\nwaist = 31\r\nhip = 42\r\n')
    assert read_sheet(path) == from_plain(plain_sheet())


def test_the_demo_is_packaged() -> None:
    assert read_sheet(DEMO) == read_text(sheet_text(DEMO))
    assert read_sheet(DEMO).client.name


@pytest.mark.parametrize(
    "line",
    [
        "a" + ".b" * 20 + " = 1",
        'a . "b" . c' + " . d" * 20 + " = 1",
        "[" + ".".join("abcdefghijklmnop") + "]",
        "x = {" + ".".join("abcdefghijklmnop") + " = 1}",
    ],
)
def test_keys_of_very_many_parts_are_refused_before_they_are_read(line: str) -> None:
    """120 kB of them kept the TOML reader busy for minutes."""
    (found,) = text_faults('unit = "in"\n' + line)
    assert "line 2, column 1" in found and "names with dots between" in found


def test_dots_that_are_no_keys_are_read() -> None:
    points = ", ".join(f"[{x}.25, {y}.5]" for x, y in ((3, 5), (4, 6), (5, 7), (4.0, 8), (3, 9)))
    text = (
        'unit = "in"\n[client]\nnotes = "a.b.c.d.e.f.g.h.i.j.k.l.m.n.o.p…"\n[girths]\nwaist = 31\nhip = 42\n[pads]\n'
        + (
            f"front_outline = [[0, 1.5], {points.replace('.0.', '.')}, [0, 12.5]]\n"
            f"back_outline = [[0, 1.5], {points.replace('.0.', '.')}, [0, 12.5]]\n"
        )
    )
    assert len(read_text(text).pads.front_outline or ()) == 7
