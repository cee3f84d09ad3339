"""How fast the consultation page answers: slider to changed picture in headless Chromium with software WebGL.

    python tests/bench/bench_page.py [path to Chromium]

Reports medians and worst cases; asserts nothing, because a shared machine decides the last factor of two.
"""

from __future__ import annotations

import os
import platform
import statistics
import sys
import tempfile
import urllib.request
from importlib import resources
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.page.browser import ARGUMENTS, CHROMIUM, server

STEPS = 40

#: Moves the slider, waits until that very picture has been drawn (a pixel is read back, so that the drawing has
#: really been done and not only asked for) and shown, and tells the time it took.
ONE_STEP = """([id, value]) => new Promise((done) => {
  const slider = document.querySelector(`[data-key="${id}"] input[type=range]`);
  const gl = document.getElementById('picture').getContext('webgl2');
  const begun = performance.now();
  document.addEventListener('pictured', () => {
    gl.readPixels(5, 5, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    requestAnimationFrame(() => done(performance.now() - begun));
  }, {once: true});
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


def main() -> None:
    from playwright.sync_api import sync_playwright

    chromium = sys.argv[1] if len(sys.argv) > 1 else CHROMIUM
    print(f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.2f}")
    with tempfile.TemporaryDirectory() as folder, server(Path(folder)) as address, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        sizes: list[int] = []
        files: dict[str, int] = {}

        def seen(response: object) -> None:
            url = response.url  # type: ignore[attr-defined]
            if url.endswith("/preview"):
                sizes.append(int(response.headers["content-length"]))  # type: ignore[attr-defined]
            elif response.request.method == "GET":  # type: ignore[attr-defined]
                files[url] = int(response.headers.get("content-length", 0))  # type: ignore[attr-defined]

        page.on("response", seen)
        page.goto(address)
        page.locator("#girth:not(:text-is('…'))").wait_for()
        page.wait_for_timeout(1500)
        print(
            f"first load: {len(files)} own files, {sum(files.values()) / 1000:.0f} KB; "
            f"first reply {max(sizes) / 1000:.0f} KB"
        )
        for key, values in (
            ("pads.thickness", [8 + i % 9 for i in range(STEPS)]),
            ("pads.start", [10 + (7 * i) % 19 for i in range(STEPS)]),
            ("girths.hip", [330 + (3 * i) % 25 for i in range(STEPS)]),
        ):
            sizes.clear()
            times = [page.evaluate(ONE_STEP, [key, value]) for value in values]
            print(
                f"{key}: slider to picture, {STEPS} quick steps: median {statistics.median(times):.0f} ms, "
                f"worst {max(times):.0f} ms; largest reply {max(sizes) / 1000:.0f} KB"
            )
            rate = page.evaluate(SWEEP, [key, values])
            print(f"{key}: {rate:.0f} pictures a second during a sweep")
        browser.close()
        with urllib.request.urlopen(address) as reply:
            assert reply.status == 200
    static = resources.files("silhouette.page") / "static"
    print(f"all static files, hand-over's included: {sum(len(f.read_bytes()) for f in static.iterdir()) / 1000:.0f} KB")


if __name__ == "__main__":
    main()
