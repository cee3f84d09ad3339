"""Stills of the dressed figure, drawn off-screen: before, after, and the pads beneath; said plainly when this machine
cannot.

VTK ends the whole process where no OpenGL library exists, so whether it can draw is tried once in a process
of its own.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from typing import Any, Final

import numpy as np

from silhouette.cloth.pressed import pressed_pads
from silhouette.pipeline import Preview
from silhouette.shape.curves import Array
from silhouette.shape.pads import lay_pads
from silhouette.shown.scan_veil import COLOUR as VEIL_COLOUR
from silhouette.shown.scan_veil import FAINT, Veil, veil_of
from silhouette.shown.scene import dressed_surfaces, padded_surfaces
from silhouette.shown.shading import THROUGH, lit, ways_outward
from silhouette.shown.skin_surfaces import body_surfaces
from silhouette.shown.surface import Role, Surface
from silhouette.shown.tones import colours_of

NO_STILLS: Final = "left out: this machine has no OpenGL library to draw 3D stills with"
NO_PICTURE: Final = f"views.png {NO_STILLS}"
PAPER: Final = "#f7f3ec"
#: Where the eye stands: name and angle from the front towards the wearer's left, degrees.
EYES: Final = (("front", 0.0), ("three-quarter", 40.0), ("side", 90.0), ("back", 180.0))

FINE: Final = 101  #: rows of a pad's grid in pictures
ABOVE: Final = 215.0  #: what of a picture lies above the waist, mm
BELOW: Final = 120.0  #: and below the hem or the knee, whichever is lower, mm

_TRY = (
    "import pyvista as pv; p = pv.Plotter(off_screen=True, window_size=(64, 64)); "
    "p.add_mesh(pv.Sphere()); p.screenshot(None, return_img=True); print('drawn')"
)


@lru_cache(maxsize=1)
def can_render() -> bool:
    """Whether a small off-screen picture can be drawn here, tried in a process of its own."""
    try:
        done = subprocess.run([sys.executable, "-c", _TRY], capture_output=True, text=True, timeout=120, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0 and "drawn" in done.stdout


def views_file(preview: Preview, width: int = 400) -> bytes | None:
    """``views.png``: dressed before, dressed after, the pads on the body, and her scan over it, from four sides at one
    scale.

    ``width`` of one view in pixels; the picture is four of them wide. None where nothing can be drawn.
    """
    if not can_render():
        return None
    fine = pressed_pads(preview.shell, lay_pads(preview.sheet, preview.body, rows=FINE))
    dressed = preview.dressed
    stages = [("before", dressed_surfaces(preview, dressed.before))]
    if preview.pads:
        stages.append(("after", dressed_surfaces(preview, dressed.after)))
        stages.append(("the pads", padded_surfaces(preview, fine)))
    colours = colours_of(preview)
    frame = Frame.round([surface for _, surfaces in stages for surface in surfaces], preview)
    rows = [pictures(surfaces, colours, frame, width) for _, surfaces in stages]
    if (veil := veil_of(preview)) is not None:
        rows.append(pictures(body_surfaces(preview.body), colours, frame, width, veil=veil))
        stages.append(("the scan", ()))
    return _captioned([np.concatenate(row, axis=1) for row in rows], [name for name, _ in stages], width)


class Frame:
    """One frame for all views of a figure: the same scale and the same foot, whatever stands in it."""

    def __init__(self, top: float, foot: float, half: float) -> None:
        self.top, self.foot, self.half = top, foot, half

    @classmethod
    def round(cls, surfaces: Sequence[Surface], preview: Preview) -> Frame:
        half = max(float(np.hypot(*s.points[..., :2].reshape(-1, 2).T).max()) for s in surfaces)
        foot = max(preview.dressed.before.cut.hem_drop, float(preview.body.drops[-1])) + BELOW
        return cls(ABOVE, foot, half * 1.10)

    @property
    def shape(self) -> float:
        """Height over width."""
        return (self.top + self.foot) / (2 * self.half)


def pictures(
    surfaces: Sequence[Surface],
    colours: dict[Role, tuple[int, int, int]],
    frame: Frame,
    width: int,
    eyes: Sequence[tuple[str, float]] = EYES,
    veil: Veil | None = None,
) -> list[Any]:
    """One picture (height, ``width``, 3) for each eye, drawn at twice the size and brought down; a ``veil`` over it."""
    import pyvista as pv

    height = int(width * frame.shape)
    with _quiet():
        plotter: Any = pv.Plotter(off_screen=True, window_size=[2 * width, 2 * height], lighting="none")
        plotter.set_background(PAPER)
        plotter.disable_anti_aliasing()  # drawn at twice the size as it is
        meshes = [(_mesh(surface), ways_outward(surface) * _FLIP, surface) for surface in surfaces]
        for mesh, _, _ in meshes:
            plotter.add_mesh(mesh, scalars="colour", rgb=True, lighting=False)
        over = None if veil is None else _veil_mesh(veil)
        if over is not None:
            plotter.add_mesh(over, scalars="colour", rgb=True, lighting=False, opacity=FAINT, culling="back")
        shots = []
        for _, angle in eyes:
            axes = _look(plotter, np.radians(angle), frame)
            for mesh, normals, surface in meshes:
                through = THROUGH if surface.role == "skin" else 0.0
                mesh["colour"] = lit(normals, colours[surface.role], axes, surface.shade, through).reshape(-1, 3)
            if veil is not None and over is not None:
                over["colour"] = lit(veil.normals * _FLIP, VEIL_COLOUR, axes)
            plotter.render()
            shot = np.asarray(plotter.screenshot(None, return_img=True), dtype=np.uint16)
            shots.append(
                ((shot[::2, ::2] + shot[1::2, ::2] + shot[::2, 1::2] + shot[1::2, 1::2]) // 4).astype(np.uint8)
            )
        plotter.close()
    return shots


_FLIP: Final = np.array([-1.0, 1.0, 1.0])  #: into the renderer's right-handed frame


def _mesh(surface: Surface) -> Any:
    import pyvista as pv

    rows, columns = surface.points.shape[:2]
    index = np.arange(rows * columns).reshape(rows, columns)
    corners = (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:])
    faces = np.stack([np.full((rows - 1) * (columns - 1), 4), *(c.ravel() for c in corners)], axis=1)
    mesh = pv.PolyData(surface.points.reshape(-1, 3) * _FLIP, faces.ravel())
    mesh["colour"] = np.zeros((rows * columns, 3), np.uint8)
    return mesh


def _veil_mesh(veil: Veil) -> Any:
    import pyvista as pv

    corners = np.column_stack([np.full(len(veil.triangles), 3), veil.triangles])
    mesh = pv.PolyData(veil.points * _FLIP, corners.ravel())
    mesh["colour"] = np.zeros((len(veil.points), 3), np.uint8)
    return mesh


def _look(plotter: Any, angle: float, frame: Frame) -> Array:
    """Turn the camera; gives the eye's axes (3, 3): right, up, towards the eye."""
    middle = (frame.top - frame.foot) / 2
    focus = np.array([0.0, 0.0, middle])
    # towards the wearer's left is -x in the renderer's frame
    away = np.array([-np.sin(angle), np.cos(angle), 0.07])
    far = 4 * frame.foot
    plotter.camera.focal_point = focus
    plotter.camera.position = focus + away * far
    plotter.camera.up = (0.0, 0.0, 1.0)
    plotter.camera.parallel_projection = True
    plotter.camera.parallel_scale = (frame.top + frame.foot) / 2
    plotter.camera.clipping_range = (0.4 * far, 2 * far)
    toward = away / np.linalg.norm(away)
    right = np.cross([0.0, 0.0, 1.0], toward)
    right /= np.linalg.norm(right)
    return np.stack([right, np.cross(toward, right), toward])


