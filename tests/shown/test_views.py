"""Rendered views: said plainly where none can be drawn; where they can, the picture is measured."""

from __future__ import annotations

import io
import subprocess
from typing import Any

import numpy as np
import pytest

from silhouette.asked.reading import from_plain
from silhouette.pipeline import preview
from silhouette.shown import views
from tests.asked.sheets import a_sheet


def test_where_nothing_can_be_drawn_there_is_no_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "can_render", lambda: False)
    assert views.views_file(preview(from_plain(a_sheet()))) is None
    assert views.NO_PICTURE.count(".") <= 1 and "OpenGL" in views.NO_PICTURE and len(views.NO_PICTURE) < 120


@pytest.mark.parametrize("end", ["crash", "no answer", "no python", "says nothing"])
def test_the_try_survives_whatever_the_graphics_do(monkeypatch: pytest.MonkeyPatch, end: str) -> None:
    def run(command: Any, **_: Any) -> Any:
        if end == "no answer":
            raise subprocess.TimeoutExpired(command, 1)
        if end == "no python":
            raise OSError("no such program")
        return subprocess.CompletedProcess(command, 0 if end == "says nothing" else -11, "", "")

    monkeypatch.setattr(subprocess, "run", run)
    assert views.can_render.__wrapped__() is False


def test_the_picture() -> None:
    """One thick pad on the wearer's left, seen from the front on the right-hand side of the picture."""
    if not views.can_render():
        pytest.skip("this machine has no OpenGL library to render with")
    from matplotlib.image import imread

    seen = preview(from_plain(a_sheet(pads={"thickness": 1, "right": {"front": False, "back": False}})))
    size = 160
    png = views.views_file(seen, size=size)
    assert png is not None
    picture = np.asarray(imread(io.BytesIO(png)))[..., :3]
    height, width = picture.shape[:2]
    assert width > 4 * size and height > 2 * size * views.SHAPE - 4
    red = (picture[..., 0] - picture[..., 2] > 0.2) & (picture[..., 0] > 0.4)  # foam is the reddest thing in sight
    margin = width - 4 * size
    head = height - 2 * round(size * views.SHAPE)

    def view(row: int, column: int) -> np.ndarray[Any, Any]:
        tall = round(size * views.SHAPE)
        cut = red[head + row * tall : head + (row + 1) * tall, margin + column * size : margin + (column + 1) * size]
        return np.argwhere(cut)

    names = [name for name, _ in views.EYES]
    before = sum(len(view(0, i)) for i in range(4))
    after = [len(view(1, i)) for i in range(4)]
    assert before == 0 and all(count > 50 for count in after)
    assert view(1, names.index("front"))[:, 1].mean() > size * 0.55
    assert view(1, names.index("back"))[:, 1].mean() < size * 0.45
