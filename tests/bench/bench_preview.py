"""Times the main job and the plain library route side by side: ``python -m tests.bench.bench_preview``.

The plain route is what one would write with trimesh and scipy: cut both meshes at every level with
``section_multiplane`` and take ``scipy.spatial.ConvexHull`` of each cut. Ratios come from one run on one machine.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from statistics import median

import numpy as np
import trimesh
from scipy.spatial import ConvexHull

from silhouette import preview, read_sheet, with_values
from silhouette.shape.body import Body, build_body
from silhouette.shape.solids import solids_of
from silhouette.shape.tape import tape_round


def milliseconds(job: Callable[[int], object], times: int) -> tuple[float, float]:
    """Median and best of several runs."""
    taken = []
    for i in range(times):
        start = time.perf_counter()
        job(i)
        taken.append((time.perf_counter() - start) * 1e3)
    return median(taken), min(taken)


def time_of_tape(body: Body, directions: int) -> float:
    """Median time of the tape round a body, ms."""
    return milliseconds(lambda _: tape_round(body, directions), 15)[0]


def plain_route(meshes: list[list[trimesh.Trimesh]], heights: np.ndarray) -> list[list[float]]:
    """Girths at every level of each set of meshes by slicing and hulling."""
    result = []
    for parts in meshes:
        cuts = [part.section_multiplane([0, 0, 0], [0, 0, 1], heights) for part in parts]
        girths = []
        for level in range(len(heights)):
            points = [
                cut.vertices @ cut.metadata["to_3D"][:2, :2].T + cut.metadata["to_3D"][:2, 3]
                for levels in cuts
                if (cut := levels[level]) is not None
            ]
            girths.append(ConvexHull(np.concatenate(points)).area)
        result.append(girths)
    return result


def main() -> None:
    sheet = read_sheet("demo")
    seen = preview(sheet)
    fresh = [with_values(sheet, {"girths.waist": 780 + i / 10}) for i in range(60)]
    moved = [with_values(sheet, {"pads.thickness": 15 + i / 10}) for i in range(60)]
    new_body, best_body = milliseconds(lambda i: preview(fresh[i]), 60)
    new_pads, best_pads = milliseconds(lambda i: preview(moved[i]), 60)

    solids = solids_of(seen.body, seen.pads)
    meshes = [trimesh.Trimesh(s.vertices, s.triangles, process=False) for s in solids]
    heights = -seen.body.drops.copy()
    heights[[0, -1]] += [-1e-3, 1e-3]  # cuts along a flat cap are empty
    start = time.perf_counter()
    plain = plain_route([meshes[:1], meshes], heights)
    plain_ms = (time.perf_counter() - start) * 1e3
    worst = max(
        np.abs(np.array(plain[0]) - seen.tape_before.girth).max(),
        np.abs(np.array(plain[1]) - seen.tape_after.girth).max(),
    )
    print("81 levels x 192 points, 96 directions, four pads, all findings")
    print(f"  preview, new body        median {new_body:7.2f} ms   best {best_body:7.2f} ms")
    print(f"  preview, pads moved      median {new_pads:7.2f} ms   best {best_pads:7.2f} ms")
    print(f"  trimesh cut + hull       once   {plain_ms:7.2f} ms   (before and after girths alone)")
    print(f"  ratio                    {plain_ms / new_body:.1f} x   largest difference of a girth {worst:.3f} mm")

    print("growth with resolution: tape round the body")
    base = None
    for points, count in ((97, 96), (193, 96), (97, 192), (193, 192), (385, 384)):
        body = build_body(seen.figure.measures, points=points)
        taken = time_of_tape(body, count)
        work = (points * count) / (97 * 96)
        base = base or taken
        print(f"  {2 * points - 2:4d} points x {count:3d} directions: work x {work:5.1f}  time x {taken / base:5.1f}")

    print("cold start: silhouette preview demo --json, in processes of their own")
    cold = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "silhouette", "preview", "demo", "--json"], capture_output=True, check=True
        )
        cold.append(time.perf_counter() - start)
    peak = (
        "import sys; from silhouette.cli.commands import main\n"
        "try: main(['preview', 'demo', '--json'])\n"
        "except SystemExit: pass\n"
        "sys.stderr.write(next(w for w in open('/proc/self/status') if 'VmHWM' in w).split()[1])"
    )
    done = subprocess.run([sys.executable, "-c", peak], capture_output=True, text=True, check=True)
    memory = int(done.stderr) / 1024
    print(f"  median {median(cold):.2f} s   best {min(cold):.2f} s   largest memory {memory:.0f} MB")


if __name__ == "__main__":
    main()
