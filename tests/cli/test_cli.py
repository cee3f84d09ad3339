"""The command line: exit status, what goes to which stream, the JSON contract, and messages for people."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from silhouette.asked.sheet import PARAMETERS
from tests.cli.conftest import SOUND, json_of


def process(*arguments: str | Path, **more: Any) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "silhouette", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        **more,
    )


def test_preview_prints_a_table_and_nothing_on_standard_error(run: Any) -> None:
    status, out, err = run("preview", "demo")
    assert (status, err) == (0, "")
    for words in (
        "below waist",
        "body",
        "padded",
        "added",
        "high hip",
        "knee, one leg",
        "New hip",
        "close-fitting",
        "Rule of thumb",
        "Cautions",
        "8 1/4 in",
        "± ",
    ):
        assert words in out
    assert any(verdict in out for verdict in ("FINE", "WATCH", "OBVIOUS"))
    answer = out.splitlines()[:5]  # what to do and what comes of it, before any table
    assert [line.split()[0] for line in answer[1:4]] == ["New", "Shell", "Lining"]
    assert "in foam" in answer[0] and answer[4].split(":")[0] in ("FINE", "WATCH", "OBVIOUS")


def test_rows_of_the_table_add_up_as_they_are_printed(run: Any, sheet: Any) -> None:
    """Rounded apart, what is added differs from the difference of the two readings beside it in some rows of these."""
    rows = 0
    for foam in (0.52, 0.7, 0.88, 0.96):
        text = SOUND.format(name="x", foam=foam).replace("thigh = 25\n", "")
        status, out, _ = run("preview", sheet(f"{foam}.toml", text), "--units", "cm")
        assert status == 0
        for line in out.splitlines():
            cells = re.split(r"  +", line.strip())
            if len(cells) == 5 and cells[4].startswith("+"):
                before, after, added = (float(cell.strip("~+ cm")) for cell in cells[2:])
                assert after - before == pytest.approx(added, abs=1e-6), line
                rows += 1
    assert rows == 8


def test_estimates_are_marked_wherever_they_are_shown(run: Any, sheet: Any) -> None:
    _, out, _ = run("preview", "demo")  # the demo leaves out high hip, knee and three drops
    rows = {line.split("  ")[0].strip(): line for line in out.splitlines() if " in " in line and line.startswith(" ")}
    assert rows["high hip"].count("~") == 3
    assert rows["hip"].count("~") == 0
    assert rows["thigh, one leg"].count("~") == 1 and rows["knee, one leg"].count("~") == 3
    assert "~ estimated" in out
    text = SOUND.format(name="x", foam=1.25).replace("thigh = 25\n", "")
    _, out, _ = run("preview", sheet(text=text))
    assert "(thigh estimated)" in out


@pytest.mark.parametrize("units", ["in", "cm"])
def test_units_hold_for_every_length_shown(run: Any, units: str) -> None:
    other = {"in": " cm", "cm": " in "}[units]
    status, out, _ = run("preview", "demo", "--units", units)
    assert status == 0
    table = [line for line in out.split("Cautions")[0].splitlines() if other in line and "falls in" not in line]
    assert not table
    assert run("preview", "demo", "--units", "ell")[0] == 2


ONE_PAD = 'unit = "cm"\n[girths]\nwaist = 80\nhip = 105\n[pads]\nback = false\n[pads.left]\nfront = false\n'
NO_PADS = 'unit = "cm"\n[girths]\nwaist = 80\nhip = 105\n[pads]\nback = false\nfront = false\n'
UNLIKE = (
    'unit = "mm"\n[girths]\nwaist = 700\nhip = 950\n[pads.left]\nthickness = 12\n[pads.right]\nbevel = 60\n'
    "front_outline = [[0, 40], [60, 100], [90, 200], [0, 300]]\nback = false\n"
)


@pytest.mark.parametrize("text", [None, ONE_PAD, NO_PADS, UNLIKE], ids=["demo", "one pad", "no pads", "sides unlike"])
def test_the_json_contract(run: Any, sheet: Any, text: str | None) -> None:
    said = json_of(run, "demo" if text is None else sheet(text=text))

    numbers = ("new_hip_girth_mm", "new_hip_drop_mm", "rule_of_thumb_mm")
    assert all(isinstance(said[key], float) for key in numbers)
    levels = [g["level"] for g in said["girths"]]
    assert levels == ["waist", "high_hip", "hip", "under_seat", "thigh", "knee"]
    drops = [g["drop_mm"] for g in said["girths"]]
    assert drops == sorted(drops) and drops[0] == 0
    for g in said["girths"]:
        assert isinstance(g["measured"], bool)
        assert g["added_mm"] == pytest.approx(g["after_mm"] - g["before_mm"], abs=2e-3) and g["added_mm"] >= -1e-3
    assert said["girths"][0]["measured"] and said["girths"][2]["measured"]

    curve = said["curve"]
    assert len(curve["drop_mm"]) == len(curve["before_mm"]) == len(curve["after_mm"]) >= 60
    assert curve["drop_mm"] == sorted(set(curve["drop_mm"]))
    assert all(a >= b - 1e-3 for b, a in zip(curve["before_mm"], curve["after_mm"], strict=True))
    at = curve["drop_mm"].index(said["new_hip_drop_mm"])
    assert curve["after_mm"][at] == said["new_hip_girth_mm"]

    outline = said["silhouette"]
    assert outline["drop_mm"] == curve["drop_mm"]
    for view in ("front", "side"):
        for (b0, b1), (a0, a1) in zip(outline[view]["before"], outline[view]["after"], strict=True):
            assert a0 <= b0 + 1e-3 < b1 <= a1 + 1e-3  # [right, left] or [back, front]: ascending on the body axes
        assert len(outline[view]["before"]) == len(outline["drop_mm"])

    for finding in said["findings"]:
        assert {"check", "severity", "measured", "limit", "unit", "message", "advice", "basis"} <= set(finding)
        assert isinstance(finding["measured"], float) and isinstance(finding["limit"], float)
        assert finding["severity"] in ("fine", "watch", "obvious") and finding["unit"] in ("mm", "degrees", "")
        assert finding["message"] and finding["basis"]
    grave = ("fine", "watch", "obvious")
    assert said["verdict"] == max([f["severity"] for f in said["findings"]], key=grave.index, default="fine")

    assert said["solids"][0]["name"] == "body"
    for solid in said["solids"]:
        assert solid["watertight"] is True and solid["volume_mm3"] > 1000 and solid["triangles"] > 100
    count = {None: 4, ONE_PAD: 1, NO_PADS: 0, UNLIKE: 3}[text]
    assert len(said["solids"]) == 1 + count
    if text is None:
        assert said["rule_of_thumb_mm"] == pytest.approx(42 * 25.4 + 4 * 19.05, abs=1e-3)


def test_sides_unlike_show_on_their_own_side(run: Any, sheet: Any) -> None:
    text = 'unit = "cm"\n[girths]\nwaist = 80\nhip = 105\n[pads.right]\nfront = false\nback = false\n'
    said = json_of(run, sheet(text=text))
    front = said["silhouette"]["front"]
    gained = [max(abs(a[i] - b[i]) for b, a in zip(front["before"], front["after"], strict=True)) for i in (0, 1)]
    assert gained[0] < 0.01 < 10 < gained[1]  # [right, left]
    assert {s["name"] for s in said["solids"]} == {"body", "left front", "left back"}


def test_json_is_the_same_in_every_unit_but_for_words(run: Any) -> None:
    one, other = json_of(run, "demo", "--units", "cm"), json_of(run, "demo")
    for key in set(one) - {"findings", "notes"}:
        assert one[key] == other[key]


def test_a_bad_sheet_lists_every_fault_and_writes_nothing(run: Any, sheet: Any, tmp_path: Path) -> None:
    bad = sheet(text='unit = "in"\n[girths]\nwaist = 31\nhip = 97\n[pads]\nthicknes = 1\nbevel = -1\n')
    for options in ((), ("--json",), ("--out", tmp_path / "out"), ("--out", tmp_path / "deep" / "out")):
        status, out, err = run("preview", bad, *options)
        assert (status, out) == (2, "")
        assert len(err.splitlines()) == 3
        assert all(": " in line for line in err.splitlines())
        assert "97 cm (38 1/4 in) was probably meant" in err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["sheet.toml"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["preview"], "SHEET"),
        (["preview", "nowhere.toml"], "no such file"),
        (["preview", "."], "this is a folder"),
        (["previw", "demo"], 'mean "preview"'),
        (["preview", "demo", "--unit", "cm"], "--units"),
        (["compare"], "at least two"),
        (["preview", "demo", "extra"], "extra"),
        (["compare", "demo"], "at least two"),
        (["compare", *["demo"] * 7], "at most six"),
        (["preview", "x" * 400], "File name too long"),
        (["new", "x" * 400], "File name too long"),
        (["new", "."], "already exists"),
        (["preview", "demo", "--out", "x" * 400], "File name too long"),
        (["new", "demo"], "already exists"),
        (["new"], "SHEET"),
    ],
)
def test_a_command_that_cannot_be_done(run: Any, arguments: list[str], words: str) -> None:
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert words in err
    assert "Traceback" not in err and len(err.splitlines()) == 1


def test_new_writes_a_starter_sheet_and_never_overwrites(run: Any, tmp_path: Path) -> None:
    path = tmp_path / "below" / "client.toml"
    status, out, err = run("new", path, "--units", "cm")
    assert (status, err) == (0, "") and str(path) in out
    text = path.read_text("utf-8")
    assert 'unit = "cm"' in text and all(
        p.help in text for p in PARAMETERS.values() if p.kind not in ("points", "outline")
    )
    assert run("preview", path)[0] == 0
    path.write_text("mine", "utf-8")
    status, out, err = run("new", path)
    assert (status, out) == (2, "") and "already exists" in err
    assert path.read_text("utf-8") == "mine"
    link = tmp_path / "link.toml"
    link.symlink_to(tmp_path / "nowhere")
    assert run("new", link)[0] == 2 and link.is_symlink()


@pytest.mark.parametrize(
    "name", ["[bold]x[/bold]", "[/]", "Zoë 😀 ½", "a\\nb\\tc", "x" * 1000, "$x_1^2$ \\\\frac", "<b>&amp;", ""]
)
def test_odd_names(run: Any, sheet: Any, name: str) -> None:
    path = sheet(client=name)
    status, out, _ = run("preview", path)
    assert status == 0
    if name.startswith("["):
        assert name in out
    assert max(map(len, out.splitlines())) <= 130
    bare = sheet("bare.toml", path.read_text("utf-8") + "front = false\nback = false\n")  # no foam to lay out
    assert run("compare", bare, bare)[0] == 0
    assert json_of(run, path)["client"] == name.replace("\\n", "\n").replace("\\t", "\t").replace("\\\\", "\\")


def test_as_a_process(tmp_path: Path) -> None:
    done = process("preview", "demo", "--json")
    assert done.returncode == 0 and done.stderr == "" and json.loads(done.stdout)["verdict"]
    bad = tmp_path / "bad.toml"
    bad.write_text('unit = "in"\n[girths]\nwaist = 29 1/2\n', "utf-8")
    done = process("preview", bad, env={**os.environ, "PYTHONIOENCODING": "ascii", "LC_ALL": "C"})
    assert done.returncode == 2 and done.stdout == ""
    assert done.stderr.startswith("line 3, column 12: ") and 'waist = "29 1/2"' in done.stderr


#: Standard output buffered as it usually is, whatever the machine that tests says.
ORDINARY = {key: value for key, value in os.environ.items() if key != "PYTHONUNBUFFERED"}


@pytest.mark.skipif(os.name == "nt", reason="pipes are closed another way on Windows")
@pytest.mark.parametrize("options", ["", "--json"])
def test_a_reader_that_stops_early_is_no_error(options: str) -> None:
    code = "import sys; sys.stdin.read(1)"
    reader = subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.PIPE)
    assert reader.stdin is not None
    program = [sys.executable, "-m", "silhouette", "preview", "demo", *options.split()]
    done = subprocess.run(program, stdout=reader.stdin, stderr=subprocess.PIPE, check=False, env=ORDINARY)
    reader.stdin.close()
    reader.wait()
    assert (done.returncode, done.stderr) == (0, b"")
    closed, end = os.pipe()
    os.close(closed)  # nobody reads at all
    done = subprocess.run(program, stdout=end, stderr=subprocess.PIPE, check=False, env=ORDINARY)
    os.close(end)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_a_full_disk_is_said_plainly() -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "silhouette", "preview", "demo"],
            stdout=full,
            env=ORDINARY,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert "No space left" in done.stderr and "Traceback" not in done.stderr
