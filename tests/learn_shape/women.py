"""Sampled adult women from the base mesh and its targets: vertices, mm; x to the wearer's left, y front, z up."""

from __future__ import annotations

import gzip
import itertools
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import igl
import numpy as np

MUSCLE, WEIGHT = ("minmuscle", "averagemuscle", "maxmuscle"), ("minweight", "averageweight", "maxweight")
RACES, AGES = ("african", "asian", "caucasian"), ("young", "old")
#: local targets, less and more, and the spread they are sampled with
LOCAL = {
    "hip/hip-scale-depth-{decr,incr}": 0.35,
    "hip/hip-scale-horiz-{decr,incr}": 0.35,
    "hip/hip-scale-vert-{decr,incr}": 0.35,
    "hip/hip-trans-{backward,forward}": 0.2,
    "hip/hip-waist-{down,up}": 0.35,
    "buttocks/buttocks-volume-{decr,incr}": 0.4,
    "pelvis/pelvis-tone-{decr,incr}": 0.35,
    "stomach/stomach-pregnant-{decr,incr}": 0.25,
    "stomach/stomach-tone-{decr,incr}": 0.35,
    "torso/measure-waist-circ-{decr,incr}": 0.35,
    "torso/measure-hips-circ-{decr,incr}": 0.4,
    "torso/measure-waisttohip-dist-{decr,incr}": 0.35,
    "torso/torso-scale-depth-{decr,incr}": 0.35,
    "torso/torso-scale-horiz-{decr,incr}": 0.35,
    "torso/torso-scale-vert-{decr,incr}": 0.2,
    "legs/measure-thigh-circ-{decr,incr}": 0.35,
    "legs/measure-knee-circ-{decr,incr}": 0.35,
    "legs/measure-upperleg-height-{decr,incr}": 0.3,
    "legs/*-upperleg-fat-{decr,incr}": 0.35,
    "legs/*-upperleg-muscle-{decr,incr}": 0.35,
    "legs/*-upperleg-scale-depth-{decr,incr}": 0.35,
    "legs/*-upperleg-scale-horiz-{decr,incr}": 0.35,
    "legs/*-leg-valgus-{decr,incr}": 0.2,
}


@dataclass(frozen=True)
class Woman:
    """A mesh between shin and chest, with what the whole figure knows: foot and top, height of the knee."""

    vertices: np.ndarray
    triangles: np.ndarray
    foot: float
    top: float
    knee: float


