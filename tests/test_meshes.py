"""The files of meshes/ are what their README says they are, and can be made again."""

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.special import ellipe

from silhouette.shape.support import girth_of, support
from silhouette.shown.models import from_gltf
from tests.loaded_meshes import meshes_of
from tests.reference_meshes import FOLDER, files

MADE = files()


@pytest.mark.parametrize("name", sorted(MADE))
def test_file_is_what_the_generator_makes(name: str) -> None:
    kept, made = (meshes_of(raw, process=False) for raw in ((FOLDER / name).read_bytes(), MADE[name]))
    assert kept.keys() == made.keys()
    for part in kept:
        assert np.array_equal(kept[part].faces, made[part].faces)
        assert np.abs(kept[part].vertices - made[part].vertices).max() < 1e-6  # metres: a thousandth of a mm
        assert kept[part].is_watertight
        assert kept[part].is_winding_consistent
        assert kept[part].volume > 0


def test_every_file_is_listed_in_the_readme() -> None:
    text = (FOLDER / "README.md").read_text("utf-8")
    for path in Path(FOLDER).iterdir():
        assert path.name == "README.md" or path.name in text, path.name


def _girth(name: str) -> float:
    (mesh,) = meshes_of((FOLDER / name).read_bytes(), process=False).values()
    points = from_gltf(mesh.vertices)
    return float(girth_of(support(points[:, :2], 720)))


def test_girths_of_the_reference_solids() -> None:
    # circle: 2πR. Ellipse: complete elliptic integral (scipy.special.ellipe). Wrap: Steiner, + 2πt.
    assert _girth("cylinder.glb") == pytest.approx(2 * math.pi * 162.5, rel=1e-5)
    assert _girth("cylinder-wrapped.glb") == pytest.approx(2 * math.pi * 182.5, rel=1e-5)
    assert _girth("ellipse-prism.glb") == pytest.approx(4 * 180 * ellipe(1 - (120 / 180) ** 2), rel=1e-5)


def test_volume_of_the_bevelled_slab() -> None:
    # prismatoid: h/6 (foot + 4 middle + top)
    (mesh,) = meshes_of((FOLDER / "bevelled-slab.glb").read_bytes(), process=False).values()
    foot, middle, top = 200 * 150, 160 * 110, 120 * 70
    assert mesh.volume * 1e9 == pytest.approx(20 / 6 * (foot + 4 * middle + top), rel=1e-5)
