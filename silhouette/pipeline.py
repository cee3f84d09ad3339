"""The one place where the steps meet: from what was asked to what a tape and an eye would find."""

from __future__ import annotations

from dataclasses import dataclass

from silhouette.asked.sheet import Sheet
from silhouette.cloth.shell import Shell
from silhouette.judged.cloth_checks import findings_under
from silhouette.judged.finding import Finding, worst
from silhouette.shape.body import Body
from silhouette.shape.figure import Figure, LevelReading, figure_of
from silhouette.shape.pads import Pad
from silhouette.shape.tape import Tape


@dataclass(frozen=True, eq=False)
class Preview:
    """Everything that is known of one sheet. Lengths in mm.

    ``figure`` is the body and the pads with loose foam, ``shell`` what the cloth makes of it; findings judge what
    is worn.
    """

    figure: Figure
    shell: Shell
    findings: tuple[Finding, ...]

    @property
    def sheet(self) -> Sheet:
        return self.figure.sheet

    @property
    def body(self) -> Body:
        return self.figure.body

    @property
    def pads(self) -> tuple[Pad, ...]:
        return self.figure.pads

    @property
    def tape_before(self) -> Tape:
        return self.figure.before

    @property
    def tape_after(self) -> Tape:
        return self.figure.after

    @property
    def tape_worn(self) -> Tape:
        """The tape over the shell; where that is loose, the same as over the pads."""
        return self.shell.worn_figure.after

    @property
    def verdict(self) -> str:
        """``fine``, ``watch`` or ``obvious``: the gravest finding."""
        return worst(self.findings)

    @property
    def new_hip_girth(self) -> float:
        """Largest tape reading over the pads in the hip zone, mm."""
        return self.figure.new_hip_girth

    @property
    def levels(self) -> tuple[LevelReading, ...]:
        """Tape readings at the named levels, top to bottom."""
        return self.figure.levels


def preview(sheet: Sheet) -> Preview:
    """Build, measure and judge one sheet. Raises ``SheetError`` with every fault.

    >>> import silhouette
    >>> round(silhouette.preview(silhouette.read_sheet("demo")).new_hip_girth)
    1169
    """
    figure = figure_of(sheet)
    shell = Shell(figure)
    return Preview(figure, shell, findings_under(shell))
