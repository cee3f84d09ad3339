"""3D files: GLB for body and padded body, STL for each pad.

Inside, x points to the wearer's left, y to the front and z up: a left-handed frame. Files are right-handed, so
the axes are exchanged and triangles turned over; left stays left.
    GLB (glTF 2.0)  metres, x to the wearer's left, y up, z to the front, as the standard asks
    STL             millimetres, x to the wearer's right, y to the front, z up
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from silhouette.cloth.pressed import pressed_pads
from silhouette.pipeline import Preview
from silhouette.shape.curves import Array
from silhouette.shape.solids import Solid, body_solid, pad_solid
from silhouette.shown.scene import dressed_surfaces
from silhouette.shown.tones import colours_of

BODY_COLOUR: Final = (226, 205, 186, 255)
PAD_COLOUR: Final = (193, 106, 80, 255)


def to_gltf(points: Array) -> Array:
    """Points (N, 3) in mm, inside axes → metres, glTF axes."""
    return np.asarray(points[:, [0, 2, 1]] / 1000.0)


def from_gltf(points: Array) -> Array:
    """Points (N, 3) of a GLB written here → mm, inside axes."""
    return np.asarray(points[:, [0, 2, 1]] * 1000.0)


def glb(solids: Sequence[Solid]) -> bytes:
    """Solids as one binary glTF scene, a named node each."""
    import trimesh

    visuals: Any = trimesh.visual

    scene: Any = trimesh.Scene()
    for solid in solids:
        colour = BODY_COLOUR if solid.name == "body" else PAD_COLOUR
        mesh = trimesh.Trimesh(to_gltf(solid.vertices), solid.triangles[:, ::-1], process=False)
        mesh.visual = visuals.TextureVisuals(
            material=visuals.material.PBRMaterial(
                baseColorFactor=colour, metallicFactor=0.0, roughnessFactor=0.85, doubleSided=False, name=solid.name
            )
        )
        scene.add_geometry(mesh, node_name=solid.name, geom_name=solid.name)
    return bytes(scene.export(file_type="glb"))


def dressed_glb(preview: Preview) -> bytes:
    """The dressed figure as one binary glTF scene, a named node for each surface: skirt, waistband, torso, legs."""
    import trimesh

    visuals: Any = trimesh.visual
    scene: Any = trimesh.Scene()
    colours = colours_of(preview)
    for surface in dressed_surfaces(preview, preview.dressed.after):
        mesh = trimesh.Trimesh(to_gltf(surface.points.reshape(-1, 3)), surface.triangles[:, ::-1], process=False)
        mesh.visual = visuals.TextureVisuals(
            material=visuals.material.PBRMaterial(
                baseColorFactor=(*colours[surface.role], 255),
                metallicFactor=0.0,
                roughnessFactor=0.95,
                doubleSided=True,
                name=surface.role,
            )
        )
        scene.add_geometry(mesh, node_name=surface.name, geom_name=surface.name)
    return bytes(scene.export(file_type="glb"))


def stl(solid: Solid) -> bytes:
    """One solid as binary STL in mm."""
    import trimesh

    mesh: Any = trimesh.Trimesh(solid.vertices * [-1.0, 1.0, 1.0], solid.triangles[:, ::-1], process=False)
    exported: Any = mesh.export(file_type="stl")
    return bytes(exported)


def model_files(preview: Preview) -> dict[str, bytes]:
    """All 3D files of a preview by name."""
    body = body_solid(preview.body)
    pads = [pad_solid(pad) for pad in preview.pads]
    files = {"body.glb": glb([body]), "padded.glb": glb([body, *pads]), "dressed.glb": dressed_glb(preview)}
    if preview.squeezed:
        files["worn.glb"] = glb([body, *(pad_solid(pad) for pad in pressed_pads(preview.shell, preview.pads))])
    files |= {f"pad-{pad.name.replace(' ', '-')}.stl": stl(pad) for pad in pads}
    return files