@contextmanager
def _quiet() -> Iterator[None]:
    """VTK writes of a missing display to the process's own standard error: not a word of it to the user."""
    sys.stderr.flush()
    kept = os.dup(2)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 2)
    try:
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nothing)


def _captioned(rows: list[Any], names: list[str], width: int) -> bytes:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    picture = np.concatenate(rows, axis=0)
    dpi, margin, head = 150, 0.42, 0.36
    across, down = picture.shape[1] / dpi, picture.shape[0] / dpi
    drawing = Figure(figsize=(across + margin, down + head), facecolor=PAPER)
    FigureCanvasAgg(drawing)
    axes = drawing.add_axes((margin / (across + margin), 0, across / (across + margin), down / (down + head)))
    axes.imshow(picture, interpolation="none", aspect="auto")
    axes.axis("off")
    for i, (name, _) in enumerate(EYES):
        x = (margin + (i + 0.5) * width / dpi) / (across + margin)
        y = 1 - head / 2 / (down + head)
        drawing.text(x, y, name, ha="center", va="center", fontsize=12, color="#756c62", style="italic")
    for i, name in enumerate(names):
        x, y = margin / 2 / (across + margin), (down * (1 - (i + 0.5) / len(names))) / (down + head)
        drawing.text(x, y, name, ha="center", va="center", fontsize=15, color="#2d2a27", rotation=90, family="serif")
    buffer = io.BytesIO()
    drawing.savefig(buffer, format="png", dpi=dpi, facecolor=PAPER)
    return buffer.getvalue()
