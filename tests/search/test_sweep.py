"""Sweeps over two parameters, on any executor."""

import csv
import io
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest

import silhouette
from silhouette.asked.faults import SheetError
from silhouette.cli.axes import read_axes
from silhouette.cli.commands import main
from silhouette.search.sweep import Axis, sweep

VARY = ["pads.thickness=0.25..1.5in", "pads.start=0.25..3in"]


class Here(Executor):
    """Runs each job where it is submitted: stands for an executor that is neither threads nor processes."""

    def submit(self, fn, /, *args, **kwargs):
        job: Future[Any] = Future()
        job.set_result(fn(*args, **kwargs))
        return job


@pytest.fixture(scope="module")
def demo():
    return silhouette.read_sheet("demo")


@pytest.fixture(scope="module")
def swept(demo):
    return sweep(demo, *read_axes(VARY, demo), 9, Here())


def test_every_pair_is_what_a_preview_says(demo, swept):
    for row, column in ((0, 0), (3, 7), (8, 8), (8, 1)):
        seen = silhouette.preview(silhouette.with_values(demo, swept.changes(row, column)))
        assert swept.hip[row, column] == pytest.approx(seen.new_hip_girth, abs=1e-6)
        assert swept.verdict(row, column) == seen.verdict


@pytest.mark.parametrize("kind", [lambda: ThreadPoolExecutor(2), lambda: ProcessPoolExecutor(2)])
def test_threads_and_processes_agree(demo, swept, kind):
    seen: list[int] = []
    with kind() as pool:
        other = sweep(demo, *read_axes(VARY, demo), 9, pool, seen.append)
    assert np.array_equal(other.hip, swept.hip) and np.array_equal(other.look, swept.look)
    assert (other.why == swept.why).all()
    assert sum(seen) == 81


