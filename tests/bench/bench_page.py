"""How fast the consultation page answers: the server alone, then slider to changed picture in headless Chromium.

    python tests/bench/bench_page.py [--server] [--short] [path to Chromium]

Wanted of the server, on two cores with nothing else to do: half of the live answers to one client within 15 ms, 80
answers a second, 64 clients at once without an error. ``--server`` stops there; ``--short`` asks and moves a tenth as
often, to see that all of it runs. Chromium draws with software WebGL.
Reports medians and worst cases; asserts nothing, because a shared machine decides the last factor of two.
"""

from __future__ import annotations

import gzip
import http.client
import json
import os
import platform
import statistics
import sys
import tempfile
import threading
import time
import tomllib
import urllib.parse
from importlib import resources
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from silhouette.asked.reading import DEMO, sheet_text
from tests.page.browser import ARGUMENTS, CHROMIUM, HOW_TO_GET_IT, look_at_example, reveal, server, settled

STEPS = 40

#: The parts of the way from slider to picture, in their order.
PARTS = ("until it is laid out", "words", "drawing", "frame")

#: Moves the slider, waits until a picture of that very step has been drawn (a pixel is read back, so that the drawing
#: has really been done and not only asked for) and shown, and tells the time that each part took, and whether the
#: picture is the answer's own or one drawn ahead of it. ``exact``: waits for the answer's own.
ONE_STEP = """([id, value, exact]) => new Promise((done) => {
  const slider = document.querySelector(`[data-key="${id}"] input[type=range]`);
  const gl = document.getElementById('picture').getContext('webgl2');
  const begun = performance.now();
  const seen = ({ detail }) => {
    if (exact && detail.ahead) return;
    document.removeEventListener('pictured', seen);
    const laid = performance.now();
    queueMicrotask(() => {
      const said = performance.now();
      gl.readPixels(5, 5, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
      const drawn = performance.now();
      requestAnimationFrame(() => {
        const marks = [begun, laid, said, drawn, performance.now()];
        done([detail.ahead, ...marks.slice(1).map((mark, i) => mark - marks[i])]);
      });
    });
  };
  document.addEventListener('pictured', seen);
  slider.value = value;
  slider.dispatchEvent(new Event('input', {bubbles: true}));
})"""

#: Moves the slider on every frame for some seconds, as a hand does, and counts the pictures.
SWEEP = """([id, values]) => new Promise((done) => {
  const slider = document.querySelector(`[data-key="${id}"] input[type=range]`);
  const gl = document.getElementById('picture').getContext('webgl2');
  let shown = 0, i = 0;
  const count = () => { shown++; gl.readPixels(5, 5, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4)); };
  document.addEventListener('pictured', count);
  const begun = performance.now();
  const step = (now) => {
    if (now - begun > 3000) {
      document.removeEventListener('pictured', count);
      done(shown / ((performance.now() - begun) / 1000));
      return;
    }
    slider.value = values[i++ % values.length];
    slider.dispatchEvent(new Event('input', {bubbles: true}));
    requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
})"""


class Asker:
    """One browser's connection to the server, moving the foam's thickness."""

    def __init__(self, address: str) -> None:
        parts = urllib.parse.urlsplit(address)
        self.link = http.client.HTTPConnection(str(parts.hostname), parts.port, timeout=120)
        self.link.request("GET", f"/?{parts.query}")
        reply = self.link.getresponse()
        reply.read()
        cookie = (reply.headers["Set-Cookie"] or "").partition(";")[0]
        self.headers = {"Cookie": cookie, "Content-Type": "application/json"}
        self.plain: dict[str, Any] = tomllib.loads(sheet_text(DEMO))
        self.have: str | None = None

    def look(self, step: int) -> float:
        """Seconds for one live answer."""
        self.plain["pads"]["thickness"] = 0.5 + step % 16 / 16
        wish = {"sheet": self.plain, "show": "in", "have": self.have, "moving": True}
        begun = time.perf_counter()
        self.link.request("POST", "/preview", json.dumps(wish), self.headers)
        reply = self.link.getresponse()
        raw = reply.read()
        if reply.headers["Content-Encoding"] == "gzip":
            raw = gzip.decompress(raw)
        took = time.perf_counter() - begun
        if reply.status != 200:
            raise OSError(f"{reply.status}: {raw[:200]!r}")
        self.have = json.loads(raw[4 : 4 + int.from_bytes(raw[:4], "little")])["body"]
        return took


