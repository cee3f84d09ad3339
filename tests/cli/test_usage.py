"""How a command was written: faults name the option, rooms below the command line know of none."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import silhouette
from silhouette.asked.faults import OutputError, UsageError
from silhouette.asked.reading import read_sheet
from silhouette.cli.commands import main
from silhouette.cli.usage import as_option, unquoted_length
from silhouette.page.serve import check_root, listen
from silhouette.search.thickness import thickness_for

PACKAGE = Path(silhouette.__file__).parent


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    assert ended.value.code == 2
    return capsys.readouterr().err


@pytest.mark.parametrize(
    "words, quoted",
    [
        (["thickness", "demo", "--hip", "47", "in"], '--hip "47 in"'),
        (["thickness", "demo", "--hip=47", "in"], '--hip "47 in"'),
        (["thickness", "--hip", "47", "in", "demo"], '--hip "47 in"'),
        (["fitted", "anna.toml", "--hip", "44", "3/4", "in", "--over", "pads"], '--hip "44 3/4 in"'),
    ],
)
def test_a_length_without_quotes_is_told_so(capsys: pytest.CaptureFixture[str], words: list[str], quoted: str) -> None:
    err = refused(capsys, *words)
    assert err.count("\n") == 1 and "needs quotes" in err and quoted in err


@pytest.mark.parametrize(
    "words",
    [
        ["preview", "a.toml", "b"],
        ["thickness", "demo", "--hip", "47 in"],
        ["sweep", "--steps", "3", "x.toml"],
        ["thickness", "demo", "--hip", "wide", "in"],
        ["compare", "47", "in"],
    ],
)
def test_nothing_is_said_of_quotes_where_none_are_missing(words: list[str]) -> None:
    assert unquoted_length(words) == ""


def test_rooms_below_the_command_line_know_no_options() -> None:
    """A fault of the library names a value, never an option; the command line puts its own names on."""
    named = []
    for path in PACKAGE.rglob("*.py"):
        if path.relative_to(PACKAGE).parts[0] == "cli":
            continue
        tree = ast.parse(path.read_text("utf-8"))
        texts = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}  # docstrings may tell who prints it
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in texts:
                named += [(path.name, word) for word in node.value.split() if word.lstrip("`'\"(").startswith("--")]
    assert [found for found in named if found[1].strip("-—") != ""] == []


def test_library_faults_and_the_options_they_came_by(capsys: pytest.CaptureFixture[str]) -> None:
    demo = read_sheet(Path("demo"))
    with pytest.raises(silhouette.SheetError, match=r"^wanted hip = 470 in: beyond reach"):
        thickness_for(demo, 470 * 25.4)
    assert refused(capsys, "thickness", "demo", "--hip", "470").startswith("--hip = 470 in: beyond reach")
    err = refused(capsys, "sweep", "demo", "--vary", "pads.start=1", "--steps", "1")
    assert [line.split(": ")[0] for line in err.splitlines()] == ["--vary pads.start=1", "--vary", "--steps 1"]


def test_only_places_are_renamed() -> None:
    with pytest.raises(OutputError, match=r"^clients: cannot be made"), as_option("port", "--port"):
        raise OutputError("clients: cannot be made")
    with pytest.raises(UsageError, match=r"^--port 70000: port"), as_option("port", "--port"):
        raise UsageError("port 70000: port")


def test_usage_faults_are_usage_errors(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was asked wrongly is not said as if a file could not be written."""
    for port in (70_000, -1):
        with pytest.raises(UsageError, match=r"^port"):
            listen(port)
    (file := tmp_path / "file").write_text("")
    with pytest.raises(UsageError, match="name a folder"):
        check_root(file)
    for words in (["thickness", "demo"], ["compare", "demo"], ["compare", *["demo"] * 7], ["preview", "x" * 5000]):
        err = refused(capsys, *words)
        assert "cannot write" not in err and "written" not in err and "Traceback" not in err


def test_the_library_is_quiet_unless_listened_to() -> None:
    failing = "import logging, silhouette; logging.getLogger('silhouette.page').error('inside')"
    done = subprocess.run([sys.executable, "-c", failing], capture_output=True, text=True, cwd=PACKAGE.parent)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
