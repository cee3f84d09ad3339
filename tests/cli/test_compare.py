"""Sheets side by side on the terminal."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import json_of


def test_compare(run: Any, sheet: Any) -> None:
    sheets = [sheet(f"{n}.toml", client=f"Variant {n}", foam=foam) for n, foam in ((1, 0.5), (2, 0.75), (3, 1))]
    status, out, err = run("compare", *sheets)
    assert (status, err) == (0, "")
    for words in ("Variant 1", "Variant 3", "new hip girth", "verdict", "1/2 in", "3/4 in", "1 in", "rule of thumb"):
        assert words in out
    status, out, _ = run("compare", *sheets[:2], "--units", "cm")
    assert status == 0 and " cm" in out and " in " not in out


def lengths_of(out: str, row: str) -> list[float]:
    """What one row of the comparison shows, in mm."""
    line = next(line for line in out.splitlines() if line.startswith(f" {row} "))
    cells = [cell.removesuffix(" cm") for cell in re.split(r"\s{2,}", line.removeprefix(f" {row}").strip())]
    return [0.0 if cell == "·" else 10 * float(cell) for cell in cells]


def test_the_comparison_adds_up_as_it_is_shown(run: Any, sheet: Any) -> None:
    sheets = [sheet(f"{n}.toml", client=f"Variant {n}", foam=foam) for n, foam in ((1, 0.5), (2, 0.73), (3, 1))]
    status, out, _ = run("compare", *sheets, "--units", "cm")
    assert status == 0
    hips, body, added, first = (
        lengths_of(out, row) for row in ("new hip girth", "body there", "added there", "against the first")
    )
    for hip, bare, more, beside in zip(hips, body, added, first, strict=True):
        assert bare + more == pytest.approx(hip, abs=1e-6)
        assert hips[0] + beside == pytest.approx(hip, abs=1e-6)
    said = json_of(run, sheets[1])
    assert hips[1] == pytest.approx(said["new_hip_girth_mm"], abs=0.5)
    assert added[1] == pytest.approx(said["added_mm"], abs=1.0)
    for words in ("foam to buy", "cover cloth", "edge turns the cloth by", "shell to cut"):
        assert words in out


def test_compare_says_what_the_buying_list_says(run: Any, tmp_path: Path) -> None:
    _, out, _ = run("compare", "demo", "demo")
    assert run("templates", "demo", "--out", tmp_path)[0] == 0
    items = json.loads((tmp_path / "templates.json").read_text("utf-8"))["buying"]
    foam = next(item["amount"] for item in items if item["what"].startswith("foam sheet"))
    length = foam.split(" in of")[0]
    assert f"{length} × 24 in" in out


def test_compare_gathers_the_faults_of_all_sheets(run: Any, sheet: Any, tmp_path: Path) -> None:
    one = sheet("one.toml", text="[girths]\nwaist = '31 in'\n")
    two = sheet("two.toml", text="unit = 'cm'\n[girths]\nwaist = 29\nhip = 38\n")
    status, out, err = run("compare", one, sheet(), two, tmp_path / "three.toml", "--out", tmp_path / "out")
    assert (status, out) == (2, "")
    places = [line.split(": ")[0] for line in err.splitlines()]
    assert places == [str(one), str(two), str(two), f"{tmp_path}/three.toml"]
    assert "girths.hip: hip girth is needed" in err
    assert not (tmp_path / "out").exists()


def test_sheets_of_one_name_are_told_apart(run: Any, sheet: Any) -> None:
    _, out, _ = run("compare", sheet("a.toml"), sheet("b.toml"))
    assert " a " in out and " b " in out and "Innkeeper" not in out
    _, out, _ = run("compare", "demo", "demo")
    assert "demo (1)" in out and "demo (2)" in out
    assert run("compare", sheet("x/a.toml"), sheet("y/a.toml"))[1].count("a (") == 2
