"""Settings shared by all tests, and what happens to those that need a browser where there is none."""

from __future__ import annotations

import importlib.util
import os

import pytest
from hypothesis import settings

from tests.page.browser import CHROMIUM, HOW_TO_GET_IT

settings.register_profile("shared machine", deadline=None)
settings.load_profile("shared machine")

#: Fixtures that need a real browser.
BROWSERS = {"driver", "browser", "plain_browser", "watched"}
NO_BROWSER = f"page tests left out, no Chromium on this machine: {HOW_TO_GET_IT}"
#: What takes longest is begun first, so that no worker is left alone with it at the end.
LONGEST_FIRST = ("tests/test_types.py", "tests/page/", "tests/search/", "tests/test_properties.py", "tests/cloth/")
HAS_BROWSER = CHROMIUM is not None and importlib.util.find_spec("playwright") is not None


def pytest_configure(config: pytest.Config) -> None:
    if not HAS_BROWSER and os.environ.get("SILHOUETTE_EVERY_TEST"):
        raise pytest.UsageError(NO_BROWSER)


def _turn(item: pytest.Item) -> int:
    return next((i for i, name in enumerate(LONGEST_FIRST) if item.nodeid.startswith(name)), len(LONGEST_FIRST))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=_turn)
    if not HAS_BROWSER:
        for item in items:
            if BROWSERS.intersection(getattr(item, "fixturenames", ())):
                item.add_marker(pytest.mark.skip(reason=NO_BROWSER))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    skipped = terminalreporter.stats.get("skipped", [])
    count = sum(NO_BROWSER in str(report.longrepr) for report in skipped)
    if count:
        terminalreporter.write_line(f"{count} {NO_BROWSER}")