def test_a_cluster_agrees(demo, swept):
    # An executor that is neither threads nor processes of this interpreter's library: Dask's, on a cluster of its own.
    distributed = pytest.importorskip("distributed", reason="distributed, of the test extra, is not installed")
    seen: list[int] = []
    with (
        distributed.LocalCluster(2, processes=False, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
        client.get_executor() as pool,
    ):
        other = sweep(demo, *read_axes(VARY, demo), 9, pool, seen.append)
    for name in ("hip", "added", "worn", "look"):
        assert np.array_equal(getattr(other, name), getattr(swept, name), equal_nan=True), name
    assert (other.why == swept.why).all() and sum(seen) == 81


def test_hip_and_added_are_read_at_one_level_and_add_up(demo, swept):
    for row, column in ((0, 0), (4, 4), (8, 0), (8, 8)):
        figure = silhouette.preview(silhouette.with_values(demo, swept.changes(row, column))).figure
        bare = figure.before.girth_at(figure.new_hip_drop)
        assert swept.body[row, column] == pytest.approx(bare, abs=1e-6)
        assert swept.hip[row, column] == pytest.approx(bare + swept.added[row, column], abs=1e-6)


def test_one_parameter_twice_is_refused(demo):
    with pytest.raises(ValueError, match="varied twice"):
        sweep(demo, Axis("pads.start", 20, 40), Axis("pads.start", 20, 60), 3, Here())


def test_order_of_the_two_does_not_matter(demo, swept):
    turned = sweep(demo, *read_axes(VARY[::-1], demo), 9, Here())
    assert pytest.approx(swept.hip, abs=1e-9) == turned.hip.T
    assert pytest.approx(swept.look, abs=1e-9) == turned.look.T


def test_front_is_beaten_by_none(swept):
    front = swept.front()
    assert len(front) > 3
    for pair in front:
        better = (swept.added > swept.added[pair] + 0.1) & (swept.look < swept.look[pair] - 1e-3)
        assert not better.any()
    assert np.all(np.diff([swept.added[pair] for pair in front]) > 0)


def test_pairs_that_cannot_be_made_are_marked(demo):
    swept = sweep(demo, *read_axes(["pads.bevel=0.5..7in", "pads.front_reach=2..6in"], demo), 5, Here())
    assert not swept.possible.all() and swept.possible.any()
    row, column = np.argwhere(~swept.possible)[0]
    assert swept.verdict(row, column) == "-" and "wider than" in swept.why[row, column]


def test_worn_girth_is_swept_when_there_is_a_shell(demo):
    tight = silhouette.with_values(demo, {"cloth.shell_hip": 1130.0})
    swept = sweep(tight, *read_axes(["pads.thickness=15..25mm", "foam.firmness=1..5"], tight), 3, Here())
    for row, column in ((0, 0), (1, 2), (2, 1)):
        seen = silhouette.preview(silhouette.with_values(tight, swept.changes(row, column)))
        assert swept.worn[row, column] == pytest.approx(seen.shell.worn_hip, abs=1e-6)
    assert (swept.worn < swept.hip - 1).any()
    assert (np.diff(swept.hip, axis=0) == 0).all()  # firmness does not change the loose tape


@pytest.mark.parametrize(
    "vary, said",
    [
        (["pads.thicknes=1..2in", VARY[1]], "did you mean pads.thickness"),
        ([VARY[0], "pads.start=2..2in"], "no width"),
        ([VARY[0], "pads.profile=straight..rounded"], "no range to sweep"),
        ([VARY[0], "pads.start=-1..2in"], "must stay within"),
        ([VARY[0], "pads.start=1-3"], "KEY=LO..HI"),
        ([VARY[0], "pads.start=a..b"], "not a length"),
        ([VARY[0]], "varies two parameters, not 1"),
        ([VARY[0], VARY[0]], "the same parameter twice"),
        ([VARY[0], "pads.fullness=nan..1"], "finite"),
    ],
)
def test_bad_axes(demo, vary, said):
    with pytest.raises(SheetError, match=said):
        read_axes(vary, demo)


def test_all_bad_axes_at_once(demo):
    with pytest.raises(SheetError) as caught:
        read_axes(["pads.x=1..2", "pads.start=2..2in"], demo)
    assert len(caught.value.faults) == 2


def test_files(demo, swept):
    pytest.importorskip("matplotlib")
    from silhouette.shown.sweep_charts import sweep_files

    files = sweep_files(swept, "in")
    assert set(files) == {"sweep.csv", *(f"{n}.{k}" for n in ("hip-and-look", "trade-offs") for k in ("svg", "png"))}
    table = list(csv.reader(io.StringIO(files["sweep.csv"].decode())))
    assert len(table) == 82 and len({len(line) for line in table}) == 1
    assert float(table[1][2]) == pytest.approx(swept.hip[0, 0] / 25.4, abs=1e-3)
    assert files["trade-offs.png"].startswith(b"\x89PNG") and b"</svg>" in files["hip-and-look.svg"]


def test_command(tmp_path, capsys):
    try:
        main(
            [
                "sweep",
                "demo",
                "--vary",
                VARY[0],
                "--vary",
                VARY[1],
                "--steps",
                "3",
                "--cores",
                "1",
                "--out",
                str(tmp_path / "s"),
            ]
        )
    except SystemExit as stopped:
        assert not stopped.code
    assert "Best trade-offs" in capsys.readouterr().out
    assert (tmp_path / "s" / "hip-and-look.png").stat().st_size > 10_000


def test_command_refuses_with_every_fault(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["sweep", "demo", "--vary", "pads.x=1..2", "--vary", "pads.start=2..2in", "--steps", "1"])
    assert stopped.value.code == 2
    said = capsys.readouterr().err
    assert "no such parameter" in said and "no width" in said and "--steps 1" in said


def test_charts_of_any_name_are_sound_and_the_same_every_time(demo):
    """A client called as a formula begins once ended a sweep in a traceback; a long name squeezed the chart flat."""
    from dataclasses import replace
    from xml.etree import ElementTree

    from silhouette.shown.sweep_charts import contour_chart, sweep_files

    swept = sweep(demo, *read_axes(VARY, demo), 3, Here())

    def called(name):
        return replace(swept, sheet=replace(demo, client=replace(demo.client, name=name)))

    odd = called("$\\frac{$ a\x7f\x85\ufffe\uffffb <&>")
    files = sweep_files(odd, "in")
    assert files == sweep_files(odd, "in")
    for file, raw in files.items():
        if file.endswith("svg"):
            assert "$\\frac{$ a b <&>" in "".join(ElementTree.fromstring(raw).itertext())
    places = []
    for name in ("x", "x" * 1000):
        drawing = contour_chart(called(name), "in")
        drawing.draw_without_rendering()
        places.append(drawing.axes[0].get_position().bounds)
    assert places[0] == places[1]
