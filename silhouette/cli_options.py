"""What the commands have in common: options, and the console they print on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

if TYPE_CHECKING:
    from rich.console import Console

Unit = Literal["in", "cm"]
Out = Annotated[Path | None, Parameter(help="Folder for pictures, 3D files and report; made if need be.")]
Units = Annotated[Unit | None, Parameter(help="Show lengths in this unit instead of the sheet's own.")]


def console() -> Console:
    """The terminal; a file or a pipe gets 110 columns."""
    from rich.console import Console

    made = Console()
    return made if made.is_terminal else Console(width=110)
