"""What the commands have in common: options, and how they print."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from silhouette.asked.sheet import Sheet

if TYPE_CHECKING:
    from rich.console import Console

Unit = Literal["in", "cm"]
SheetFile = Annotated[Path, Parameter(help="TOML file of measurements and pad choices, or the word demo.")]
Out = Annotated[Path | None, Parameter(help="Folder for pictures, 3D files and report; made if need be.")]
Json = Annotated[bool, Parameter(name="--json", negative="", help="Print one JSON object instead of a table.")]
Units = Annotated[Unit | None, Parameter(help="Show lengths in this unit instead of the sheet's own.")]


def in_unit(sheet: Sheet, unit: Unit | None) -> Sheet:
    """The sheet shown in another unit; its lengths stay what they are."""
    return sheet if unit is None else replace(sheet, unit=unit)


def show(write: Callable[[Console], None]) -> None:
    """Let ``write`` fill a console, then print it in one go: a reader that stops early is no error."""
    from rich.console import Console

    console = Console()
    console = console if console.is_terminal else Console(width=110)
    with console.capture() as captured:
        write(console)
    print(captured.get(), end="")


def length_said(place: str, text: str, unit: str) -> float:
    """A length from the command line, in mm; a bare number is in the sheet's unit. Raises ``SheetError``."""
    from silhouette.asked.faults import Fault, SheetError
    from silhouette.asked.lengths import parse_length

    try:
        return parse_length(text, unit)
    except ValueError as error:
        raise SheetError([Fault(f"{place} {text[:40]}", str(error))]) from None
