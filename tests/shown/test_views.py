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
from tests.clients import plain_sheet


def test_where_nothing_can_be_drawn_there_is_no_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "can_render", lambda: False)
    assert views.views_file(preview(from_plain(plain_sheet()))) is None
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
    """One thick pad on the wearer's left, seen from the front on the right-hand side of the picture; dressed in the
    first two rows, where no foam is in sight, and wider on that side with the pad than without."""
    if not views.can_render():
        pytest.skip("this machine has no OpenGL library to render with")
    from matplotlib.image import imread

    plain = plain_sheet(pads={"thickness": 1, "right": {"front": False, "back": False}})
    shown = preview(from_plain({**plain, "cloth": {"colour": "moss"}}))
    size = 160
    png = views.views_file(shown, width=size)
    assert png is not None
    picture = np.asarray(imread(io.BytesIO(png)))[..., :3]
    height, width = picture.shape[:2]
    margin, tall = width - 4 * size, (height - 54) // 3
    red = (picture[..., 0] - picture[..., 1] > 0.12) & (picture[..., 0] > 0.3)  # foam is the reddest thing in sight
    green = (picture[..., 1] - picture[..., 2] > 0.06) & (picture[..., 1] > picture[..., 0])  # cloth in moss

    def view(mask: np.ndarray[Any, Any], row: int, column: int) -> np.ndarray[Any, Any]:
        across = slice(margin + column * size, margin + (column + 1) * size)
        return np.argwhere(mask[54 + row * tall : 54 + (row + 1) * tall, across])

    names = [name for name, _ in views.EYES]
    assert all(len(view(red, row, i)) == 0 for row in (0, 1) for i in range(4))
    assert all(len(view(red, 2, i)) > 50 for i in range(4))
    assert view(red, 2, names.index("front"))[:, 1].mean() > size * 0.55
    assert view(red, 2, names.index("back"))[:, 1].mean() < size * 0.45
    before, after = (view(green, row, names.index("front"))[:, 1] for row in (0, 1))
    assert len(before) > 500 and after.max() > before.max() + 2 and abs(int(after.min()) - int(before.min())) <= 1