def live_answers(address: str, clients: int, each: int) -> str:
    """Time for an answer, answers a second, and what failed, with some clients at once."""
    times: list[float] = []
    errors: list[str] = []

    def ask() -> None:
        try:
            asker = Asker(address)
            asker.look(0)
            times.extend([asker.look(step) for step in range(each)])
        except (OSError, http.client.HTTPException) as error:
            errors.append(repr(error))

    threads = [threading.Thread(target=ask) for _ in range(clients)]
    begun = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    rate = len(times) / (time.perf_counter() - begun)
    middle = statistics.median(times) * 1000 if times else float("nan")
    return (
        f"live answers, {clients} at once: p50 {middle:.1f} ms, worst {max(times, default=0) * 1000:.0f} ms, "
        f"{rate:.0f} a second, {len(errors)} errors {errors[:1] or ''}"
    )


def main() -> None:
    print(f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.2f}")
    arguments = [a for a in sys.argv[1:] if a not in ("--server", "--short")]
    share = 10 if "--short" in sys.argv else 1
    with tempfile.TemporaryDirectory() as folder, server(Path(folder)) as address:
        for clients, each in ((1, 400), (8, 50), (64, 12)):
            print(live_answers(address, clients, max(each // share, 1)))
        if "--server" not in sys.argv:
            if (chromium := arguments[0] if arguments else CHROMIUM) is None:
                sys.exit(f"no Chromium found: {HOW_TO_GET_IT}")
            pictures(address, chromium, STEPS // share)
    static = resources.files("silhouette.page") / "static"
    print(f"all static files, hand-over's included: {sum(len(f.read_bytes()) for f in static.iterdir()) / 1000:.0f} KB")


def pictures(address: str, chromium: str, steps: int) -> None:
    """Slider to picture in a real browser, in so many quick steps."""
    from playwright.sync_api import Response, sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        sizes: list[int] = []
        files: dict[str, int] = {}

        def weigh(response: Response) -> None:
            if response.url.endswith("/preview"):
                sizes.append(int(response.headers["content-length"]))
            elif response.request.method == "GET":
                files[response.url] = int(response.headers.get("content-length", 0))

        page.on("response", weigh)
        page.goto(address)
        look_at_example(page)
        page.wait_for_timeout(2500)
        print(
            f"first load: {len(files)} own files, {sum(files.values()) / 1000:.0f} KB; "
            f"first reply {max(sizes, default=0) / 1000:.0f} KB"
        )
        for key, values in (
            ("pads.bevel", [16 + i % 9 for i in range(steps)]),
            ("pads.start", [10 + (7 * i) % 19 for i in range(steps)]),
            ("girths.hip", [330 + (3 * i) % 25 for i in range(steps)]),
        ):
            reveal(page, key)
            for exact in (False, True):
                settled(page)  # a late answer of the sweep before is not this one's
                page.hover(f'[data-key="{key}"] input[type=range]')  # as a hand does
                page.wait_for_timeout(300)
                sizes.clear()
                marks = [page.evaluate(ONE_STEP, [key, value, exact]) for value in values]
                times = [sum(parts) for _, *parts in marks]
                print(
                    f"{key}: slider to {'the picture of its answer' if exact else 'picture'}, {steps} quick steps: "
                    f"median {statistics.median(times):.0f} ms, worst {max(times):.0f} ms; "
                    f"{sum(early for early, *_ in marks)} ahead of the answer; "
                    f"largest reply {max(sizes, default=0) / 1000:.0f} KB"
                )
                each = zip(*(parts for _, *parts in marks), strict=True)
                print(
                    "  "
                    + ", ".join(f"{part} {statistics.median(all_):.1f}" for part, all_ in zip(PARTS, each, strict=True))
                )
            rate = page.evaluate(SWEEP, [key, values])
            print(f"{key}: {rate:.0f} pictures a second during a sweep")
        browser.close()


if __name__ == "__main__":
    main()