class Assets:
    """The base mesh and every target that a woman is mixed from."""

    def __init__(self, path: Path) -> None:
        self.path = path
        vertices: list[list[float]] = []
        self.groups: dict[str, list[list[int]]] = {}
        name = ""
        for line in (path / "3dobjs" / "base.obj").read_text().splitlines():
            word, *rest = line.split() or [""]
            if word == "v":
                vertices.append([float(x) for x in rest[:3]])
            elif word == "g":
                name = rest[0]
            elif word == "f":
                self.groups.setdefault(name, []).append([int(x.split("/")[0]) - 1 for x in rest])
        self.base = np.array(vertices)
        self.macro = dict(self._macro())
        self.local = {key: self._local(key) for key in LOCAL}

    def _target(self, name: str) -> np.ndarray:
        moved = np.zeros_like(self.base)
        with gzip.open(self.path / "targets" / f"{name}.target.gz", "rt") as file:
            for line in file:
                words = line.split()
                if len(words) == 4 and not line.startswith("#"):
                    moved[int(words[0])] = [float(x) for x in words[1:]]
        return moved

    def _macro(self):
        for race, age in itertools.product(RACES, AGES):
            yield (race, age), self._target(f"macrodetails/{race}-female-{age}")
        for age, m, w in itertools.product(AGES, MUSCLE, WEIGHT):
            yield (age, m, w), self._target(f"macrodetails/universal-female-{age}-{m}-{w}")
            for kind, ends in (
                ("height", ("minheight", "maxheight")),
                ("proportions", ("uncommonproportions", "idealproportions")),
            ):
                for end in ends:
                    yield (age, m, w, end), self._target(f"macrodetails/{kind}/female-{age}-{m}-{w}-{end}")

    def _local(self, key: str) -> tuple[np.ndarray, np.ndarray]:
        head, ends = key[:-1].split("{")
        legs = ("l", "r") if "*" in head else ("",)
        one, other = (
            np.sum([self._target(head.replace("*", leg) + end) for leg in legs], axis=0) for end in ends.split(",")
        )
        return one, other

    @cached_property
    def body(self) -> np.ndarray:
        return np.unique(np.concatenate([np.array(f) for f in self.groups["body"]]))

    @cached_property
    def trunk(self) -> tuple[np.ndarray, np.ndarray]:
        """Vertices used and triangles (renumbered) between shin and chest, without the forearms."""
        mean = turned(self.base + 0.25 * sum(self.macro[a, "averagemuscle", "averageweight"] for a in AGES))
        height = mean[:, 2] - mean[self.body, 2].min()
        share = height / np.ptp(mean[self.body, 2])
        keep = [
            f
            for f in self.groups["body"]
            if all(0.15 < share[i] < 0.79 and abs(mean[i, 0]) < 0.2 * np.ptp(mean[self.body, 2]) for i in f)
        ]
        triangles = np.array([[f[0], f[i], f[i + 1]] for f in keep for i in range(1, len(f) - 1)])
        used, packed = np.unique(triangles, return_inverse=True)
        return used, packed.reshape(-1, 3)

    def mixed(self, choice: dict, *, smoothed: bool = True) -> Woman:
        vertices = self.base.copy()
        ages = {"young": 1 - choice["old"], "old": choice["old"]}
        muscle, weight = (
            dict(zip(MUSCLE, thirds(choice["muscle"]), strict=True)),
            dict(zip(WEIGHT, thirds(choice["weight"]), strict=True)),
        )
        ends = {
            "minheight": 1 - choice["height"],
            "maxheight": choice["height"],
            "uncommonproportions": 1 - choice["proportions"],
            "idealproportions": choice["proportions"],
        }
        race = dict(zip(RACES, choice["race"], strict=True))
        for key, moved in self.macro.items():
            if len(key) == 2:
                share = race[key[0]] * ages[key[1]]
            else:
                share = ages[key[0]] * muscle[key[1]] * weight[key[2]] * (ends[key[3]] if len(key) == 4 else 1.0)
            if share:
                vertices += share * moved
        for key, much in choice["local"].items():
            vertices += abs(much) * self.local[key][1 if much > 0 else 0]
        vertices = turned(vertices)
        used, triangles = self.trunk
        smooth, finer = vertices[used], triangles
        if smoothed:
            smooth, finer = igl.loop(smooth, finer, 1)  # one smoothing step
        knee = np.unique(np.concatenate([np.array(f) for f in self.groups["joint-l-knee"]]))
        heights = vertices[self.body, 2]
        return Woman(smooth, finer, heights.min(), heights.max(), float(vertices[knee, 2].mean()))


def turned(vertices: np.ndarray) -> np.ndarray:
    """From decimetres, y up, to mm with z up."""
    return np.stack([vertices[:, 0], vertices[:, 2], vertices[:, 1]], axis=1) * 100.0


def thirds(x: float) -> tuple[float, float, float]:
    return max(0.0, 1 - 2 * x), 1 - abs(2 * x - 1), max(0.0, 2 * x - 1)


def choice_of(rng: np.random.Generator) -> dict:
    """One woman's mixture. Many are heavier than the assets' own end: large sizes are not to be extrapolated."""
    local = {key: float(np.clip(rng.normal(0, spread), -0.8, 0.8)) for key, spread in LOCAL.items()}
    belly = "stomach/stomach-pregnant-{decr,incr}"
    local[belly] = min(local[belly], 0.35)
    weight = rng.uniform(0.25, 1.6)
    if weight > 0.9:
        local["torso/measure-hips-circ-{decr,incr}"] += rng.uniform(0, 0.8)
    return dict(
        old=rng.uniform(0, 0.75),
        muscle=rng.uniform(0.15, 0.85),
        weight=weight,
        height=rng.uniform(0.3, 0.7),
        proportions=rng.uniform(0.1, 1.0),
        race=rng.dirichlet([1, 1, 1]),
        local=local,
    )
