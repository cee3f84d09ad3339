"""The one place where the steps meet: from what was asked to what a tape and an eye would find."""

from __future__ import annotations

from dataclasses import dataclass

from silhouette.asked.sheet import Sheet
from silhouette.cloth.cut_girths import levels_to_hem
from silhouette.cloth.dressed import DressedPair, dress
from silhouette.cloth.shell import Shell
from silhouette.judged.checks import findings_of
from silhouette.judged.finding import Finding, Severity, worst
from silhouette.judged.limits import distance_past
from silhouette.shape.body import Body
from silhouette.shape.figure import Figure, LevelReading, figure_like
from silhouette.shape.pads import Pad
from silhouette.shape.tape import Tape


@dataclass(frozen=True, eq=False)
class Preview:
    """Everything that is known of one sheet. Lengths in mm.

    ``figure`` is the body and the pads with loose foam, ``shell`` what the cloth makes of it, ``dressed`` the bare and
    the padded figure under the same skirt, from the waist seam to the hem; findings judge what is worn.
    """

    figure: Figure
    shell: Shell
    dressed: DressedPair
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
    def squeezed(self) -> bool:
        """Whether the sheet has a shell that squeezes its pads: body, padded and worn are three shapes then."""
        return self.shell.given and self.shell.tight

    @property
    def verdict(self) -> Severity:
        """``fine``, ``watch`` or ``obvious``: the gravest finding."""
        return worst(self.findings)

    @property
    def look(self) -> float:
        """How far the gravest finding has gone: 0 and below is fine, 0 to 1 watch, above 1 obvious."""
        return max((distance_past(finding) for finding in self.findings), default=-1.0)

    @property
    def in_the_way(self) -> tuple[str, ...]:
        """Names of the checks that are not fine, gravest first."""
        bad = sorted((f for f in self.findings if f.severity != "fine"), key=distance_past, reverse=True)
        return tuple(f.check for f in bad)

    @property
    def new_hip_girth(self) -> float:
        """Largest tape reading over the pads in the hip zone, mm."""
        return self.figure.new_hip_girth

    @property
    def levels(self) -> tuple[LevelReading, ...]:
        """Tape readings at the named levels, top to bottom."""
        return self.figure.levels


def preview(sheet: Sheet, like: Figure | None = None, *, advice: bool = True) -> Preview:
    """Build, measure and judge one sheet. Raises ``SheetError`` with every fault.

    ``like`` is a figure of a similar sheet: whatever the change leaves as it was (body, drafted pads, tape) is
    borrowed from it. ``advice`` False leaves advice out, which takes longer than finding the faults.

    >>> import silhouette
    >>> round(silhouette.preview(silhouette.read_sheet("demo")).new_hip_girth)
    1160
    """
    figure = figure_like(sheet, like)
    shell = Shell(figure)
    dressed = dress(shell)
    levels_to_hem(sheet, figure.measures, figure.body.drops)  # raises for an impossible hem, pads or none
    return Preview(figure, shell, dressed, findings_of(dressed, advice=advice))
