"""Broken and hostile files, refused within limits of time and memory; nothing but the file named is opened."""

from __future__ import annotations

import json
import os
import resource
import struct
import sys

import numpy as np
import pytest
import trimesh

import silhouette
from silhouette.shape.known_body import body_of
from silhouette.shape.scan import mesh_file
from silhouette.shape.scan.mesh_file import UnreadableMeshError, read_mesh, stamp_of
from tests.shape.scan.scans import body_on, ellipse_woman, hers, refusal, saved, sheet, woman

GIRTHS = {"waist": 700, "hip": 990}
BINARY = b"ply\nformat binary_little_endian 1.0\n"
POINT = b"property float x\nproperty float y\nproperty float z\n"
FACE = b"property list uchar int vertex_indices\nend_header\n"


def glb(head: object, body: bytes = b"") -> bytes:
    text = head if isinstance(head, bytes) else json.dumps(head).encode()
    text += b" " * (-len(text) % 4)
    chunk = struct.pack("<II", len(body), 0x004E4942) + body if body else b""
    size = 20 + len(text) + len(chunk)
    return struct.pack("<4sII", b"glTF", 2, size) + struct.pack("<II", len(text), 0x4E4F534A) + text + chunk


def accessor(count: int, **more: object) -> dict[str, object]:
    return {"count": count, "componentType": 5126, "type": "VEC3", **more}


