"""Photographs of bodies for the tracing tests: a pinhole camera held level, painted with Pillow face by face."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

WALL, FLOOR, CLOTH = (214, 208, 198), (176, 164, 148), np.array([92.0, 104.0, 122.0])


@dataclass(frozen=True)
class Camera:
    """Before her ("front") or at her right ("side"): mm from the plane through her axis, the lens ``drop`` below the
    waist and ``aside`` to the right of the picture from her axis; ``pixels`` a mm in that plane."""

    view: str
    distance: float = 2600.0
    drop: float = 240.0
    aside: float = 0.0
    pixels: float = 1.9
    size: tuple[int, int] = (1500, 2000)

    def seen(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Pixels (..., 2) and nearness (...) of points (..., 3) in body axes."""
        x, y, z = np.moveaxis(points, -1, 0)
        across, near = (x, y) if self.view == "front" else (y, -x)
        growth = self.distance / (self.distance - near)
        u = self.size[0] / 2 + (across - self.aside) * growth * self.pixels
        v = self.size[1] / 2 + (-z - self.drop) * growth * self.pixels
        return np.stack([u, v], axis=-1), near


def level_ends(camera: Camera, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where the left and right end of a level's points (P, 3) stand in the picture."""
    seen, _ = camera.seen(points)
    return seen[seen[:, 0].argmin()], seen[seen[:, 0].argmax()]


def photograph(grids: list[np.ndarray], camera: Camera, path: Path) -> Path:
    """Paint grids of points (R, C, 3), nearest last, and write a PNG."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", camera.size, WALL)
    draw = ImageDraw.Draw(image)
    draw.rectangle([0, int(camera.size[1] * 0.93), *camera.size], fill=FLOOR)
    light = np.array([0.5, 0.7, 0.5]) if camera.view == "front" else np.array([-0.8, 0.35, 0.5])
    light /= np.linalg.norm(light)
    corners, tones, nearness = [], [], []
    for grid in grids:
        quads = np.stack([grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]], axis=2).reshape(-1, 4, 3)
        normal = np.cross(quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1])
        normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-9)
        pixels, near = camera.seen(quads)
        corners.append(pixels)
        tones.append(0.55 + 0.6 * np.abs(normal @ light))
        nearness.append(near.mean(1))
    polygons, shade = np.concatenate(corners), np.concatenate(tones)
    for i in np.argsort(np.concatenate(nearness)):
        red, green, blue = (int(c) for c in np.clip(CLOTH * shade[i], 0, 255))
        draw.polygon([tuple(p) for p in polygons[i]], fill=(red, green, blue), outline=(red, green, blue))
    image.save(path)
    return path


def edges_at(path: Path) -> np.ndarray:
    """The left and right edge of the figure in every row of pixels (R, 2); NaN where there is none."""
    from PIL import Image

    pixels = np.asarray(Image.open(path).convert("RGB"), dtype=float)
    figure = (np.abs(pixels - WALL).sum(2) > 60) & (np.abs(pixels - FLOOR).sum(2) > 60)
    found = np.full((len(pixels), 2), np.nan)
    rows = figure.any(1)
    found[rows, 0] = figure[rows].argmax(1)
    found[rows, 1] = figure.shape[1] - figure[rows, ::-1].argmax(1)
    return found
