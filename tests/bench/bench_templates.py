"""Times flattening and the whole templates command: ``python -m tests.bench.bench_templates``.

Flattening is set beside libigl's compiled conformal and as-rigid-as-possible maps on the same meshes in the same run;
the command beside the preview alone. Wanted: four pads of 2,000 points each below 0.5 s, the command below 3 s.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial

import igl
import numpy as np

from silhouette import preview, read_sheet
from silhouette.cutting.flatten import flatten, rim_of, turned_to
from silhouette.cutting.patch import Patch, patch_of
from silhouette.shape.body import Body
from silhouette.shape.pads import Pad, lay_pads

PROGRAM = "import sys; from silhouette.cli.commands import main; main(sys.argv[1:])"


def seconds(job: Callable[[], object], times: int = 3) -> float:
    """Best of several runs."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        job()
        taken.append(time.perf_counter() - start)
    return min(taken)


def mesh_of(pads: tuple[Pad, ...], k: int, body: Body, points: int) -> Patch:
    """A patch over one pad with about so many points."""
    pad, mate = pads[k], pads[k ^ 1]
    spacing = 6.0
    for _ in range(4):
        patch = patch_of([pad], body, spacing, mate=mate)
        spacing *= (len(patch.flat) / points) ** 0.5
    return patch


def by_igl(patch: Patch) -> np.ndarray:
    """The reference library's conformal start and 60 rounds of its as-rigid-as-possible map."""
    vertices, triangles = np.ascontiguousarray(patch.inner), np.ascontiguousarray(patch.triangles)
    rim = rim_of(triangles)
    held = np.array([rim[0], rim[len(rim) // 2]])
    ends = patch.flat[held] * [1.0, -1.0]
    start, _ = igl.lscm(vertices, triangles, held, ends)
    data = igl.ARAPData()
    data.energy = igl.ARAPEnergyType.ARAP_ENERGY_TYPE_ELEMENTS
    data.max_iter = 60
    igl.arap_precomputation(vertices, triangles, 2, np.zeros(1, dtype=np.int32), data)
    return np.asarray(igl.arap_solve(start[:1], data, np.array(start)))


def main() -> None:
    seen = preview(read_sheet("demo"))
    pads = lay_pads(seen.sheet, seen.body, 161)
    flatten(*_faces(mesh_of(pads, 0, seen.body, 300)))  # loads scipy
    print("flattening, best of 3")
    for points in (500, 1000, 2000, 4000):
        meshes = [mesh_of(pads, k, seen.body, points) for k in range(len(pads))]
        count = sum(len(m.flat) for m in meshes)
        ours = seconds(partial(_each, lambda patch: flatten(*_faces(patch)), meshes))
        theirs = seconds(partial(_each, by_igl, meshes))
        mine, other = flatten(*_faces(meshes[1])).points, by_igl(meshes[1])
        apart = np.linalg.norm(turned_to(other, mine) - mine, axis=1).max()
        print(
            f"  4 pads, {count:5d} points: {ours * 1e3:6.0f} ms, {ours / count * 1e6:4.0f} µs a point; "
            f"libigl {theirs * 1e3:6.0f} ms, ratio {theirs / ours:4.1f}; apart by {apart:.2f} mm"
        )
    with tempfile.TemporaryDirectory() as folder:
        runs = {
            "preview demo": ["preview", "demo", "--json"],
            "templates demo, all papers": ["templates", "demo", "--out", f"{folder}/all"],
            "templates demo, A4": ["templates", "demo", "--out", f"{folder}/a4", "--page", "a4"],
        }
        print("whole commands from cold, best of 3")
        for name, arguments in runs.items():
            command = [sys.executable, "-c", PROGRAM, *arguments]
            taken = seconds(partial(subprocess.run, command, check=True, stdout=subprocess.DEVNULL))
            print(f"  {name}: {taken:.2f} s")


def _each(job: Callable[[Patch], object], patches: list[Patch]) -> None:
    for patch in patches:
        job(patch)


def _faces(patch: Patch) -> tuple[np.ndarray, np.ndarray]:
    return patch.inner, patch.triangles


if __name__ == "__main__":
    main()
