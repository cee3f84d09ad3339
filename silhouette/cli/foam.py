"""Commands on foam: thickness, sweep."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from silhouette.asked.faults import Fault, SheetError, UsageError
from silhouette.asked.reading import read_sheet
from silhouette.cli.options import Json, Out, SheetFile, Units, in_unit, length_said, show
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

    given = in_unit(read_sheet(sheet), units)
    if hip is None and not natural:
        raise UsageError("thickness: give --hip LENGTH, --natural, or both")
    wanted = None if hip is None else length_said("--hip", hip, given.unit)
    choice = best = refused = None
    with as_option("wanted hip", "--hip"):
        if wanted is not None:
            try:
                choice = thickness_for(given, wanted)
            except SheetError as error:  # pads placed otherwise may still reach it
                refused = error
        if natural:
            with trials_shown() as progress:
                best = most_natural(given, wanted, progress)
        if refused is not None and not (best is not None and best.reached):
            raise refused
    if json_:
        plain = {**(choice_plain(choice) if choice else {}), **(natural_plain(best) if best else {})}
        print(json.dumps(plain, ensure_ascii=False))
        return
    if choice is not None:
        show(lambda console: print_choice(choice, given, console, natural_follows=natural))
    if best is not None:
        show(lambda console: print_natural(best, given, console))


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
    from silhouette.cli.axes import read_axes
    from silhouette.cli.choices import print_sweep
    from silhouette.search.sweep import MOST_STEPS

    given = in_unit(read_sheet(sheet), units)
    faults = [] if 3 <= steps <= MOST_STEPS else [Fault(f"--steps {steps}", f"must be 3 to {MOST_STEPS}")]
    if cores is not None and not 1 <= cores <= 256:
        faults.append(Fault(f"--cores {cores}", "must be 1 to 256"))
    try:
        first, second = read_axes(vary, given)
    except SheetError as error:
        raise SheetError([*error.faults, *faults]) from None
    if faults:
        raise SheetError(faults)
    if out is not None:
        from silhouette.shown.files import check_folder

        check_folder(out)
    swept = _swept(given, first, second, steps, cores)
    unit = given.unit
    if not swept.possible.any():
        raise SheetError([Fault("--vary", f"no pair of these values can be made: {swept.why.flat[0]}")])
    show(lambda console: print_sweep(swept, console, unit))
    if out is not None:
        from silhouette.shown.files import write_files
        from silhouette.shown.sweep_charts import sweep_files

        files = sweep_files(swept, unit)
        write_files(out, files)
        print(f"{out}: {', '.join(files)}", file=sys.stderr)


def _swept(given: Sheet, first: Axis, second: Axis, steps: int, cores: int | None) -> Sweep:
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
        return sweep(given, first, second, steps, pool, lambda done: bar.advance(task, done))
