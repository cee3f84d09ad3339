"""The maker's habit over her clients' fittings."""

import datetime

import numpy as np
import pytest

from silhouette import preview, with_values
from silhouette.asked.fittings import Fitting
from silhouette.search.maker import FITTING_SPREAD, FOAM_SPREAD, TAPE_SPREAD, Habit, habit_of
from silhouette.shown.what_now_words import habit_lines
from tests.clients import CLIENTS

DAY = datetime.date(2026, 11, 25)


def client(hip=1000.0, added=90.0, foam=19.05, read=0.0, **more):
    """A sheet of that hip, and a fitting whose tape read so much beside the prediction."""
    asked = with_values(CLIENTS["average"], {"girths.hip": hip, "girths.waist": 0.73 * hip, "pads.thickness": 19.05})
    predicted = hip + added
    return asked, [Fitting(DAY, "hip", predicted + read, "pads", predicted, foam, **more)]


def a_habit(fittings):
    habit = habit_of(fittings)
    assert habit is not None
    return habit


def test_two_clients_teach_nothing_yet():
    assert habit_of([client(read=-9.0)] * 2) is None
    assert habit_of([]) is None


def test_least_squares_with_what_is_known_beforehand():
    # The same as plain least squares with one row more for each of the two things known beforehand.
    rng = np.random.default_rng(3)
    added, beside = rng.uniform(40, 140, 7), rng.normal(-6, 5, 7)
    habit = a_habit([client(added=a, read=b) for a, b in zip(added, beside, strict=True)])
    rows = np.vstack(
        [np.column_stack([added, np.ones(7)]) / FITTING_SPREAD, np.diag([1 / FOAM_SPREAD, 1 / TAPE_SPREAD])]
    )
    solved = np.linalg.lstsq(rows, np.concatenate([beside / FITTING_SPREAD, [0, 0]]), rcond=None)[0]
    assert (habit.foam, habit.tape) == pytest.approx(tuple(solved), abs=1e-9)


def test_thin_foam_is_found_whichever_foam_was_taken():
    # Foam 10 % thin: what it adds is about 10 % less, seen against foam as sold or as measured once before.
    clients = [client(added=a, read=-0.10 * a) for a in (45, 70, 95, 120, 140)]
    habit = a_habit(clients)
    assert habit.foam_counts and habit.foam == pytest.approx(-0.10, abs=0.02) and not habit.tape_counts
    taken = [client(added=0.9 * a, foam=0.9 * 19.05) for a in (45, 70, 95, 120, 140)]
    assert a_habit(taken).foam == pytest.approx(habit.foam, abs=1e-9)


def test_a_slack_tape_is_told_from_thick_foam_where_pads_differ():
    habit = a_habit([client(added=a, read=8.0) for a in (8, 12, 60, 20, 10, 30, 15, 110)])
    assert habit.tape_counts and habit.tape > 3 and not habit.foam_counts


def test_makers_without_a_habit_are_seldom_given_one_and_those_with_one_are_not_misjudged():
    rng = np.random.default_rng(11)
    offered, within = 0, 0
    for number in range(400):
        honest = number % 2 == 0
        foam, tape = (0.0, 0.0) if honest else (rng.normal(0, FOAM_SPREAD), rng.normal(0, TAPE_SPREAD))
        added = rng.uniform(40, 130, int(rng.integers(3, 10)))
        beside = foam * added + tape + rng.normal(0, FITTING_SPREAD, len(added))
        habit = a_habit([client(added=a, read=b) for a, b in zip(added, beside, strict=True)])
        if honest:
            offered += habit.foam_counts or habit.tape_counts
        else:
            within += abs(habit.foam - foam) < 2 * habit.foam_spread
    assert offered / 200 < 0.05
    assert within / 200 > 0.90  # two spreads hold 95 % of a normal law


def test_readings_under_a_shell_that_holds_the_foam_down_are_left_out():
    pressed = [client(read=-12.0, shell_hip=1070.0) for _ in range(3)]
    pressed = [
        (asked, [Fitting(DAY, "hip", f.girth, "cloth", f.predicted, f.foam, f.shell_hip)]) for asked, (f,) in pressed
    ]
    assert habit_of(pressed) is None


def test_the_latest_fitting_of_each_client_counts():
    asked, (old,) = client(read=-30.0)
    new = Fitting(DAY + datetime.timedelta(9), "hip", old.predicted, "pads", old.predicted, old.foam)
    habit = a_habit([(asked, [new, old])] * 3)
    assert habit.clients == 3 and habit.foam == 0.0


def test_a_habit_is_offered_for_the_sheet_at_hand():
    asked, _ = client()
    habit = Habit(5, -0.10, 0.02, 0.0, 2.0, 0.0)
    (line,) = habit_lines(habit, asked)
    assert "10% thinner than sold" in line and "foam.measured = 17.1 mm" in line and "not applied" in line
    expected = preview(with_values(asked, {"foam.measured": habit.measured(asked)})).new_hip_girth
    shift, spread = habit.shift(asked)
    assert preview(asked).new_hip_girth + shift == pytest.approx(expected, abs=1.5)  # girth is nearly straight in foam
    assert spread > 0
    either = Habit(4, -0.06, 0.04, -2.0, 2.0, -0.07)
    assert "which of foam and tape is open yet" in habit_lines(either, asked)[0]
    assert habit_lines(Habit(4, 0.01, 0.04, 0.5, 2.0, 0.0), asked) == []
