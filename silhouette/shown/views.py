"""Rendered views of body and padded body, drawn off-screen; said plainly when this machine cannot.

VTK ends the whole process where no OpenGL library exists, so whether it can draw is tried once in a process
of its own.
"""

from __future__ import annotations

import io
import subprocess
import sys
from functools import lru_cache
from typing import Any, Final

import numpy as np

from silhouette.cloth.pressed import pressed_pads
from silhouette.pipeline import Preview
from silhouette.shape.curves import Array
from silhouette.shape.pads import lay_pads
from silhouette.shape.solids import Solid, body_solid, pad_solid

NO_PICTURE: Final = "views.png left out: this machine has no OpenGL library to draw 3D stills with"
PAPER: Final = "#fbf8f3"
SKIN: Final = "#e9ddcf"
PAD: Final = "#cf9577"
#: Where the eye stands: name and angle from the front towards the wearer's left, degrees.
EYES: Final = (("front", 0.0), ("three-quarter", 40.0), ("side", 90.0), ("back", 180.0))

FINE: Final = 101  #: rows of a pad's grid in pictures
SHAPE: Final = 1.16  #: height of one view over its width

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


def views_file(seen: Preview, size: int = 520) -> bytes | None:
    """``views.png``: before above after, and worn below where a shell squeezes; from four sides at one scale.

    None where nothing can be drawn.
    """
    if not can_render():
        return None
    import pyvista as pv

    body = body_solid(seen.body)
    fine = lay_pads(seen.sheet, seen.body, rows=FINE)
    pads = [pad_solid(pad) for pad in fine]
    stages = [("before", [body]), ("after", [body, *pads])]
    if seen.squeezed:
        stages[1] = ("loose foam", stages[1][1])
        stages.append(("worn", [body, *(pad_solid(pad) for pad in pressed_pads(seen.shell, fine))]))
    height = float(seen.body.drops[-1])
    rows: list[Any] = []
    for _, solids in stages:
        plotter: Any = pv.Plotter(off_screen=True, window_size=[2 * size, 2 * int(size * SHAPE)], lighting="none")
        plotter.set_background(PAPER)
        for solid in solids:
            _add(plotter, solid)
        _light(plotter)
        shots = []
        for _, angle in EYES:
            _look(plotter, np.radians(angle), height)
            shot = np.asarray(_shot(plotter), dtype=np.uint16)
            shots.append((shot[::2, ::2] + shot[1::2, ::2] + shot[::2, 1::2] + shot[1::2, 1::2]) // 4)
        plotter.close()
        rows.append(np.concatenate(shots, axis=1).astype(np.uint8))
    return _captioned(rows, [name for name, _ in stages], size)


def _add(plotter: Any, solid: Solid) -> None:
    import pyvista as pv
    import trimesh

    points = solid.vertices * [-1.0, 1.0, 1.0]  # the renderer's frame is right-handed
    graph: Any = trimesh.graph
    mesh = graph.smooth_shade(trimesh.Trimesh(points, solid.triangles[:, ::-1], process=False), angle=np.radians(50))
    # normals weighted by area: the slivers near a pad's tips must not darken their neighbours
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    normals = np.zeros((len(mesh.vertices), 3))
    for i in range(3):
        np.add.at(normals, mesh.faces[:, i], np.cross(b - a, c - a))
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    lift = 0.0 if solid.name == "body" else 0.25  # mm: a pad's thin edge must not flicker with the skin under it
    faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces])
    smooth = pv.PolyData(np.asarray(mesh.vertices + lift * normals), faces.ravel())
    smooth.point_data["Normals"] = normals
    smooth.point_data.active_normals_name = "Normals"
    plotter.add_mesh(
        smooth, color=SKIN if solid.name == "body" else PAD, smooth_shading=True, ambient=0.32, diffuse=0.72,
        specular=0.06, specular_power=8,
    )  # fmt: skip


def _light(plotter: Any) -> None:
    import pyvista as pv

    for position, strength in (((-0.7, 0.9, 1.0), 0.75), ((1.0, 0.3, 0.7), 0.35), ((0.0, -0.4, 1.0), 0.18)):
        light = pv.Light(position=position, focal_point=(0, 0, 0), intensity=strength, light_type="camera light")
        plotter.add_light(light)


def _look(plotter: Any, angle: float, height: float) -> None:
    focus = np.array([0.0, 0.0, -0.47 * height])
    # towards the wearer's left is -x in the renderer's frame
    away = np.array([-np.sin(angle), np.cos(angle), 0.10])
    plotter.camera.focal_point = focus
    plotter.camera.position = focus + away * 3 * height
    plotter.camera.up = (0.0, 0.0, 1.0)
    plotter.camera.parallel_projection = True
    plotter.camera.parallel_scale = 0.60 * height
    plotter.camera.clipping_range = (0.5 * height, 6 * height)


def _captioned(rows: list[Any], names: list[str], size: int) -> bytes:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    picture = np.concatenate(rows, axis=0)
    dpi, margin, head = 150, 0.42, 0.36
    width, height = picture.shape[1] / dpi, picture.shape[0] / dpi
    drawing = Figure(figsize=(width + margin, height + head), facecolor=PAPER)
    FigureCanvasAgg(drawing)
    axes = drawing.add_axes((margin / (width + margin), 0, width / (width + margin), height / (height + head)))
    axes.imshow(picture, interpolation="none", aspect="auto")
    axes.axis("off")
    for i, (name, _) in enumerate(EYES):
        x = (margin + (i + 0.5) * size / dpi) / (width + margin)
        drawing.text(
            x,
            1 - head / 2 / (height + head),
            name,
            ha="center",
            va="center",
            fontsize=12,
            color="#857c72",
            style="italic",
        )
    for i, name in enumerate(names):
        y = (height * (1 - (i + 0.5) / len(names))) / (height + head)
        drawing.text(
            margin / 2 / (width + margin),
            y,
            name,
            ha="center",
            va="center",
            fontsize=15,
            color="#2d2a27",
            rotation=90,
            family="serif",
        )
    buffer = io.BytesIO()
    drawing.savefig(buffer, format="png", dpi=dpi, facecolor=PAPER)
    return buffer.getvalue()


def _shot(plotter: Any) -> Array:
    plotter.render()
    picture: Array = plotter.screenshot(None, return_img=True)
    return picture
