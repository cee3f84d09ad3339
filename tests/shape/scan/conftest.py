"""A woman's scan on disk, for all tests that need one."""

from __future__ import annotations

import pytest

from tests.shape.scan.scans import saved, woman


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    mesh, _ = woman(1)
    return saved(mesh, tmp_path_factory.mktemp("scans") / "her.glb", "m", "y")
