"""What the command line prints for people."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from silhouette.asked.lengths import as_shown, format_length
from silhouette.judged.finding import Finding
from silhouette.pipeline import Preview
from silhouette.search.together import together
from silhouette.shape.refoamed import whole_pads
from silhouette.shown.sentences import (
    LEVEL_NAMES,
    SHORT_CAUTIONS,
    foam_words,
    girth_lines,
    ground_sentence,
    mark_note,
    pad_notes,
    rule_sentence,
    together_sentence,
    verdict_sentence,
    worn_lines,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

#: The sheet key that places each level; where it was left out, the drop shown is an estimate.
DROP_KEYS = {
    "waist": "",
    "high_hip": "drops.high_hip",
    "hip": "drops.hip",
    "under_seat": "drops.under_seat",
    "thigh": "drops.under_seat",
    "knee": "drops.knee",
}
_STYLE = {"fine": "green", "watch": "yellow", "obvious": "bold red"}


def print_preview(result: Preview, console: Console, unit: str | None = None) -> None:
    """The answer in five lines; then levels, what cloth does, the checks with their advice, and the cautions."""
    unit = unit or result.sheet.unit
    for line in answer_lines(result, unit):
        console.print(line, highlight=False)
    console.print(verdict_sentence(result), style=_STYLE[result.verdict], highlight=False)
    console.print(levels_table(result, unit))
    if any(not r.measured for r in result.figure.levels):
        console.print(f"  ~ {mark_note(result)}", style="dim", highlight=False)
    if result.sheet.body.outline or result.body.scan:
        console.print(f"  {plain_name(ground_sentence(result, unit), 300)}", highlight=False)
    for doubt in result.body.scan.doubts if result.body.scan else ():
        console.print(f"  [yellow]scan[/]: {plain_name(doubt, 300)}", highlight=False)
    if result.pads:
        console.print(f"  {rule_sentence(result, unit)}", style="dim", highlight=False)
        for line in (*pad_notes(result, unit), *worn_lines(result, unit)):
            console.print(f"  {line}", highlight=False)
    console.print()
    print_findings(result.findings, console)
    combined = together(result)
    if combined is not None:
        console.print(f"  together  {together_sentence(*combined, unit)}", highlight=False)
    console.print()
    console.print(f"Cautions: {SHORT_CAUTIONS}", style="dim", highlight=False)


def answer_lines(result: Preview, unit: str) -> list[str]:
    """Foam and where it goes, the new hip, the shell's two girths, the lining: a line each."""
    figure = result.figure

    def show(mm: float) -> str:
        return format_length(mm, unit)

    name = plain_name(result.sheet.client.name) or "Client"
    if not figure.pads:
        return [f"[bold]{name}[/bold]  no pads: hip {show(figure.measures.hip)}"]
    return [
        f"[bold]{name}[/bold]  {_pad_words(result, unit)}",
        f"New hip    [bold]{show(figure.new_hip_girth)}[/bold] over her own {show(figure.measures.hip)}, fullest "
        f"{show(figure.new_hip_drop)} below the waist (± {show(figure.sheet_tolerance)}: foam sheets vary)",
        *girth_lines(result, unit),
    ]


def print_findings(findings: Sequence[Finding], console: Console) -> None:
    """The findings worth a look, gravest first, then the checks that found nothing in one line."""
    for severity in ("obvious", "watch"):
        for f in findings:
            if f.severity == severity:
                console.print(f"  [{_STYLE[severity]}]{severity:8}[/] {f.check}: {f.message}", highlight=False)
                if f.advice:
                    console.print(f"           → {f.advice}", highlight=False)
                console.print(f"             basis: {f.basis}", style="dim", highlight=False)
    for f in findings:
        if f.severity == "fine" and f.advice:
            console.print(f"  [green]fine    [/] {f.check}: {f.message}", highlight=False)
            console.print(f"           → {f.advice}", highlight=False)
    fine = [f.check for f in findings if f.severity == "fine" and not f.advice]
    if fine:
        console.print(f"  [green]fine    [/] {', '.join(fine)}", highlight=False)


def levels_table(result: Preview, unit: str) -> Table:
    """Named levels: drop, body, padded with loose foam, worn under the shell where it is tight, added."""
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("level")
    worn = result.squeezed
    for heading in ("below waist", "body", "padded", *(("worn",) if worn else ()), "added"):
        table.add_column(heading, justify="right")
    measured = result.figure.measures.measured
    for r in result.figure.levels:
        mark = "" if r.measured else "~"
        shown = min(r.after, result.shell.worn_at(r.drop)) if worn and r.level not in ("thigh", "knee") else r.after
        added = as_shown(shown, unit) - as_shown(r.before, unit)
        drop_mark = "" if r.drop == 0 or DROP_KEYS[r.level] in measured else "~"
        table.add_row(
            LEVEL_NAMES[r.level],
            drop_mark + format_length(r.drop, unit),
            mark + format_length(r.before, unit),
            mark + format_length(r.after, unit),
            *((mark + format_length(shown, unit),) if worn else ()),
            format_length(added, unit, sign=True) if abs(shown - r.before) > 0.5 else "·",
        )
    return table


def _pad_words(result: Preview, unit: str) -> str:
    pads = result.figure.pads
    if not pads:
        return "no pads"
    foam = " and ".join(foam_words(pads, unit))
    pads = whole_pads(pads)
    count = f"{len(pads)} pads" if len(pads) > 1 else "1 pad"
    top = format_length(min(float(p.outline[0, 1]) for p in pads), unit, bare=True)
    low = format_length(max(float(p.outline[-1, 1]) for p in pads), unit)
    edge = max(pads, key=lambda p: p.bevel)
    carved = f"edge {edge.profile} over {format_length(edge.bevel, unit)}" if edge.bevel > 0 else "edge left square"
    return f"{count} of {foam} foam, {top} to {low} below the waist, {carved}"


def plain_name(text: str, most: int = 60) -> str:
    """A name on one short line, its brackets not taken for markup."""
    from rich.markup import escape

    flat = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return escape(flat if len(flat) <= most else flat[: most - 1] + "…")
