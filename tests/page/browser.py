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

PATIENCE: Final = 120_000  # ms: how long a step may take on a machine that has other work as well
ROOT: Final = Path(__file__).resolve().parents[2]
#: The same browser without windows of its own comes first: its tabs cost half as much to open.
_NAMES: Final = (
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome-stable",
    "google-chrome",
)
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
        for kind in ("chromium_headless_shell-*/*/*", "chromium-*/*/*")
        for folder in _PLAYWRIGHTS
        for path in (Path.home() / folder).glob(kind)
        if path.stem.lower() in ("headless_shell", "chrome-headless-shell", "chrome", "chromium") and path.is_file()
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


def _new_context(browser: Any, settings: dict[str, Any]) -> tuple[Any, Any]:
    """A context and an empty tab that stays in it: a whole browser builds its window anew after the last tab."""
    context = browser.new_context(**{**_USUAL, **settings})
    context.set_default_timeout(PATIENCE)
    return context, context.new_page()


class Watched:
    """A fresh tab with no cookie and nothing stored, in a context that no one else has while it is open. ``close``
    fails when it ever asked another host or logged an error."""

    def __init__(
        self, browser: Any, address: str, *, expect_errors: bool = False, table: bool = True, **context: Any
    ) -> None:
        self.address = bare(address)
        self.expect_errors = expect_errors
        self._free = _FREE.setdefault(browser, {}).setdefault(json.dumps(context, sort_keys=True), [])
        self.context, self._parked = self._free.pop() if self._free else _new_context(browser, context)
        self.foreign: list[str] = []
        self.errors: list[str] = []
        self.wishes: list[Any] = []  # requests for a preview, in the order in which they were sent
        self.context.on("request", self._asked)
        self.page = self.open(address, table=table)

    def open(self, url: str | None = None, *, table: bool = True) -> Any:
        """Another tab in the same context; ``table`` False stays where the page opens."""
        page = self.context.new_page()
        page.on("console", lambda m: self.errors.append(m.text) if m.type == "error" else None)
        page.on("pageerror", lambda e: self.errors.append(str(e)))
        page.goto(url or self.address)
        page.locator("body:not([data-screen=waiting])").wait_for(state="attached")
        settled(page)
        if table and page.locator("#desk").is_hidden():
            look_at_example(page)
        return page

    def _asked(self, request: Any) -> None:
        if request.url.endswith("/preview") and '"coming":true' not in (request.post_data or ""):
            self.wishes.append(request)
        if not request.url.startswith((self.address, "data:", "blob:")):
            self.foreign.append(request.url)

    def numbers(self) -> dict[str, Any]:
        """The head of the answer to the latest wish that was granted, and its points under ``block``. Answers may
        come in another order than the wishes went out."""
        replies = (wish.response() for wish in reversed(self.wishes))  # each waits until it has come
        raw = next(reply for reply in replies if reply is not None and reply.status == 200).body()
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
            if page is not self._parked:
                page.close()
        self.context.clear_cookies()
        self._free.append((self.context, self._parked))
        assert self.foreign == []
        # a browser logs every refused request by itself; what the page logs or throws is what counts
        own = [e for e in self.errors if not (self.expect_errors and e.startswith("Failed to load resource"))]
        assert own == []


def settled(page: Any) -> None:
    """Wait until the newest wish has been answered and shown."""
    page.locator("#result[aria-busy=false]").wait_for(timeout=PATIENCE, state="attached")


def at_rest(page: Any) -> None:
    """Wait until the picture has been drawn with smooth edges, as it is a little after the last thing that moved."""
    page.wait_for_function(
        """() => { const c = document.getElementById('picture');
          return Math.abs(c.width - c.clientWidth * Math.min(2 * devicePixelRatio, 3)) <= 1; }""",
        timeout=PATIENCE,
    )


def choose_client(page: Any, name: str) -> None:
    """Open a client from among the clients, and wait until she lies on the table."""
    page.locator("#clients .client", has_text=name).first.click()
    page.locator("body[data-screen=desk]").wait_for(timeout=PATIENCE, state="attached")
    settled(page)


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
