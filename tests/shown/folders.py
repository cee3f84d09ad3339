"""What a folder holds, and what a system must offer for some tests of files."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

FORKS = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")
LINKS = pytest.mark.skipif(os.name == "nt", reason="links need a right of their own on this system")


def everything(folder: Path) -> dict[str, bytes | None]:
    return {str(p.relative_to(folder)): p.read_bytes() if p.is_file() else None for p in sorted(folder.rglob("*"))}
