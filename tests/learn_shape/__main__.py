"""``python -m tests.learn_shape PATH [WOMEN]``: PATH is ``data/mpfb2`` of the unpacked wheel."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import numpy as np

from silhouette.shape.learnt import TABLE
from tests.learn_shape.fit import gathered, table_of
from tests.learn_shape.outlines import Outlines, outlines
from tests.learn_shape.slices import OddShapeError, Slicer, landmarks
from tests.learn_shape.women import Assets, choice_of

LEARNT_FROM, SEED = 480, 7
UNSEEN, OTHER_SEED = 40, 2026
FIXTURE = Path(__file__).parents[1] / "shape" / "unseen_women.npz"
SCANNED, SCAN_SEED = 6, 404
SCANS = FIXTURE.with_name("scan") / "scanned_women.npz"


def sampled(assets: Assets, count: int, seed: int) -> list[Outlines]:
    """Outlines of ``count`` women; odd mixtures are left out and counted aloud."""
    rng = np.random.default_rng(seed)
    found: list[Outlines] = []
    odd = 0
    while len(found) < count:
        woman = assets.mixed(choice_of(rng))
        slices = Slicer(woman)
        try:
            one = outlines(landmarks(woman, slices), slices)
            if not 0.55 < one.measured["waist"] / one.measured["hip"] < 1.02:
                raise OddShapeError("waist against hip")
        except OddShapeError as error:
            odd += 1
            print("left out:", error)
            continue
        found.append(one)
        if len(found) % 40 == 0:
            print(len(found), "women", flush=True)
    hips = np.array([one.measured["hip"] for one in found])
    print(
        f"{count} women, {odd} left out; hip {hips.min():.0f} to {hips.max():.0f} mm, {(hips > 1300).sum()} above 1300"
    )
    return found


def scans(assets: Assets) -> None:
    """Meshes of a few more women as the artists drew them, and the landmarks of their smoothed meshes."""
    rng = np.random.default_rng(SCAN_SEED)
    vertices: list[np.ndarray] = []
    levels: list[list[float]] = []
    while len(vertices) < SCANNED:
        choice = choice_of(rng)
        woman = assets.mixed(choice)
        try:
            marks = landmarks(woman, Slicer(woman))
        except OddShapeError as error:
            print("left out:", error)
            continue
        coarse = assets.mixed(choice, smoothed=False)
        vertices.append(coarse.vertices - [0.0, 0.0, woman.foot])
        levels.append([getattr(marks, name) - woman.foot for name in ("waist", "hip", "crotch", "knee")])
    np.savez_compressed(
        SCANS,
        vertices=np.round(np.array(vertices) * 10).astype(np.int16),
        triangles=assets.trunk[1].astype(np.int16),
        levels=np.array(levels, np.float32),
    )
    print(SCANS, SCANS.stat().st_size, "bytes")


def main() -> None:
    assets = Assets(Path(sys.argv[1]))
    women = gathered(sampled(assets, int(sys.argv[2]) if len(sys.argv) > 2 else LEARNT_FROM, SEED))
    np.save(TABLE, table_of(women))
    print(TABLE, TABLE.stat().st_size, "bytes, sha256", hashlib.sha256(TABLE.read_bytes()).hexdigest())
    unseen = sampled(assets, UNSEEN, OTHER_SEED)
    names = list(unseen[0].measured)
    flat = np.array([np.concatenate([p.ravel() for p in (w.trunk, w.outer, w.inner)]) for w in unseen])
    np.savez_compressed(
        FIXTURE,
        names=names,
        measured=np.array([[w.measured[n] for n in names] for w in unseen], np.float32),
        outlines=np.round(flat * 20).astype(np.int16),
    )
    print(FIXTURE, FIXTURE.stat().st_size, "bytes")
    scans(assets)


if __name__ == "__main__":
    main()
