"""The command line run in this process, and a sound sheet in a file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from silhouette.cli import commands as cli

SOUND = (
    'unit = "in"\n[client]\nname = "{name}"\n[girths]\nwaist = 31\nhip = 42\nthigh = 25\n[pads]\nthickness = {foam}\n'
)
Run = tuple[int, str, str]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Any:
    def call(*arguments: str | Path) -> Run:
        try:
            cli.main([str(a) for a in arguments])
            status = 0
        except SystemExit as left:
            status = int(left.code or 0)
        out, err = capsys.readouterr()
        return status, out, err

    return call


@pytest.fixture
def sheet(tmp_path: Path) -> Any:
    def write(name: str = "sheet.toml", text: str | None = None, client: str = "Innkeeper", foam: float = 0.75) -> Path:
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(SOUND.format(name=client, foam=foam) if text is None else text, "utf-8")
        return path

    return write


def json_of(run: Any, *arguments: str | Path) -> dict[str, Any]:
    status, out, err = run("preview", *arguments, "--json")
    assert (status, err) == (0, "")
    found = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))
    assert isinstance(found, dict)
    return found
