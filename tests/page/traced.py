"""A woman known to the millimetre, and how her photographs are traced on the page."""

from __future__ import annotations

from dataclasses import astuple, replace
from pathlib import Path
from typing import Any

import numpy as np

from silhouette.asked.reading import from_plain
from silhouette.asked.writing import sheet_toml
from silhouette.shape.body import build_body
from silhouette.shape.figure import figure_of
from tests.page.browser import Watched, choose_client, open_drawer, settled
from tests.page.photographs import Camera, edges_at, level_ends
from tests.shape.unseen import arcs_of, unseen_women

LEVELS = 161


class Woman:
    """One of the unseen women as a surface and as a sheet."""

    def __init__(self, number: int) -> None:
        self.m, self.flat = unseen_women()[number]
        self.body = build_body(self.m, LEVELS, 97)
        self.outer, self.inner = arcs_of(self.m, self.flat, self.body)
        self.name = f"Traced {number}"

    def sheet(self) -> dict[str, Any]:
        def mm(value: float) -> str:
            return f"{value:.3f} mm"

        m = self.m
        girths = {n: mm(getattr(m, n)) for n in ("waist", "high_hip", "hip", "thigh", "knee")}
        drops = {n: mm(getattr(m, f"{n}_drop")) for n in ("high_hip", "hip", "under_seat", "knee")}
        return {"unit": "cm", "client": {"name": self.name}, "girths": girths, "drops": drops}

    def grids(self, more: float = 0.0) -> list[np.ndarray]:
        """Her surface (R, C, 3), going on straight by so many mm above the waist and below the knee."""
        made = []
        for sign in (1, -1):
            for arcs in (self.outer, self.inner):
                drops = self.body.drops[-len(arcs) :]
                if more:
                    above = (0.0 - more,) if len(arcs) == LEVELS else ()
                    drops = np.array([*above, *drops, drops[-1] + more])
                    arcs = np.concatenate([*(arcs[:1] for _ in above), arcs, arcs[-1:]])
                grid = np.empty((*arcs.shape[:2], 3))
                grid[..., 0], grid[..., 1], grid[..., 2] = sign * arcs[..., 0], arcs[..., 1], -drops[:, None]
                made.append(grid)
        return made

    def level(self, drop: float) -> np.ndarray:
        """Points round both halves at a drop."""
        row = int(np.argmin(np.abs(self.body.drops - drop))) - LEVELS
        return np.concatenate([grid[row] for grid in self.grids() if len(grid) + row >= 0])

    def off(self, plain: dict[str, Any]) -> np.ndarray:
        """Breadth, depth and back (3, L), mm: how far the body of a sheet is from her."""
        body = figure_of(from_plain(plain)).body
        level = replace(self.body, drops=body.drops, inner=body.inner)
        hers, _ = arcs_of(self.m, self.flat, level)
        x, y = body.outer[..., 0], body.outer[..., 1]
        breadth = (x.max((0, 2)) - x.min((0, 2))) - 2 * hers[..., 0].max(1)
        front, back = y.max((0, 2)) - hers[..., 1].max(1), hers[..., 1].min(1) - y.min((0, 2))
        return np.abs([breadth, front + back, back])


def centre(page: Any, grip: str) -> tuple[float, float]:
    box = page.locator(f'[data-grip="{grip}"] .grip-dot').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def lies(page: Any) -> tuple[float, float, float]:
    """How the photograph lies on the screen: scale, left, top."""
    scale, left, top = page.evaluate("""() => {
      const m = document.querySelector('.trace-picture image').getScreenCTM();
      return [m.a, m.e, m.f];
    }""")
    return scale, left, top


def drag(page: Any, grip: str, x: float, y: float) -> None:
    page.mouse.move(*centre(page, grip))
    page.mouse.down()
    page.mouse.move(x, y, steps=2)
    page.mouse.up()


def trace(page: Any, woman: Woman, camera: Camera, path: Path) -> None:
    """Choose a photograph, lay both lines on it, and draw every point onto the outline."""
    page.locator(f"#trace-{camera.view}").set_input_files(path)
    page.locator(f'.tracing[data-view="{camera.view}"] .trace-picture').wait_for()
    waist, hip = (np.mean(level_ends(camera, woman.level(drop)), axis=0) for drop in (0.0, woman.m.hip_drop))
    for near in (False, True):  # roughly, then closer by
        if near:
            page.locator("#trace-near").click()
        for grip, place in (("waist", waist), ("low", np.array([waist[0], hip[1]]))):
            scale, left, top = lies(page)
            drag(page, grip, left + place[0] * scale, top + place[1] * scale)
    settled(page)
    draw_points(page, camera, path)


def draw_points(page: Any, camera: Camera, path: Path) -> None:
    """Draw every point onto the edge that is in the picture at its height."""
    edges = edges_at(path)
    words = ("right", "left") if camera.view == "front" else ("back", "front")
    grips = [f"{word} {n}" for n in range(page.locator(f'[data-grip^="{words[0]} "]').count()) for word in words]
    for _ in range(2):  # the second time after the figure has come along
        for grip in grips:
            scale, left, top = lies(page)
            x, y = centre(page, grip)
            column = edges[int((y - top) / scale)][words.index(grip.split()[0])]
            if abs(left + column * scale - x) > 0.6:
                drag(page, grip, left + column * scale, y)
        settled(page)


def begin(watched: Watched, woman: Woman, folder: Path) -> Any:
    """Her sheet opened on the page, and the drawer of her outline."""
    (folder / f"{woman.name}.toml").write_text(sheet_toml(from_plain(woman.sheet())), "utf-8")
    page = watched.page
    page.locator("#open").click()
    choose_client(page, woman.name)
    open_drawer(page, "outline")
    page.locator("#trace-distance").evaluate(
        "(e, mm) => { e.value = mm; for (const kind of ['input', 'change']) e.dispatchEvent(new Event(kind)); }", 2600
    )
    settled(page)
    return page


def choose(page: Any, path: Path, view: str = "front") -> None:
    page.locator(f"#trace-{view}").set_input_files(path)
    page.locator(f'.tracing[data-view="{view}"] .trace-picture').wait_for()


def levels_of(plain: dict[str, Any]) -> dict[str, np.ndarray]:
    """The columns of an outline, mm; NaN where nothing is traced."""
    outline = from_plain(plain).body.outline
    assert outline is not None
    columns = np.array([astuple(level) for level in outline], dtype=float).T
    return dict(zip(("drop", "left", "right", "front", "back"), columns, strict=True))


def reach(watched: Watched, level: int, name: str) -> float:
    return float(levels_of(watched.sheet())[name][level])
