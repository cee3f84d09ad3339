"""One server and one browser for all page tests; every page is watched for foreign requests and errors."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import httpx
import pytest

from tests.page.browser import ARGUMENTS, CHROMIUM, NO_WEBGL, Watched, bare, server

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def driver() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        yield play


@pytest.fixture(scope="session")
def browser(driver: Any) -> Iterator[Browser]:
    browser = driver.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def plain_browser(driver: Any) -> Iterator[Browser]:
    """A browser without WebGL."""
    browser = driver.chromium.launch(executable_path=CHROMIUM, args=NO_WEBGL)
    yield browser
    browser.close()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("clients")


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    with server(folder) as found:
        yield found


@pytest.fixture
def watched(browser: Browser, address: str) -> Iterator[Watched]:
    """A fresh page in a context of its own, opened and settled."""
    made = Watched(browser, address)
    yield made
    made.close()


@pytest.fixture
def client(address: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=bare(address), trust_env=False) as made:
        assert made.get(address).status_code == 200  # the key is exchanged for the cookie
        yield made
