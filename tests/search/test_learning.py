"""Learning from the fitting: the record in the sheet, and what it teaches."""

import datetime

import pytest

import silhouette
from silhouette.asked.faults import SheetError
from silhouette.asked.fitting_records import add_fitting, take_over
from silhouette.asked.fittings import Fitting, read_fittings
from silhouette.asked.reading import read_text
from silhouette.cli.commands import main
from silhouette.search.learning import learn

IN = 25.4
TEXT = """# the market keeper
unit = "in"

[girths]
waist = 31   # over the shift
hip = 42

[pads]
thickness = 0.75
bevel = 1.75
start = 1.5

[foam]
grade = "40/28"

# shell of the second toile
[cloth]
ease = 0.5
"""


def changed(**changes):
    return silhouette.with_values(read_text(TEXT), {k.replace("__", "."): v for k, v in changes.items()})


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "keeper.toml"
    made.write_text(TEXT, encoding="utf-8")
    return made


def run(*arguments):
    try:
        main(list(arguments))
    except SystemExit as stopped:
        return stopped.code or 0
    return 0


def test_thickness_is_found_again():
    # The tape is what thinner foam would give; the lesson must name that foam.
    for true in (14.0, 17.2, 22.0):
        read = silhouette.preview(changed(foam__measured=true)).new_hip_girth
        for over in ("pads", "cloth"):
            lesson = learn(read_text(TEXT), "hip", read, over)
            assert lesson.explains is not None and lesson.explains[0] == "foam.measured"
            assert lesson.explains[1] == pytest.approx(true, abs=0.02)


def test_firmness_is_found_again_under_stretching_cloth():
    asked = changed(cloth__shell_hip=43 * IN, cloth__stretch=15.0)
    worn = silhouette.preview(silhouette.with_values(asked, {"foam.firmness": 4.5})).shell.worn_hip
    lesson = learn(asked, "hip", worn, "cloth")
    assert lesson.explains is not None and lesson.explains[0] == "foam.firmness"
    assert lesson.explains[1] == pytest.approx(4.5, rel=0.02)


def test_cloth_that_gave_is_found_again():
    asked = changed(cloth__shell_hip=44 * IN)
    worn = silhouette.preview(silhouette.with_values(asked, {"cloth.stiffness": 8000.0})).shell.worn_hip
    lesson = learn(asked, "hip", worn, "cloth")
    assert lesson.explains is not None and lesson.explains[0] == "cloth.stiffness"
    assert lesson.explains[1] == pytest.approx(8000, rel=0.02)


def test_agreement_teaches_nothing():
    asked = read_text(TEXT)
    lesson = learn(asked, "hip", silhouette.preview(asked).new_hip_girth + 2.0, "cloth")
    assert lesson.explains is None and "agree" in lesson.words


@pytest.mark.parametrize("inches, said", [(40, "below the body"), (110, "mixed up")])
def test_impossible_readings(inches, said):
    with pytest.raises(SheetError, match=said):
        learn(read_text(TEXT), "hip", inches * IN, "cloth")


def test_record_is_kept_and_comments_with_it(path):
    assert run("fitted", str(path), "--hip", "45 1/4 in", "--date", "2026-11-25") == 0
    text = path.read_text(encoding="utf-8")
    assert text.startswith(TEXT.rstrip())  # nothing above the record has changed
    record = read_fittings(text)[0]
    assert record.date == datetime.date(2026, 11, 25) and record.over == "cloth"
    assert record.girth == pytest.approx(45.25 * IN, abs=0.01)
    before = silhouette.preview(read_text(TEXT))
    after = silhouette.preview(read_text(text))
    assert record.predicted == pytest.approx(before.new_hip_girth, abs=0.25)
    assert after.new_hip_girth == before.new_hip_girth  # nothing is changed silently
    assert run("fitted", str(path), "--hip", "45 1/2 in", "--date", "2026-11-26", "--over", "pads") == 0
    assert [r.over for r in read_fittings(path.read_text(encoding="utf-8"))] == ["cloth", "pads"]


def test_use_puts_the_lesson_into_the_sheet(path, capsys):
    assert run("fitted", str(path), "--hip", "45 1/4 in", "--use") == 0
    assert "changed in the sheet: foam.measured" in capsys.readouterr().out
    text = path.read_text(encoding="utf-8")
    assert "# over the shift" in text and "# shell of the second toile" in text
    assert silhouette.preview(read_text(text)).new_hip_girth == pytest.approx(45.25 * IN, abs=0.3)


