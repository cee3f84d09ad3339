"""Cutting tables of the workshop's clients, prepared once for all tests."""

from __future__ import annotations

import pytest

from silhouette.cutting.job import prepare
from tests.cutting.workshop import CLIENTS, TODAY, seen


@pytest.fixture(scope="session")
def jobs():
    """One prepared job for each client."""
    return {name: prepare(seen(name), TODAY) for name in CLIENTS}


@pytest.fixture(scope="session")
def demo(jobs):
    return jobs["demo"]
