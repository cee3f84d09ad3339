"""Times cloth over foam, the choice of a thickness and a sweep: ``python -m tests.bench.bench_foam [--short]``.

Beside the worn equilibrium stands the plain library route for one level: the foam's energy and the tape round
``scipy.spatial.ConvexHull`` minimised by ``scipy.optimize`` for trial tensions in a bracketed root.
``--short`` sweeps once over 11 x 11 values.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from statistics import median

import numpy as np
from scipy.optimize import brentq

from silhouette import preview, read_sheet, with_values
from silhouette.cli.axes import read_axes
from silhouette.cloth.chain import Strips
from silhouette.cloth.foam_curve import Foam
from silhouette.cloth.shell import Shell
from silhouette.cloth.strips import strips_on
from silhouette.cloth.worn import under_shell
from silhouette.search.natural import most_natural
from silhouette.search.sweep import sweep
from silhouette.search.thickness import thickness_for
from tests.bench.bench_preview import milliseconds
from tests.plain_cloth import plain_girth


def plain_tension(strips: Strips, foam: Foam, girth: float) -> tuple[float, float]:
    """Tension (N/m) that holds one level at a girth, and the girth it then has, by the plain route."""
    pull = brentq(lambda t: plain_girth(strips, foam, t) - girth, 5.0, 2000.0, xtol=0.5)
    return pull, plain_girth(strips, foam, pull)


def of_processor(job: Callable[[int], object], times: int = 15) -> float:
    """Processor time of one run, ms: what is left of the clock when other programs want the machine too."""
    start = time.process_time()
    for i in range(times):
        job(i)
    return (time.process_time() - start) / times * 1e3


def main() -> None:
    sheet = with_values(read_sheet("demo"), {"cloth.shell_hip": "45 in"})
    figure = preview(sheet).figure
    shell = Shell(figure)
    rows = shell.rows
    strips = strips_on(figure, rows)
    loose = figure.after.girth[rows]
    print(f"worn equilibrium: {len(rows)} levels that the shell squeezes, of 81, x {strips.loose.shape[1]} points")
    open_sheet = with_values(sheet, {"cloth.shell_hip": None})
    for name, job in (
        ("equilibrium at all of them", lambda _: under_shell(strips, shell.foam, shell.girth[rows], loose)),
        ("strips from the figure", lambda _: strips_on(figure, rows)),
        ("preview, open shell", lambda _: preview(open_sheet)),
        ("preview under the shell", lambda _: preview(sheet)),
    ):
        middle, best = milliseconds(job, 25)
        print(f"  {name:28} median {middle:7.2f} ms   best {best:7.2f} ms   of processor {of_processor(job):7.2f} ms")
    at = int(np.flatnonzero(rows == figure.new_hip_row)[0])
    one = strips.take(np.array([at]))
    start = time.perf_counter()
    pull, around = plain_tension(one, shell.foam, float(shell.girth[rows][at]))
    plain = (time.perf_counter() - start) * 1e3
    ours = under_shell(one, shell.foam, shell.girth[rows][[at]], loose[[at]])
    single = milliseconds(lambda _: under_shell(strips, shell.foam, shell.girth[rows], loose), 15)[0] / len(rows)
    print(f"  plain library route, 1 level  {plain:7.1f} ms, ours {single:.2f} ms a level: {plain / single:.0f} x")
    print(f"  tension there {ours.tension[0]:.1f} N/m, plain {pull:.1f} N/m; hulls: {around - ours.girth[0]:+.2f} mm")

    asked = read_sheet("demo")
    taken = milliseconds(lambda i: thickness_for(replace(asked), 1120.0 + i), 25)
    print(f"thickness for a wanted hip: median {taken[0]:.0f} ms, best {taken[1]:.0f} ms")
    alone = of_processor(lambda i: thickness_for(asked, 1120.0 + i))
    print(f"  of processor {alone:.0f} ms")
    start = time.perf_counter()
    tried = most_natural(asked).tried
    print(f"largest natural hip: {time.perf_counter() - start:.1f} s, {tried} arrangements")

    first, second = read_axes(["pads.thickness=0.25..1.25in", "pads.start=1..3in"], asked)
    times: dict[int, list[float]] = {1: [], 2: []}
    spent: dict[int, list[float]] = {1: [], 2: []}
    short = "--short" in sys.argv
    steps = 11 if short else 41
    for _ in range(1 if short else 3):
        for cores in times:
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            with ProcessPoolExecutor(cores) as pool:
                list(pool.map(abs, range(cores)))  # processes are up before the clock starts
                start = time.perf_counter()
                sweep(asked, first, second, steps, pool)
                times[cores].append(time.perf_counter() - start)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            spent[cores].append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    quickest = {cores: min(runs) for cores, runs in times.items()}
    print(f"sweep {steps} x {steps} on {os.cpu_count()} cores of this machine")
    for cores, runs in times.items():
        print(
            f"  {cores} process(es): median {median(runs):.1f} s, best {quickest[cores]:.1f} s; "
            f"of processors {min(spent[cores]):.1f} s in all"
        )
    print(f"  two processes against one: {quickest[1] / quickest[2]:.2f} x")
    parent = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(
        f"  memory: this process {parent:.0f} MB, largest worker {child:.0f} MB, together {parent + 2 * child:.0f} MB"
    )


if __name__ == "__main__":
    main()