MESH = [{"primitives": [{"attributes": {"POSITION": 0}}]}]
VIEW = [{"buffer": 0, "byteLength": 36}]
HELD = {"buffers": [{"byteLength": 36}], "bufferViews": VIEW, "accessors": [accessor(3, bufferView=0)], "meshes": MESH}
CORNERS = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], "<f4").tobytes()
BROKEN = {
    "empty.obj": b"",
    "words.obj": b"hello\nworld\n",
    "points.obj": b"v 0 0 0\nv 1 0 0\nv 0 1 0\n",
    "nan.obj": b"v nan 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
    "inf.obj": b"v inf 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
    "beyond.obj": b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 99\n",
    "one point.obj": b"v 1 1 1\nv 1 1 1\nv 1 1 1\nf 1 2 3\n",
    "letters.obj": b"v a b c\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
    "polygon.obj": b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf " + b"1 " * 1_100_000 + b"\n",
    "bytes.obj": bytes(range(256)) * 100,
    "no head.ply": b"ply\n",
    "huge count.ply": BINARY + b"element vertex 4000000000\n" + POINT + b"element face 1\n" + FACE,
    "counts.ply": BINARY + b"element vertex 900000\n" + POINT + b"element face 900000\n" + FACE + b"\0" * 100,
    "minus.ply": BINARY + b"element vertex -3\n" + POINT + b"element face 1\n" + FACE,
    "long list.ply": BINARY + b"element vertex 3\n" + POINT + b"element face 1\n"
    b"property list uint int vertex_indices\nend_header\n" + CORNERS + struct.pack("<I", 4_000_000_000),
    "odd type.ply": BINARY + b"element vertex 3\nproperty blob x\nend_header\n",
    "text.ply": b"ply\nformat ascii 1.0\nelement vertex 3\n" + POINT + b"element face 1\n" + FACE + b"0 0\n",
    "huge count.stl": b"\0" * 80 + struct.pack("<I", 4_000_000_000) + b"\0" * 100,
    "none.stl": b"\0" * 84,
    "solids.stl": b"solid a\nendsolid\n" * 2000,
    "no corners.stl": b"solid a\nfacet normal 0 0 1\nendsolid\n",
    "short.glb": b"glTF",
    "not json.glb": glb(b"{{{{"),
    "deep.glb": glb(b"[" * 100_000),
    "a list.glb": glb([]),
    "no parts.glb": glb({"asset": {"version": "2.0"}}),
    "zeros.glb": glb({"accessors": [accessor(2_000_000_000)], "meshes": MESH}),
    "sparse.glb": glb({**HELD, "accessors": [accessor(3, bufferView=0, sparse={"count": 10**9})]}, CORNERS),
    "stretched.glb": glb({**HELD, "accessors": [accessor(2_900_000, bufferView=0)]}, CORNERS),
    "view.glb": glb({**HELD, "bufferViews": [{"buffer": 0, "byteLength": 10**12}]}, CORNERS),
    "many times.glb": glb({**HELD, "nodes": [{"mesh": 0}] * 100_000}, CORNERS),
    "circle.glb": glb(
        {**HELD, "scenes": [{"nodes": [0]}], "nodes": [{"children": [1]}, {"children": [0, 1]}]}, CORNERS
    ),
    "elsewhere.glb": glb({**HELD, "buffers": [{"byteLength": 36, "uri": "secret.bin"}]}, CORNERS),
    "packed.glb": glb({**HELD, "extensionsRequired": ["KHR_draco_mesh_compression"]}, CORNERS),
    "faces.ply": BINARY + b"element vertex 3\n" + POINT + b"element face 4000000000\n" + FACE + CORNERS,
    "far index.ply": BINARY
    + b"element vertex 3\n"
    + POINT
    + b"element face 1\n"
    + FACE
    + CORNERS
    + struct.pack("<Biii", 3, 0, 1, 2**31 - 1),
    "far back.obj": b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf -1 -2 -99\n",
    "vast.obj": b"v 1e308 0 0\nv -1e308 0 0\nv 0 1 0\nf 1 2 3\n",
    "nan.stl": b"solid a\n" + b"facet normal 0 0 1\nouter loop\nvertex nan 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\n"
    b"endfacet\n" * 50 + b"endsolid a\n",
    "buffer.glb": glb({**HELD, "buffers": [{"byteLength": 4 * 10**12}]}, CORNERS),
    "offset.glb": glb({**HELD, "bufferViews": [{"buffer": 0, "byteOffset": 10**9, "byteLength": 36}]}, CORNERS),
    "negative.glb": glb({**HELD, "accessors": [accessor(-3, bufferView=0)]}, CORNERS),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_refused_in_plain_words(name, tmp_path):
    place = tmp_path / name
    place.write_bytes(BROKEN[name])
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    text = refusal(sheet(place, GIRTHS))
    assert "Traceback" not in text and len(text) < 400
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert sys.platform == "darwin" or grown < 300_000  # kB


def test_a_hundred_megabytes_are_not_read(tmp_path, monkeypatch):
    place = tmp_path / "large.obj"
    with place.open("wb") as file:
        file.truncate(100_000_000)
    monkeypatch.setattr(mesh_file, "read_mesh", None)  # nobody comes so far
    assert "100 MB; at most 60 MB" in refusal(sheet(place, GIRTHS))


def test_triangles_through_every_level_are_refused(tmp_path):
    rng = np.random.default_rng(1)
    points = rng.uniform(-1, 1, (60_000, 3)) * [300, 200, 900]
    place = saved(trimesh.Trimesh(points, rng.integers(0, 60_000, (250_000, 3)), process=False), tmp_path / "soup.ply")
    refusal(sheet(place, GIRTHS))


opened: list[str] = []


def note_opening(event: str, arguments: tuple[object, ...]) -> None:
    if event == "open" and isinstance(arguments[0], str):
        opened.append(arguments[0])


def test_no_other_file_is_opened(tmp_path):
    mesh, _ = woman(0)
    place = saved(mesh, tmp_path / "her.obj")
    text = place.read_text()
    place.write_text(f"mtllib secret.mtl\nusemtl skin\n{text}")
    (tmp_path / "secret.mtl").write_text("newmtl skin\nmap_Kd secret.png\n")
    opened.clear()
    sys.addaudithook(note_opening)
    body_on(hers(0, place))
    assert str(place) in opened
    assert not any("secret" in name for name in opened)


def test_faces_may_count_backwards_and_have_many_corners(tmp_path):
    place = tmp_path / "quads.obj"
    place.write_bytes(b"v 0 0 0\nv 1 0 0 0.5 0.5 0.5\nv 1 1 0\nv 0 1 0\n# f 9 9 9\nf -4/1/1 -3//2 -2 -1\n\nf 1 2 3\n")
    vertices, triangles = read_mesh(place)
    assert len(vertices) == 4 and len(triangles) == 3
    assert triangles.min() >= 0


@pytest.mark.parametrize(
    "name", ["../her.obj", "/etc/her.obj", "C:\\her.obj", "a/../../her.obj", "\\\\server\\her.obj"]
)
def test_no_path_leads_out_of_the_folder(name, tmp_path):
    with pytest.raises(silhouette.SheetError, match="beside the sheet"):
        silhouette.from_plain({"unit": "mm", "girths": GIRTHS, "body": {"scan": name}}, tmp_path)


def test_no_link_leads_out_of_the_folder(tmp_path):
    outside = saved(ellipse_woman(), tmp_path / "her.ply")
    folder = tmp_path / "clients"
    folder.mkdir()
    (folder / "link.ply").symlink_to(outside)
    (folder / "dir").symlink_to(tmp_path)
    for name in ("link.ply", "dir/her.ply"):
        asked = silhouette.from_plain({"unit": "mm", "girths": GIRTHS, "body": {"scan": name}}, folder)
        assert "leads out of the folder" in refusal(asked)


def test_a_pipe_and_a_folder_are_no_scans(tmp_path):
    os.mkfifo(tmp_path / "pipe.ply")
    (tmp_path / "folder.ply").mkdir()
    for name in ("pipe.ply", "folder.ply"):
        assert "not a plain file" in refusal(sheet(tmp_path / name, GIRTHS))
    (tmp_path / "loop.ply").symlink_to(tmp_path / "loop.ply")
    assert "body.scan" in refusal(sheet(tmp_path / "loop.ply", GIRTHS))
    assert "body.scan" in refusal(sheet(tmp_path / ("long" * 100 + ".ply"), GIRTHS))
    assert "no such file beside the sheet" in refusal(sheet(tmp_path / "gone.ply", GIRTHS))


def test_a_sheet_without_a_folder_says_so():
    asked = silhouette.from_plain({"unit": "mm", "girths": GIRTHS, "body": {"scan": "her.ply"}})
    with pytest.raises(silhouette.SheetError, match="lies in no folder"):
        silhouette.preview(asked)


def test_the_scan_goes_along_with_the_sheet(tmp_path):
    mesh, _ = woman(0)
    place = saved(mesh, tmp_path / "her.ply")
    asked = hers(0, place)
    written = tmp_path / "her.toml"
    written.write_text(silhouette.sheet_toml(asked))
    assert silhouette.read_sheet(written) == asked
    assert silhouette.with_values(asked, {"pads.thickness": 25}).folder == str(tmp_path)


def test_a_file_that_changes_is_read_again(tmp_path):
    mesh, _ = woman(0)
    place = saved(mesh, tmp_path / "her.ply")
    asked = hers(0, place)
    first = body_of(asked)
    assert body_of(asked)[0] is first[0]  # kept while nothing changes
    wider = mesh.copy()
    wider.vertices = wider.vertices * [1.03, 1, 1]
    saved(wider, place)
    os.utime(place, ns=(1, 1))  # even back in time
    second = body_of(asked)[0]
    assert second is not first[0]
    assert np.ptp(second.outer[..., 0]) > np.ptp(first[0].outer[..., 0])
    with pytest.raises(UnreadableMeshError):
        stamp_of(tmp_path / "none.ply")


def test_a_figure_is_not_borrowed_from_a_scan_that_has_changed(tmp_path):
    """As the page does while a control is moved: same length, same date as before, another woman."""
    mesh, _ = woman(0)
    place = saved(mesh, tmp_path / "her.ply")
    asked = hers(0, place)
    before = silhouette.preview(asked)
    thicker = silhouette.with_values(asked, {"pads.thickness": 25})
    assert silhouette.preview(thicker, before.figure).body is before.body
    old = place.stat()
    wider = mesh.copy()
    wider.vertices = wider.vertices * [1.03, 1, 1]
    saved(wider, place)
    os.utime(place, ns=(old.st_atime_ns, old.st_mtime_ns))
    assert (place.stat().st_size, place.stat().st_mtime_ns) == (old.st_size, old.st_mtime_ns)
    after = silhouette.preview(thicker, before.figure, advice=False)
    assert np.ptp(after.body.outer[..., 0]) > np.ptp(before.body.outer[..., 0])
    assert np.abs(after.figure.before.h - before.figure.before.h).max() > 1
    place.unlink()
    with pytest.raises(silhouette.SheetError, match="no such file"):
        silhouette.preview(thicker, before.figure)
