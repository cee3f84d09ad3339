"""After a fitting: causes with their sizes, and remedies that do what they promise."""

import pytest

from silhouette import preview, with_values
from silhouette.asked.fittings import Fitting
from silhouette.asked.lengths import format_length
from silhouette.search.learning import AGREES, is_used, learn, used_keys
from silhouette.search.what_now import what_now
from silhouette.shown.fitting_words import foam_words
from silhouette.shown.what_now_words import what_now_lines
from tests.clients import sheet

IN = 25.4
KEEPER = sheet(
    {"pads.thickness": 1, "pads.bevel": 1.75, "pads.start": 1.5, "client.size": 14}, unit="in", waist=31, hip=42
)
HIP = preview(KEEPER).new_hip_girth


def fitting(read, over="pads", wanted=None, asked=KEEPER, used=()):
    lesson = learn(asked, "hip", read, over, used)
    return lesson, what_now(asked, lesson, over, wanted)


def named(now):
    return {cause.name: cause for cause in now.causes}, {remedy.name: remedy for remedy in now.remedies}


@pytest.mark.parametrize("foam", [21.0, 23.5, 28.0])
def test_foam_that_was_really_that_thick_is_named(foam):
    read = preview(with_values(KEEPER, {"foam.measured": foam})).new_hip_girth
    causes, _ = named(fitting(read)[1])
    assert causes["foam"].needed == pytest.approx(foam, abs=0.02)
    sign = 1 if foam > IN else -1
    tolerance = preview(with_values(KEEPER, {"foam.measured": IN + sign * 1.6})).new_hip_girth - HIP
    assert causes["foam"].explains == pytest.approx(tolerance, abs=0.05)


@pytest.mark.parametrize("hip", [41.5, 42.75])
def test_a_body_that_really_changed_is_named(hip):
    read = preview(with_values(KEEPER, {"girths.hip": hip * IN})).new_hip_girth
    causes, _ = named(fitting(read)[1])
    assert causes["body"].needed == pytest.approx(hip * IN, abs=0.3)


@pytest.mark.parametrize("higher", [20.0, 28.0])
def test_pads_that_really_hung_high_are_named(higher):
    outline = [(0, 40), (70, 90), (110, 150), (120, 205), (100, 260), (0, 310)]

    def hung(up):
        points = [[x, y - up] for x, y in outline]
        return with_values(KEEPER, {"pads.front_outline": points, "pads.back_outline": points})

    drafted = hung(0.0)
    causes, _ = named(fitting(preview(hung(higher)).new_hip_girth, asked=drafted)[1])
    assert causes["hung high"].needed == pytest.approx(higher, abs=1.0)


def test_every_cause_has_its_size_and_the_likeliest_stands_first():
    causes, _ = named(fitting(HIP - 0.75 * IN, "cloth")[1])
    assert next(iter(causes)) == "foam" and {"foam", "body", "tape", "cloth pressing"} <= set(causes)
    assert any(name.startswith("hung") for name in causes)
    assert 0 < causes["tape"].needed < 0.5 and causes["tape"].explains == -AGREES
    # a shell of that girth presses out that much of the foam
    shell = preview(with_values(KEEPER, {"cloth.shell_hip": HIP - 0.75 * IN})).shell
    assert causes["cloth pressing"].needed == pytest.approx(shell.squeeze_at_hip, abs=1e-6)
    slack, _ = named(fitting(HIP + 0.75 * IN)[1])
    assert slack["tape"].needed == pytest.approx(0.75 * IN)
    assert "cloth pressing" not in slack


def test_remedies_in_order_of_labour_do_what_they_promise():
    wanted = 47.25 * IN
    lesson, now = fitting(wanted - 0.75 * IN, wanted=wanted)
    assert [remedy.name for remedy in now.remedies] == ["take in", "add a layer", "recut"]
    assert now.short == pytest.approx(0.75 * IN)
    take_in, layer, recut = now.remedies
    real = with_values(KEEPER, dict([lesson.explains]))
    assert take_in.size == pytest.approx(preview(real).shell.cut_hip, abs=0.3)
    thicker = with_values(KEEPER, {"foam.measured": lesson.explains[1] + layer.size})
    assert preview(thicker).new_hip_girth == pytest.approx(wanted, abs=0.2)
    assert preview(with_values(KEEPER, {"foam.measured": recut.size})).new_hip_girth == pytest.approx(wanted, abs=0.2)
    with_slab = preview(with_values(KEEPER, {"foam.measured": lesson.explains[1] + layer.slab}))
    assert (layer.hip, layer.verdict) == (pytest.approx(with_slab.new_hip_girth, abs=0.2), with_slab.verdict)
    as_sold = preview(with_values(KEEPER, {"pads.thickness": recut.slab}))
    assert (recut.hip, recut.verdict) == (pytest.approx(as_sold.new_hip_girth, abs=0.2), as_sold.verdict)


def test_more_than_wanted_offers_no_layer():
    _, remedies = named(fitting(HIP + 0.75 * IN)[1])
    assert set(remedies) == {"let out", "recut"}


def test_a_shell_that_holds_the_foam_down_is_let_out_first():
    tight = with_values(KEEPER, {"cloth.shell_hip": 46 * IN})
    _, now = fitting(46 * IN, "cloth", 46.75 * IN, tight)
    (only,) = now.remedies
    assert only.name == "let out" and only.size == pytest.approx(46.75 * IN)
    assert "body" not in named(now)[0]  # under a shell that does not stretch the body is not what is read


def test_as_wanted_there_is_nothing_to_do():
    lesson, now = fitting(HIP + 1.0)
    assert not now.causes and not now.remedies
    assert "nothing to do" in what_now_lines(now, lesson, KEEPER)[0]


def test_what_was_used_is_not_offered_again():
    import datetime

    read = HIP - 0.75 * IN
    lesson = learn(KEEPER, "hip", read, "pads")
    assert lesson.explains is not None
    record = Fitting(datetime.date(2026, 11, 25), "hip", read, "pads", HIP, IN, None, lesson.explains)
    assert used_keys(KEEPER, [record]) == frozenset() and not is_used(KEEPER, record)
    taken = with_values(KEEPER, dict([lesson.explains]))
    assert used_keys(taken, [record]) == {"foam.measured"} and is_used(taken, record)
    again, now = fitting(read - 0.5 * IN, asked=taken, used={"foam.measured"})
    assert again.explains is None and "follows an earlier fitting" in again.words
    # what is left unexplained is still made up for
    layer = named(now)[1]["add a layer"]
    added = preview(with_values(taken, {"foam.measured": lesson.explains[1] + layer.size})).new_hip_girth - read
    assert added == pytest.approx(0.5 * IN, abs=0.5)


def test_words_name_every_size():
    lesson, now = fitting(HIP - 0.75 * IN, "cloth", HIP)
    said = "\n".join(what_now_lines(now, lesson, KEEPER))
    foam, body = named(now)[0]["foam"].needed, named(now)[0]["body"].needed
    for words in (
        "What would explain 3/4 in less than predicted, likeliest first:",
        f"foam thinner than taken: {foam_words(foam, 'in')} instead of 1 in explains all",
        f"a hip of {format_length(body, 'in')} instead of 42 in explains all",
        "tape drawn tight",
        "cloth pressing",
        "3/4 in short of the",
        "the least labour first",
        "take in the shell to",
        "add a layer of",
        "recut from foam of",
    ):
        assert words in said, said
