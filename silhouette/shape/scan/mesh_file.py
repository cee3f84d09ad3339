"""A mesh file read within bounds of size, count and place: nothing beside it is opened, no material is read.

What a file says of itself is looked at before a library reads it: counts in headers, accessors and nodes of a GLB.
"""

from __future__ import annotations

import io
import json
import logging
import os
import stat
import struct
from pathlib import Path
from typing import Any, Final

import numpy as np

from silhouette.shape.curves import Array
from silhouette.shape.scan.slices import Indices

LARGEST: Final = 60_000_000  #: bytes (this tool's convention: 60 000 vertices are 2 to 8 MB)
MOST_TRIANGLES: Final = 1_000_000
MOST_PIECES: Final = 500  #: meshes, primitives, nodes, solids
LARGEST_HEAD: Final = 4_000_000  #: bytes of the head of a GLB
Stamp = tuple[int, int, int, int]  #: when a file was last written and changed, its size, its number on the disk


class UnreadableMeshError(ValueError):
    """Why a file is not read, in plain words."""


def scan_place(folder: str | None, name: str) -> Path:
    """Where a scan lies. Raises ``UnreadableMeshError`` where that is not in the folder of the sheet."""
    if folder is None:
        raise UnreadableMeshError("this sheet lies in no folder, so nothing lies beside it: save it, and read the file")
    try:
        root = Path(folder).resolve()
        place = (root / name).resolve()
    except (OSError, RuntimeError) as error:  # links that lead to each other
        raise UnreadableMeshError("cannot be read: it leads nowhere") from error
    if not place.is_relative_to(root):
        raise UnreadableMeshError("leads out of the folder of the sheet")
    return place


def stamp_of(place: Path) -> Stamp:
    """What changes when a file does. Raises ``UnreadableMeshError``."""
    try:
        state = place.stat()
    except OSError as error:
        reason = "no such file beside the sheet" if isinstance(error, FileNotFoundError) else error.strerror
        raise UnreadableMeshError(reason or "cannot be read") from error
    if not stat.S_ISREG(state.st_mode):
        raise UnreadableMeshError("is not a plain file")
    if state.st_size > LARGEST:
        raise UnreadableMeshError(
            f"{state.st_size / 1e6:.0f} MB; at most {LARGEST / 1e6:.0f} MB are read: save it with fewer triangles"
        )
    return state.st_mtime_ns, state.st_ctime_ns, state.st_size, state.st_ino


def read_mesh(place: Path) -> tuple[Array, Indices]:
    """Vertices (N, 3) in the unit and axes of the file, equal ones made one, and triangles (M, 3).

    Raises ``UnreadableMeshError``.
    """
    import trimesh

    kind = place.suffix.lower().removeprefix(".")
    raw = _plain_bytes(place)
    raw = {"obj": _plain_obj, "ply": _plain_ply, "stl": _plain_stl, "glb": _plain_glb}[kind](raw)
    quiet = logging.getLogger("trimesh")
    before = quiet.level
    quiet.setLevel(logging.CRITICAL)
    try:
        with np.errstate(all="ignore"):
            loaded: Any = trimesh.load_scene(
                io.BytesIO(raw), file_type=kind, process=False, skip_materials=True, resolver=None, allow_remote=False
            )
            whole: Any = loaded.to_mesh()
            vertices, triangles = np.array(whole.vertices, dtype=np.float64), np.array(whole.faces, dtype=np.int64)
    except MemoryError:
        raise
    except Exception as error:  # whatever a broken file makes of a library
        raise UnreadableMeshError(f"is not a sound {kind.upper()} file") from error
    finally:
        quiet.setLevel(before)
    return _checked(vertices, triangles)


def _plain_bytes(place: Path) -> bytes:
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)
    try:
        with os.fdopen(os.open(place, flags), "rb") as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise UnreadableMeshError("is not a plain file")
            raw = file.read(LARGEST + 1)
    except OSError as error:
        raise UnreadableMeshError(f"cannot be read: {error.strerror}") from error
    if len(raw) > LARGEST:
        raise UnreadableMeshError(f"more than {LARGEST / 1e6:.0f} MB")
    return raw


def _checked(vertices: Array, triangles: Indices) -> tuple[Array, Indices]:
    if vertices.ndim != 2 or triangles.ndim != 2 or not len(triangles) or not len(vertices):
        raise UnreadableMeshError("has no triangles: a scan needs a surface, not points alone")
    _counted(len(triangles), "triangles")
    triangles = np.where(triangles < 0, triangles + len(vertices), triangles)
    if triangles.min() < 0 or triangles.max() >= len(vertices):
        raise UnreadableMeshError("has triangles at vertices that it does not have")
    used = np.zeros(len(vertices), dtype=bool)
    used[triangles] = True
    if not np.isfinite(vertices[used]).all():
        raise UnreadableMeshError("has vertices that are no numbers")
    with np.errstate(over="ignore"):  # an endless span is refused too
        span = np.ptp(vertices[used], axis=0)
    if not 1e-9 < span.max() < 1e9:
        raise UnreadableMeshError("has no size")
    return _welded(vertices, triangles, used)


def _welded(vertices: Array, triangles: Indices, used: np.ndarray) -> tuple[Array, Indices]:
    """Vertices at one place made one, triangles without area left out."""
    low, fine = vertices[used].min(0), (1 << 20) / np.ptp(vertices[used], axis=0).max()
    cell = np.zeros(len(vertices), dtype=np.int64)
    place = np.round((vertices[used] - low) * fine).astype(np.int64)
    cell[used] = (place[:, 0] << 42) | (place[:, 1] << 21) | place[:, 2]
    _, first, same = np.unique(cell[used], return_index=True, return_inverse=True)
    index = np.zeros(len(vertices), dtype=np.intp)
    index[used] = same
    corners = index[triangles]
    whole = (corners != corners[:, [1, 2, 0]]).all(1)
    if not whole.any():
        raise UnreadableMeshError("has no triangles: a scan needs a surface, not points alone")
    return vertices[used][first], corners[whole]


def _counted(count: int, what: str, most: int = MOST_TRIANGLES) -> None:
    if not 0 <= count <= most:
        raise UnreadableMeshError(f"has {count} {what}; at most {most} are read")


def _plain_obj(raw: bytes) -> bytes:
    """Vertices and faces alone: no material file is named any more, no group, no colour."""
    lines = raw.replace(b"\\\n", b" ").replace(b"\t", b" ").splitlines()
    vertices = [line for line in lines if line.startswith(b"v ")]
    faces = [line for line in lines if line.startswith(b"f ")]
    _counted(len(vertices), "vertices")
    _counted(sum(line.count(b" ") for line in faces) // 3, "triangles")
    if any(len(line.split()) != 4 for line in vertices[:100]) or len({line.count(b" ") for line in vertices}) > 1:
        vertices = [b" ".join(line.split()[:4]) for line in vertices]
    return b"\n".join([*vertices, *faces, b""])


def _plain_ply(raw: bytes) -> bytes:
    """The same file, if its head promises no more than it can hold."""
    head, mark, _ = raw[:100_000].partition(b"end_header")
    if not mark or not head.startswith(b"ply"):
        raise UnreadableMeshError("is not a sound PLY file")
    left = len(raw) - len(head) - len(mark)
    for line in head.splitlines():
        words = line.split()
        if words[:1] == [b"element"]:
            count = int(words[2]) if len(words) == 3 and words[2].isdigit() and len(words[2]) < 12 else -1
            _counted(count, words[1].decode("ascii", "replace")[:20] + " elements")
            if count > left:
                raise UnreadableMeshError("promises more than it holds")
    return raw


def _plain_stl(raw: bytes) -> bytes:
    """The same file, if it is a binary one of its own length or a text of few solids."""
    if len(raw) >= 84:
        (count,) = struct.unpack_from("<I", raw, 80)
        if len(raw) == 84 + 50 * count:
            _counted(count, "triangles")
            return raw
    if not raw.lstrip()[:5].lower() == b"solid":
        raise UnreadableMeshError("is not a sound STL file: its length is not that of its triangles")
    lower = raw.lower()
    _counted(lower.count(b"endsolid"), "solids", MOST_PIECES)
    _counted(lower.count(b"vertex") // 3, "triangles")
    return raw


def _plain_glb(raw: bytes) -> bytes:
    """The same file, if all that its head promises lies within it, and no other file is named."""
    try:
        magic, version, length, head_length, kind = struct.unpack_from("<4sIIII", raw)
        if magic != b"glTF" or version != 2 or length > len(raw) or head_length > min(LARGEST_HEAD, len(raw)):
            raise ValueError
        head = json.loads(raw[20 : 20 + head_length])
        if kind != 0x4E4F534A or not isinstance(head, dict):
            raise ValueError
        _checked_head(head, len(raw))
    except (struct.error, ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        if isinstance(error, UnreadableMeshError):
            raise
        raise UnreadableMeshError("is not a sound GLB file") from error
    return raw


def _checked_head(head: dict[str, Any], size: int) -> None:
    if any("uri" in buffer for buffer in head.get("buffers", [])):
        raise UnreadableMeshError("names other files, which are not opened: save it as one file")
    if any("draco" in name or "meshopt" in name for name in head.get("extensionsRequired", [])):
        raise UnreadableMeshError("is packed in a way that is not read: save it without compression")
    for name in ("nodes", "meshes", "scenes", "accessors", "bufferViews"):
        _counted(len(head.get(name, [])), name, MOST_PIECES)
    _counted(sum(len(mesh["primitives"]) for mesh in head.get("meshes", [])), "pieces", MOST_PIECES)
    for accessor in head.get("accessors", []):
        _counted(int(accessor["count"]), "numbers in one list", 3 * MOST_TRIANGLES)
        if "bufferView" not in accessor or "sparse" in accessor or accessor["count"] > size:
            raise UnreadableMeshError("promises more than it holds")
    views = [int(view["byteLength"]) for view in head.get("bufferViews", [])]
    if any(not 0 <= view <= size for view in views):
        raise UnreadableMeshError("promises more than it holds")
    children = [child for node in head.get("nodes", []) for child in node.get("children", [])]
    if len(children) != len(set(children)):  # a tree, so that nothing stands in more places than it has nodes
        raise UnreadableMeshError("is not a sound GLB file")
    _counted(_triangles_shown(head), "triangles")


def _triangles_shown(head: dict[str, Any]) -> int:
    """Triangles of all nodes: a mesh may stand in many of them."""
    accessors = head.get("accessors", [])
    held = []
    for mesh in head.get("meshes", []):
        corners = 0
        for one in mesh["primitives"]:
            place = one["indices"] if "indices" in one else one["attributes"]["POSITION"]
            corners += int(accessors[place]["count"])
        held.append(corners // 3)
    return sum(held[node["mesh"]] for node in head.get("nodes", []) if "mesh" in node)
