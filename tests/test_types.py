"""The package and its tests agree with their own types."""

import subprocess
import sys
from pathlib import Path


def test_mypy_finds_nothing() -> None:
    """As ``mypy`` does it from the top folder; a process of its own, because it sets limits of the interpreter."""
    top = Path(__file__).parent.parent
    run = subprocess.run([sys.executable, "-m", "mypy"], cwd=top, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr
