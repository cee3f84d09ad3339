"""Commands on foam and fitting: thickness, sweep, fitted."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from silhouette.asked.faults import Fault, OutputError, SheetError, UsageError
from silhouette.asked.reading import read_sheet
from silhouette.cli.options import Json, Out, SheetFile, Units, in_unit, show
from silhouette.cli.usage import as_option

if TYPE_CHECKING:
    from silhouette.asked.sheet import Sheet
    from silhouette.search.sweep import Axis, Sweep


def thickness(
    sheet: SheetFile,
    /,
    *,
    hip: Annotated[str | None, Parameter(help="Hip girth wanted over the pads, such as '45 in'.")] = None,
    natural: Annotated[
        bool,
        Parameter(negative="", help="Find how to reach that hip, or without one the largest, most naturally."),
    ] = False,
    json_: Json = False,
    units: Units = None,
) -> None:
    """Which foam to buy: the thickness that reaches a wanted hip, the stock sheets beside it, the most natural way."""
    from silhouette.cli.choices import print_choice
    from silhouette.cli.natural import print_natural, trials_shown
    from silhouette.search.natural import most_natural
    from silhouette.search.thickness import thickness_for
    from silhouette.shown.report import choice_plain, natural_plain

    asked = in_unit(read_sheet(sheet), units)
    if hip is None and not natural:
        raise UsageError("thickness: give --hip LENGTH, --natural, or both")
    wanted = None if hip is None else _length("--hip", hip, asked.unit)
    choice = best = refused = None
    with as_option("wanted hip", "--hip"):
        if wanted is not None:
            try:
                choice = thickness_for(asked, wanted)
            except SheetError as error:  # pads placed otherwise may still reach it
                refused = error
        if natural:
            with trials_shown() as progress:
                best = most_natural(asked, wanted, progress)
        if refused is not None and not (best is not None and best.reached):
            raise refused
    if json_:
        plain = {**(choice_plain(choice) if choice else {}), **(natural_plain(best) if best else {})}
        print(json.dumps(plain, ensure_ascii=False))
        return
    if choice is not None:
        show(lambda console: print_choice(choice, asked, console, asked.unit))
    if best is not None:
        show(lambda console: print_natural(best, asked, console))


def sweep_command(
    sheet: SheetFile,
    /,
    *,
    vary: Annotated[list[str], Parameter(help="KEY=LO..HI, given twice; such as pads.thickness=0.25..1.25in.")],
    steps: Annotated[int, Parameter(help="Values of each parameter, 3 to 201.")] = 41,
    cores: Annotated[int | None, Parameter(help="Processes to use; all cores when left out.")] = None,
    out: Out = None,
    units: Units = None,
) -> None:
    """Compare placements: vary two parameters together and chart the hip, the look and the best trade-offs."""
    from silhouette.cli.choices import print_sweep
    from silhouette.search.sweep import MOST_STEPS, read_axes

    asked = in_unit(read_sheet(sheet), units)
    faults = [] if 3 <= steps <= MOST_STEPS else [Fault(f"--steps {steps}", f"must be 3 to {MOST_STEPS}")]
    if cores is not None and not 1 <= cores <= 256:
        faults.append(Fault(f"--cores {cores}", "must be 1 to 256"))
    try:
        with as_option("varied", "--vary"):
            first, second = read_axes(vary, asked)
    except SheetError as error:
        raise SheetError([*error.faults, *faults]) from None
    if faults:
        raise SheetError(faults)
    if out is not None:
        from silhouette.shown.files import check_folder

        check_folder(out)
    swept = _swept(asked, first, second, steps, cores)
    unit = asked.unit
    if not swept.made.any():
        raise SheetError([Fault("--vary", f"no pair of these values can be made: {swept.why.flat[0]}")])
    show(lambda console: print_sweep(swept, console, unit))
    if out is not None:
        from silhouette.shown.files import write_files
        from silhouette.shown.sweep_charts import sweep_files

        files = sweep_files(swept, unit)
        write_files(out, files)
        print(f"{out}: {', '.join(files)}", file=sys.stderr)


def fitted(
    sheet: SheetFile,
    /,
    *,
    hip: Annotated[str, Parameter(help="What the tape read round the fullest hip.")],
    over: Annotated[
        Literal["cloth", "pads"], Parameter(help="Read over the finished garment or over bare pads.")
    ] = "cloth",
    wanted: Annotated[
        str | None, Parameter(help="What it was to read; the sheet's wanted hip, or the prediction, when left out.")
    ] = None,
    date: Annotated[str | None, Parameter(help="Day of the fitting, such as 2026-11-25; today when left out.")] = None,
    use: Annotated[bool, Parameter(negative="", help="Put what was learned into the sheet as well.")] = False,
) -> None:
    """Record what the tape read at the fitting, and say what explains a difference and what to do now."""
    import datetime

    from silhouette.asked.fittings import Fitting, add_fitting, read_fittings, take_over
    from silhouette.asked.reading import DEMO, read_text, sheet_text
    from silhouette.cli.fitting_advice import habit_said, what_now_said
    from silhouette.search.learning import learn, used_keys
    from silhouette.shape.pads import foam_thickness
    from silhouette.shown.files import write_file
    from silhouette.shown.fitting_words import fitting_lines

    if str(sheet) == DEMO:
        raise OutputError("demo: the packaged example keeps no records; copy a sheet of your own")
    text = sheet_text(sheet)
    asked = read_text(text)
    records = read_fittings(text)  # a record that cannot be read is refused before another is added
    try:
        day = datetime.date.today() if date is None else datetime.date.fromisoformat(date)
    except ValueError:
        raise SheetError([Fault(f"--date {date}", "a date belongs here, such as 2026-11-25")]) from None
    aim = None if wanted is None else _length("--wanted", wanted, asked.unit)
    with as_option("read hip", "--hip"):
        lesson = learn(asked, "hip", _length("--hip", hip, asked.unit), over, used_keys(asked, records))
    foam = foam_thickness(asked, asked.pads)
    record = Fitting(
        day, "hip", lesson.read, over, lesson.predicted, foam, asked.cloth.shell_hip, lesson.explains
    )  # fmt: skip
    written, changed = add_fitting(text, record, asked.unit), list[str]()
    if use:
        written, changed = take_over(written, record, asked.unit)
        read_text(written)
    write_file(sheet, written)
    lines = fitting_lines(record, asked.unit, lesson.words)
    print("\n".join([*lines, *what_now_said(asked, lesson, over, aim), *habit_said(sheet, asked)]))
    if use:
        print("\n".join(f"changed in the sheet: {line}" for line in changed) or "nothing learned, nothing changed")
    elif lesson.explains is not None:
        print("The record is in the sheet; its choices are as they were. With --use they follow what was learned.")


def _swept(asked: Sheet, first: Axis, second: Axis, steps: int, cores: int | None) -> Sweep:
    """Sweep with a progress bar on standard error; a pool of processes unless one core is asked for."""
    import os
    from concurrent.futures import ThreadPoolExecutor

    from rich.console import Console
    from rich.progress import Progress

    from silhouette.search.sweep import sweep
    from silhouette.search.workers import workers

    count = cores or os.cpu_count() or 1
    pool = workers(count) if count > 1 else ThreadPoolExecutor(1)
    console = Console(stderr=True)
    with pool, Progress(console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("trying", total=steps * steps)
        return sweep(asked, first, second, steps, pool, lambda done: bar.advance(task, done))


def _length(place: str, text: str, unit: str) -> float:
    """A length from the command line, in mm; a bare number is in the sheet's unit."""
    from silhouette.asked.lengths import parse_length

    try:
        return parse_length(text, unit)
    except ValueError as error:
        raise SheetError([Fault(f"{place} {text[:40]}", str(error))]) from None
