"""Are the lowest versions in pyproject.toml true? ``python -m tests.lowest`` installs exactly those and uses them.

Wheels alone, in an environment of its own that goes again afterwards; a folder named after the command is kept and
used again. Every command of the program runs once over the demo. Exit status 1 when one of them cannot.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import tomllib
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
COMMANDS = (
    ("preview", "demo", "--out", "preview"),
    ("compare", "demo", "demo", "--out", "compare"),
    ("templates", "demo", "--out", "templates"),
    (
        "sweep",
        "demo",
        "--vary",
        "pads.thickness=0.25..1.25in",
        "--vary",
        "pads.start=1..3in",
        "--steps",
        "3",
        "--cores",
        "1",
        "--out",
        "sweep",
    ),
    ("thickness", "demo", "--hip", "45 in"),
    ("new", "client.toml"),
    ("fitted", "client.toml", "--hip", "41 3/4 in", "--use"),
    ("preview", "client.toml", "--json"),
)
#: The page's server and its folder, without a browser.
PAGE = (
    "from pathlib import Path; from silhouette.page.app import page_app; from silhouette.page.keys import Keys;"
    "import uvicorn; page_app(Path('.'), 1, Keys(1)); from silhouette.page.clients_folder import Folder;"
    "print([row['name'] for row in Folder(Path('.')).listing()])"
)


def lowest() -> list[str]:
    """Every dependency pinned to its lowest version: ``numpy>=2.0`` becomes ``numpy==2.0.*``."""
    needed = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    pinned = []
    for one in needed:
        match = re.fullmatch(r"([\w\-]+)>=([\d.]+)", one)
        assert match is not None, one
        pinned.append(f"{match[1]}=={match[2]}" + (".*" if match[2].count(".") < 2 else ""))
    return pinned


def check(place: Path) -> int:
    """Install into ``place`` and run everything; the exit status."""
    python = place / ("Scripts" if os.name == "nt" else "bin") / "python"
    if not python.exists():
        venv.create(place, with_pip=True)
    pins = lowest()
    print("\n".join(pins), flush=True)
    subprocess.run([python, "-m", "pip", "install", "-q", "--only-binary", ":all:", *pins], check=True)
    failed = 0
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with tempfile.TemporaryDirectory() as work:
        calls = [["-m", "silhouette", *command] for command in COMMANDS] + [["-c", PAGE]]
        for call in calls:
            run = subprocess.run([python, *call], cwd=work, env=environment, capture_output=True, text=True)
            name = " ".join(call[1:4]) if call[0] == "-m" else "the page and its folder"
            print("ok    " if run.returncode == 0 else "FAILED", name, flush=True)
            if run.returncode:
                failed += 1
                print(run.stderr[-2000:])
    return int(failed > 0)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        sys.exit(check(Path(sys.argv[1])))
    with tempfile.TemporaryDirectory() as scratch:
        sys.exit(check(Path(scratch)))
