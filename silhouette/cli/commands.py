"""The command line: each command reads a sheet, calls ``preview`` and shows what came back."""

from __future__ import annotations

import contextlib
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

from cyclopts import App, CycloptsError, Parameter

from silhouette import __version__
from silhouette.asked.faults import OutputError, SheetError, SilhouetteError, UsageError
from silhouette.asked.reading import DEMO, folder_of, read_sheet, read_text, sheet_text
from silhouette.asked.writing import starter_sheet
from silhouette.cli.fitting import fitted
from silhouette.cli.foam import sweep_command, thickness
from silhouette.cli.options import Json, Out, SheetFile, Unit, Units, in_unit, show
from silhouette.cli.usage import as_option, unquoted_length

if TYPE_CHECKING:
    from silhouette.pipeline import Preview

app = App(
    name="silhouette",
    version=__version__,
    help="Preview hip pads on a body built from tape measurements, before any foam is cut.\n\n"
    "SHEET is a TOML file of measurements and pad choices; the word `demo` stands for the packaged example.",
    help_format="markdown",
)
app.command(thickness)
app.command(sweep_command, name="sweep")
app.command(fitted)


@app.command
def new(
    sheet: Annotated[Path, Parameter(help="File to write; an existing one is never overwritten.")],
    /,
    *,
    units: Annotated[Unit, Parameter(help="Unit for bare numbers.")] = "in",
) -> None:
    """Write a starter sheet with comments."""
    from silhouette.shown.file_names import name_fault
    from silhouette.shown.files import write_file

    if os.path.lexists(sheet) or str(sheet) == DEMO:
        raise OutputError(f"{sheet}: already exists; choose another name")
    if fault := name_fault(sheet.name):
        raise OutputError(f"{sheet}: such a name {fault}")
    text = starter_sheet(units)
    read_text(text)
    write_file(sheet, text, fresh=True)
    print(f"{sheet}: written. Fill in waist and hip at least, then: silhouette preview {sheet}")


@app.command(name="preview")
def preview_command(
    sheet: SheetFile,
    /,
    *,
    out: Out = None,
    json_: Json = False,
    units: Units = None,
) -> None:
    """Show the padded figure: girths by level, new hip girth, verdict and advice."""
    from silhouette.asked.fittings import read_fittings
    from silhouette.pipeline import preview
    from silhouette.search.learning import is_used
    from silhouette.shown.fitting_words import fitting_lines

    text = sheet_text(sheet)
    result = preview(in_unit(read_text(text, folder_of(sheet)), units))
    records = read_fittings(text)
    if out is not None:
        from silhouette.shown.outputs import write_folder

        for line in write_folder(result, out, records):
            print(line, file=sys.stderr)
    if json_:
        from silhouette.shown.report import report

        print(json.dumps(report(result, records), ensure_ascii=False))
        return
    from silhouette.cli.tables import print_preview

    show(lambda console: print_preview(result, console))
    for record in records[-1:]:
        print("\n".join(fitting_lines(record, result.sheet.unit, used=is_used(result.sheet, record))))


@app.command
def compare(
    *sheets: Annotated[Path, Parameter(help="Two to six sheets.")], out: Out = None, units: Units = None
) -> None:
    """Compare two or more sheets: one table, and overlaid silhouettes in the output folder."""
    if len(sheets) < 2:
        raise UsageError("compare: name at least two sheets")
    if len(sheets) > 6:
        raise UsageError("compare: at most six sheets can be told apart in one drawing")
    results = _all_previews(sheets, units)
    names = _names(sheets, results)
    unit = units or results[0].sheet.unit
    if out is not None:
        from silhouette.shown.outputs import write_comparison

        for line in write_comparison(names, results, out, unit):
            print(line, file=sys.stderr)
    from silhouette.cli.comparison import comparison_table

    show(lambda console: console.print(comparison_table(names, results, unit)))


@app.command
def templates(
    sheet: SheetFile,
    /,
    *,
    out: Annotated[Path, Parameter(help="Folder for the files; made if need be.")],
    page: Annotated[str, Parameter(help="Paper: a4, letter, sheet (one large sheet for a plotter) or all.")] = "all",
    units: Units = None,
) -> None:
    """Write full-size templates and the workroom pages: PDF, SVG and DXF."""
    from silhouette.cutting.output import write_templates
    from silhouette.pipeline import preview

    texts = write_templates(preview(in_unit(read_sheet(sheet), units)), out, page)
    print("\n".join(texts))


@app.command
def page(
    folder: Annotated[Path, Parameter(help="Folder with one sheet file per client; made if need be.")] = Path(
        "clients"
    ),
    *,
    port: Annotated[int, Parameter(help="Port on this machine; 0 picks a free one.")] = 8653,
    browser: Annotated[bool, Parameter(help="Open the browser at once.")] = True,
    log: Annotated[Path | None, Parameter(help="File for the details of failures inside this program.")] = None,
) -> None:
    """Serve the consultation page on this machine and open the browser."""
    from silhouette.page.serve import serve

    with as_option("port", "--port"):
        serve(folder, port, open_browser=browser, log=log)


def _names(sheets: tuple[Path, ...], results: list[Preview]) -> list[str]:
    """A name for each sheet that no other has: the client's, else the file's, else with a number."""
    names = [result.sheet.client.name.strip() or path.stem for path, result in zip(sheets, results, strict=True)]
    if len(set(names)) < len(names):
        names = [path.stem for path in sheets]
    if len(set(names)) < len(names):
        names = [f"{name} ({number})" for number, name in enumerate(names, start=1)]
    return names


def _all_previews(sheets: tuple[Path, ...], unit: Unit | None) -> list[Preview]:
    """Preview every sheet; the faults of all of them are gathered before any is reported."""
    from silhouette.asked.faults import Fault
    from silhouette.pipeline import preview

    done, faults = [], []
    for path in sheets:
        try:
            done.append(preview(in_unit(read_sheet(path), unit)))
        except SheetError as error:
            faults += [
                Fault(f"{path}: {f.place}" if f.place != str(path) else f.place, f.message) for f in error.faults
            ]
    if faults:
        raise SheetError(faults)
    return done


def main(arguments: list[str] | None = None) -> None:
    """Run the command line. Exit status 0 when the work was done, 2 when it could not be."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    given = sys.argv[1:] if arguments is None else arguments
    try:
        try:
            app(given, exit_on_error=False, print_error=False)
        except SystemExit as ended:  # the library may end the process by itself: what is printed is flushed first
            if ended.code:
                raise
        sys.stdout.flush()
    except CycloptsError as error:
        _refuse(unquoted_length(given) or f"silhouette: {error}".replace("\n", " "))
    except SilhouetteError as error:
        _refuse(unquoted_length(given) or str(error))
    except BrokenPipeError:
        _let_go()  # whoever read this has seen enough
        sys.exit(0)
    except OSError as error:
        if error.filename is None:
            _let_go()
        _refuse(f"silhouette: {error.filename or 'cannot write'}: {error.strerror or error}")


def _let_go() -> None:
    """Nothing is left to be flushed to a standard output that takes no more when Python ends."""
    with contextlib.suppress(OSError):  # none of its own, as under a test
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _refuse(words: str) -> NoReturn:
    print(words, file=sys.stderr)
    sys.exit(2)
