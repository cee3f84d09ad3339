"""A real server in a process of its own and a real browser, for the tests and the benchmark of the page."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final
from weakref import WeakKeyDictionary

ROOT: Final = Path(__file__).resolve().parents[2]
_NAMES: Final = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
_PLAYWRIGHTS: Final = (".cache/ms-playwright", "Library/Caches/ms-playwright", "AppData/Local/ms-playwright")
HOW_TO_GET_IT: Final = "get it with `python -m playwright install chromium`, or name one in SILHOUETTE_CHROMIUM"


def find_chromium() -> str | None:
    """The browser named in the environment, the system's, or the one that playwright has installed."""
    if named := os.environ.get("SILHOUETTE_CHROMIUM"):
        return named if Path(named).exists() else None
    if usual := next(filter(None, map(shutil.which, _NAMES)), None):
        return usual
    installed = (
        path
        for folder in _PLAYWRIGHTS
        for path in (Path.home() / folder).glob("chromium-*/*/*")
        if path.stem.lower() in ("chrome", "chromium") and path.is_file()
    )
    return next(map(str, installed), None)


CHROMIUM: Final = find_chromium()
QUIET: Final = [
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
ARGUMENTS: Final = [*QUIET, "--disable-gpu", "--enable-unsafe-swiftshader"]  # a machine without a graphics card
NO_WEBGL: Final = [*QUIET, "--disable-gpu", "--disable-3d-apis"]


@contextmanager
def server(folder: Path) -> Iterator[str]:
    """The address of a running page for a folder, with the key that lets a browser in."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    process = subprocess.Popen(
        [sys.executable, "-m", "silhouette", "page", str(folder), "--port", "0", "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
    )
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+/\?key=\S+", line)
        assert found, line + (process.stderr.read() if process.stderr else "")
        yield found[0]
    finally:
        process.terminate()
        process.wait(timeout=10)
        for stream in (process.stdout, process.stderr):
            if stream is not None:
                stream.close()


def bare(address: str) -> str:
    """An address without its key."""
    return address.partition("?")[0]


#: Contexts that are free again, by browser and settings: making one costs more than many a test does in it.
_FREE: Final[WeakKeyDictionary[Any, dict[str, list[Any]]]] = WeakKeyDictionary()
_USUAL: Final = {
    "viewport": {"width": 1440, "height": 900},
    "device_scale_factor": 0.5,  # the picture is drawn by the processor: a quarter of the work; sizes on the page stay
    "reduced_motion": "reduce",
    "accept_downloads": True,
}


class Watched:
    """A fresh tab with no cookie and nothing stored, in a context that no one else has while it is open. ``close``
    fails when it ever asked another host or logged an error."""

    def __init__(
        self, browser: Any, address: str, *, expect_errors: bool = False, table: bool = True, **context: Any
    ) -> None:
        self.address = bare(address)
        self.expect_errors = expect_errors
        self._free = _FREE.setdefault(browser, {}).setdefault(json.dumps(context, sort_keys=True), [])
        self.context = self._free.pop() if self._free else browser.new_context(**{**_USUAL, **context})
        self.foreign: list[str] = []
        self.errors: list[str] = []
        self.replies: list[Any] = []
        self.asked = self.answered = 0
        self.context.on("request", self._asked)
        self.page = self.open(address, table=table)

    def open(self, url: str | None = None, *, table: bool = True) -> Any:
        """Another tab in the same context; ``table`` False stays where the page opens."""
        page = self.context.new_page()
        page.on("console", lambda m: self.errors.append(m.text) if m.type == "error" else None)
        page.on("pageerror", lambda e: self.errors.append(str(e)))
        page.on("response", self._answered)
        page.goto(url or self.address)
        page.locator("body:not([data-screen=waiting])").wait_for(state="attached")
        settled(page)
        if table and page.locator("#desk").is_hidden():
            look_at_example(page)
        return page

    def _landed(self) -> None:
        """Wait until this process, too, has heard of every answer that the page has had."""
        for _ in range(200):
            if self.answered == self.asked:
                return
            self.page.wait_for_timeout(20)

    def _asked(self, request: Any) -> None:
        self.asked += request.url.endswith("/preview")
        if not request.url.startswith((self.address, "data:", "blob:")):
            self.foreign.append(request.url)

    def _answered(self, response: Any) -> None:
        self.answered += response.url.endswith("/preview")
        wished = '"coming":true' not in (response.request.post_data or "")
        if response.url.endswith("/preview") and response.status == 200 and wished:
            self.replies.append(response)

    def numbers(self) -> dict[str, Any]:
        """The head of the latest answer that the page got, and its points under ``block``."""
        self._landed()
        raw = self.replies[-1].body()
        size = int.from_bytes(raw[:4], "little")
        return {**json.loads(raw[4 : 4 + size]), "block": raw[4 + size :]}

    def state(self, page: Any = None) -> dict[str, Any]:
        """What the tab keeps of the place where it stands."""
        return dict(
            json.loads((page or self.page).evaluate("sessionStorage.getItem(`silhouette step ${history.state.at}`)"))
        )

    def sheet(self, page: Any = None) -> dict[str, Any]:
        return dict(self.state(page)["work"]["sheet"])

    def close(self) -> None:
        self.context.remove_listener("request", self._asked)
        for page in self.context.pages:
            page.close()
        self.context.clear_cookies()
        self._free.append(self.context)
        assert self.foreign == []
        # a browser logs every refused request by itself; what the page logs or throws is what counts
        own = [e for e in self.errors if not (self.expect_errors and e.startswith("Failed to load resource"))]
        assert own == []


def settled(page: Any) -> None:
    """Wait until the newest wish has been answered and shown."""
    page.locator("#result[aria-busy=false]").wait_for(timeout=20_000, state="attached")


def look_at_example(page: Any) -> None:
    """From the clients or from an empty form to the packaged example on the table."""
    page.locator("body:not([data-screen=waiting])").wait_for(state="attached")
    if page.locator("dialog[open]").count():
        page.locator("dialog .close").click()
    if page.locator("#first").is_visible():
        page.locator("#first-away").click()
    page.locator("#example").click()
    settled(page)


def open_drawer(page: Any, name: str) -> None:
    """Pull out a drawer of the chest, unless it is out."""
    front = page.locator(f"[data-front={name}]")
    if front.get_attribute("aria-expanded") == "false":
        front.click()


def reveal(page: Any, key: str) -> None:
    """Bring the control of a key into sight: the drawer it lies in, or the five."""
    drawer = page.evaluate(
        "key => document.querySelector(`[data-key=\"${key}\"]`).closest('[data-drawer]')?.dataset.drawer ?? null", key
    )
    if drawer is not None:
        open_drawer(page, drawer)
    elif page.locator("#drawer").is_visible():
        page.locator("#drawer-close").click()


def set_slider(page: Any, key: str, value: float) -> None:
    """Move a slider as a hand does, and let go."""
    page.evaluate(
        """([key, value]) => {
          const slider = document.querySelector(`[data-key="${key}"] input[type=range]`);
          slider.value = value;
          slider.dispatchEvent(new Event('input', {bubbles: true}));
          slider.dispatchEvent(new Event('change', {bubbles: true}));
        }""",
        [key, value],
    )
    settled(page)


def set_foam(page: Any, inches: float) -> None:
    """Take foam of another thickness."""
    type_into(page, "pads.thickness", f"{inches}")


def type_into(page: Any, key: str, text: str) -> None:
    """Type a value into a control's field and leave it."""
    reveal(page, key)
    field = page.locator(f'[data-key="{key}"] input[type=text], [data-key="{key}"] textarea').first
    field.fill(text)
    field.press("Tab")
    settled(page)


def set_unit(page: Any, unit: str) -> None:
    """Show lengths in ``in`` or ``cm``."""
    page.locator(f'input[name=unit][value="{unit}"]').check(force=True)
    settled(page)


def set_face(page: Any, face: str) -> None:
    """Show the ``client``'s face or the ``workroom``'s."""
    page.locator(f'input[name=face][value="{face}"]').check(force=True)


def keep_variant(page: Any) -> None:
    """Keep what is on the table as a variant."""
    open_drawer(page, "variants")
    page.locator("#keep").click()
    settled(page)


def save_as(page: Any, name: str) -> None:
    open_drawer(page, "file")
    page.locator("#save-as").click()
    page.get_by_label("Name of the file", exact=True).fill(name)
    page.locator("dialog button[type=submit]").click()


def kept(page: Any, words: str) -> None:
    page.locator(f"#kept:text-is('{words}')").wait_for()