def test_preview_shows_the_last_fitting(path, capsys):
    run("fitted", str(path), "--hip", "45 1/4 in", "--date", "2026-11-25")
    capsys.readouterr()
    assert run("preview", str(path)) == 0
    shown = capsys.readouterr().out
    assert "Fitting of 2026-11-25" in shown and "would explain it" in shown
    assert run("preview", str(path), "--json") == 0
    assert '"fitted": [{"date": "2026-11-25"' in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments, said",
    [
        (["--hip", "forty"], "not a length"),
        (["--hip", "40 in"], "below the body"),
        (["--hip", "45 in", "--date", "yesterday"], "a date belongs here"),
        (["--hip", "45 in", "--over", "skin"], "over"),
    ],
)
def test_bad_fittings_write_nothing(path, capsys, arguments, said):
    assert run("fitted", str(path), *arguments) == 2
    assert said in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == TEXT


def test_demo_keeps_no_records(capsys):
    assert run("fitted", "demo", "--hip", "45 in") == 2
    assert "keeps no records" in capsys.readouterr().err


def test_damaged_records_are_named():
    broken = TEXT + '\n[[fitted]]\ndate = "soon"\ngirth = "x"\npredicted = 45\nlevel = "ankle"\n'
    with pytest.raises(SheetError) as caught:
        read_fittings(broken)
    places = {fault.place for fault in caught.value.faults}
    assert places == {"fitted 1.date", "fitted 1.girth", "fitted 1.level", "fitted 1.foam"}


def test_round_trip_and_take_over():
    day = datetime.date(2026, 11, 25)
    record = Fitting(day, "hip", 1130.0, "cloth", 1140.0, 19.05, 1135.0, ("cloth.stiffness", 4000.0))
    text = add_fitting(TEXT + "stretch = 12.0\n", record, "in")
    assert read_fittings(text) == [record]
    taken, said = take_over(text, record, "in")
    assert read_text(taken).cloth.stiffness == 4000.0 and read_text(taken).cloth.stretch is None
    assert len(said) == 2 and "stretch" in said[1]


def test_a_fitting_that_fell_short_says_what_now(path, capsys):
    assert run("fitted", str(path), "--hip", "45 1/4 in", "--wanted", "46", "--date", "2026-11-25", "--use") == 0
    said = capsys.readouterr().out
    assert "3/4 in short of the 46 in wanted" in said
    for words in (
        "foam thinner than taken",
        "body changed",
        "add a layer of",
        "recut from foam of",
        "take in the shell",
    ):
        assert words in said
    # what was used stands in the sheet, and neither preview nor the next fitting offers it again
    assert run("preview", str(path)) == 0
    shown = capsys.readouterr().out
    assert "was taken from it" in shown and "would explain it" not in shown
    assert run("fitted", str(path), "--hip", "45 3/4 in", "--date", "2026-11-26") == 0
    said = capsys.readouterr().out
    assert "already follows an earlier fitting" in said and "--use" not in said


def test_the_sheets_of_one_folder_teach_the_makers_habit(tmp_path, capsys):
    for number, hip in enumerate((40, 41, 42, 43)):
        made = tmp_path / f"client-{number}.toml"
        made.write_text(TEXT.replace("hip = 42", f"hip = {hip}"), encoding="utf-8")
        asked = read_text(made.read_text(encoding="utf-8"))
        thin = silhouette.with_values(asked, {"foam.measured": 0.8 * 19.05})
        read = silhouette.preview(thin).new_hip_girth
        assert run("fitted", str(made), "--hip", f"{read:.1f} mm", "--over", "pads") == 0
        said = capsys.readouterr().out
        assert ("thinner than sold" in said) == (number >= 2), said
    assert "foam.measured = " in said and "offered, not applied" in said
    assert "measured" not in made.read_text(encoding="utf-8").split("[[fitted]]")[0]
    (tmp_path / "broken.toml").write_text("[[fitted]]\nnonsense", encoding="utf-8")  # is passed over
    assert run("fitted", str(made), "--hip", f"{read:.1f} mm", "--over", "pads", "--replace") == 0
