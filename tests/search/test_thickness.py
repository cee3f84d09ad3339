"""Choosing a thickness."""

import json

import numpy as np
import pytest

import silhouette
from silhouette.asked.faults import SheetError
from silhouette.cli.commands import main
from silhouette.judged.limits import STOCK_INCH
from silhouette.judged.limits import distance_past as look_of
from silhouette.search.thickness import hip_for, thickness_for
from silhouette.shape.figure import figure_like
from tests.clients import sheet

IN = 25.4
PLAIN = sheet(
    {"pads.thickness": 0.75, "pads.bevel": 1.75, "pads.start": 1.5, "pads.front_reach": 5, "pads.back_gap": 1},
    unit="in",
    waist=32,
    hip=44,
)


def client(rng):
    """A random client and placement; waist/hip and hips as spread as in the 260 women of the open table and beyond."""
    hip = rng.uniform(850, 1350)
    pads = {
        "pads.thickness": rng.uniform(6, 25),
        "pads.bevel": rng.uniform(20, 60),
        "pads.start": rng.uniform(15, 70),
        "pads.back_gap": rng.uniform(0, 60),
        "pads.profile": rng.choice(["straight", "rounded", "feathered"]).item(),
        "pads.fullness": rng.uniform(0.2, 0.8),
    }
    return sheet(pads, waist=hip * rng.uniform(0.64, 0.85), hip=hip)


def test_twenty_clients_get_the_hip_they_want():
    # The thickness returned is put back into the sheet and previewed whole: within 0.2 mm of what was wanted.
    rng = np.random.default_rng(20030211)
    worst = 0.0
    for _ in range(20):
        asked = client(rng)
        own = silhouette.preview(asked, advice=False)
        hip = hip_for(own.figure)
        wanted = float(rng.uniform(hip(2.5), hip(45.0)))
        choice = thickness_for(asked, wanted)
        again = silhouette.preview(silhouette.with_values(asked, dict(choice.exact.changes)), advice=False)
        worst = max(worst, abs(again.new_hip_girth - wanted))
    assert worst < 0.2


def test_thicker_foam_never_reads_less():
    hip = hip_for(silhouette.preview(PLAIN).figure)
    assert (np.diff([hip(t) for t in np.linspace(2, 80, 40)]) > 0).all()


def test_stock_stands_either_side_and_says_how_it_looks():
    choice = thickness_for(PLAIN, 47 * IN)
    below, above = choice.below, choice.above
    assert below is not None and above is not None
    assert below.foam in STOCK_INCH and above.foam in STOCK_INCH
    assert below.foam <= choice.exact.foam < above.foam
    assert below.hip <= 47 * IN < above.hip
    for option in (below, choice.exact, above):
        seen = silhouette.preview(silhouette.with_values(PLAIN, dict(option.changes)))
        assert seen.verdict == option.verdict
        assert seen.new_hip_girth == pytest.approx(option.hip, abs=1e-6)
        assert {f.check for f in seen.findings if f.severity != "fine"} == set(option.in_the_way)


def test_a_side_with_its_own_foam_keeps_it():
    asked = silhouette.with_values(PLAIN, {"pads.left.thickness": 12.7})
    choice = thickness_for(asked, 46.5 * IN)
    again = silhouette.preview(silhouette.with_values(asked, dict(choice.exact.changes)))
    assert again.new_hip_girth == pytest.approx(46.5 * IN, abs=0.2)
    assert {p.foam for p in again.pads if p.side == "left"} == {12.7}


def test_measured_foam_is_replaced_by_the_answer():
    asked = silhouette.with_values(PLAIN, {"foam.measured": 15.0})
    choice = thickness_for(asked, 47 * IN)
    again = silhouette.preview(silhouette.with_values(asked, dict(choice.exact.changes)))
    assert again.new_hip_girth == pytest.approx(47 * IN, abs=0.2)


@pytest.mark.parametrize(
    "beyond, said", [(-25.0, "not above the body"), (700.0, "beyond reach"), (0.2, "even the thinnest")]
)
def test_targets_out_of_reach_are_refused(beyond, said):
    asked = PLAIN
    figure = figure_like(asked)
    with pytest.raises(SheetError, match=said):
        thickness_for(asked, float(figure.before.girth[figure.hip_zone].max()) + beyond)


def test_no_pads_no_thickness():
    bare = silhouette.with_values(PLAIN, {"pads.front": False, "pads.back": False})
    with pytest.raises(SheetError, match="no pads"):
        thickness_for(bare, 47 * IN)


def test_look_agrees_with_severity():
    for thick in (10, 20, 26, 30, 34, 40):
        for bevel in (0, 25, 60):
            asked = silhouette.with_values(PLAIN, {"pads.thickness": thick, "pads.bevel": bevel})
            for finding in silhouette.preview(asked, advice=False).findings:
                look = look_of(finding)
                assert {"fine": look <= 0, "watch": 0 <= look <= 1, "obvious": look >= 1}[finding.severity]


def test_borrowing_a_figure_changes_nothing():
    asked = PLAIN
    like = figure_like(asked)
    for changes in (
        {"pads.thickness": 12.0},
        {"pads.start": 60.0},
        {"pads.left.thickness": 30.0},
        {"foam.measured": 17.0},
        {"cloth.shell_hip": 1150.0},
        {"girths.hip": 1000.0},
        {"client.size": 20},
    ):
        changed = silhouette.with_values(asked, changes)
        assert figure_like(changed, like).after.h == pytest.approx(silhouette.preview(changed).tape_after.h, abs=1e-9)


def test_commands(capsys):
    main_ok(["thickness", "demo", "--hip", "45 in", "--json"])
    plain = json.loads(capsys.readouterr().out)
    assert plain["exact"]["hip_mm"] == pytest.approx(1143, abs=0.2)
    main_ok(["thickness", "demo", "--hip", "45"])
    shown = capsys.readouterr().out
    assert "stock below" in shown and "Natural up to" in shown


def test_command_lists_every_fault(capsys):
    for arguments in (
        ["thickness", "demo"],
        ["thickness", "demo", "--hip", "90"],
        ["thickness", "demo", "--hip", "abc"],
    ):
        with pytest.raises(SystemExit) as stopped:
            main(arguments)
        assert stopped.value.code == 2
        assert capsys.readouterr().err.strip()


def main_ok(arguments):
    try:
        main(arguments)
    except SystemExit as stopped:
        assert not stopped.code
