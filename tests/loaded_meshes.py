"""Written 3D files read back by trimesh, each as the one kind of thing it must hold."""

from __future__ import annotations

import io
from typing import Any

import trimesh


def scene_of(raw: bytes, file_type: str = "glb", **how: Any) -> trimesh.Scene:
    """The named meshes of a scene file; ``how`` goes to ``trimesh.load``."""
    found = trimesh.load(io.BytesIO(raw), file_type=file_type, **how)
    assert isinstance(found, trimesh.Scene), type(found)
    return found


def meshes_of(raw: bytes, **how: Any) -> dict[str, trimesh.Trimesh]:
    """The meshes of a GLB by name, each in its own axes."""
    return {name: _a_mesh(part) for name, part in scene_of(raw, **how).geometry.items()}


def mesh_of(raw: bytes, file_type: str = "stl") -> trimesh.Trimesh:
    """The one mesh of a file, equal corners merged."""
    return _a_mesh(trimesh.load(io.BytesIO(raw), file_type=file_type))


def _a_mesh(found: object) -> trimesh.Trimesh:
    assert isinstance(found, trimesh.Trimesh), type(found)
    return found
