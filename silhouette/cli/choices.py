"""What the commands that choose print for people: thickness and sweep."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from silhouette.asked.lengths import as_shown, format_length
from silhouette.asked.sheet import Sheet
from silhouette.judged.finding import thickness_text
from silhouette.search.sweep import value_text
from silhouette.shown.fitting_words import foam_words

if TYPE_CHECKING:
    from rich.console import Console

    from silhouette.search.sweep import Sweep
    from silhouette.search.thickness import Choice

STYLES = {"fine": "green", "watch": "yellow", "obvious": "bold red", "-": "dim"}


def print_choice(choice: Choice, sheet: Sheet, console: Console, *, natural_follows: bool = False) -> None:
    """The foam that reaches a wanted hip, the stock sheets either side, and whether any stays natural."""
    unit = sheet.unit
    from rich import box
    from rich.table import Table

    exact = choice.exact
    console.print()
    console.print(
        f"A hip of [bold]{format_length(choice.wanted, unit)}[/bold] over loose foam takes foam of "
        f"[bold]{foam_words(exact.foam, unit)}[/bold], pads placed as the sheet says.",
        highlight=False,
    )
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in ("", "foam", "hip over loose foam", "cut the shell to", "look", "in the way"):
        table.add_column(heading, justify="left" if heading in ("", "in the way") else "right")
    for name, option in (("stock below", choice.below), ("exact", exact), ("stock above", choice.above)):
        if option is None:
            table.add_row(name, "none sold", "", "", "", "")
            continue
        table.add_row(
            name,
            foam_words(option.foam, unit) if option is exact else thickness_text(option.foam, unit),
            format_length(option.hip, unit),
            format_length(option.shell_hip, unit),
            f"[{STYLES[option.verdict]}]{option.verdict}[/]",
            ", ".join(option.in_the_way),
        )
    console.print(table)
    natural = [o for o in (choice.below, exact, choice.above) if o is not None and o.verdict == "fine"]
    if natural:
        most = max(natural, key=lambda o: o.hip)
        console.print(f"Natural up to {format_length(most.hip, unit)} among these.", style="green", highlight=False)
    else:
        console.print(
            f"None of these stays natural; in the way: {', '.join(exact.in_the_way)}. "
            + ("Placed otherwise:" if natural_follows else "Try --natural for the most natural way there."),
            style="yellow",
            highlight=False,
        )
    if sheet.cloth.shell_hip is not None and sheet.cloth.shell_hip < choice.wanted:
        console.print(
            f"The sheet's shell of {format_length(sheet.cloth.shell_hip, unit)} is smaller than that: it would squeeze "
            "the foam back. Cut a larger shell.",
            style="yellow",
            highlight=False,
        )
    console.print()


def print_sweep(swept: Sweep, console: Console, unit: str, most: int = 7) -> None:
    """A coarse table of hips coloured by look, then the best trade-offs."""
    from rich import box
    from rich.table import Table

    rows, columns = swept.hip.shape
    pick_rows = np.unique(np.linspace(0, rows - 1, min(most, rows)).round().astype(int))
    pick_columns = np.unique(np.linspace(0, columns - 1, min(most, columns)).round().astype(int))
    first, second = swept.first, swept.second
    console.print()
    console.print("New hip girth over loose foam, and look (o fine, ! watch, X obvious)", style="bold", highlight=False)
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, title=first.parameter.label, title_justify="right")
    table.add_column(second.parameter.label)
    across = first.values(columns)
    for column in pick_columns:
        table.add_column(value_text(first, float(across[column]), unit), justify="right")
    up = second.values(rows)
    for row in pick_rows[::-1]:
        cells = []
        for column in pick_columns:
            verdict = swept.verdict(row, column)
            sign = {"fine": "o", "watch": "!", "obvious": "X", "-": "·"}[verdict]
            text = "" if verdict == "-" else format_length(float(swept.hip[row, column]), unit, bare=True)
            cells.append(f"[{STYLES[verdict]}]{text} {sign}[/]")
        table.add_row(value_text(second, float(up[row]), unit), *cells)
    console.print(table)
    front = swept.front(8)
    console.print("Best trade-offs between added hip and natural look", style="bold", highlight=False)
    for pair in front:
        verdict, values = swept.verdict(*pair), swept.changes(*pair)
        words = ", ".join(f"{a.parameter.label} {value_text(a, values[a.key], unit)}" for a in (first, second))
        why = f" ({swept.why[pair]})" if swept.why[pair] else ""
        hip, body = (as_shown(float(grid[pair]), unit) for grid in (swept.hip, swept.body))
        console.print(
            f"  {format_length(body, unit, bare=True):>7} {format_length(hip - body, unit, sign=True):>9}  = hip "
            f"{format_length(hip, unit):<10} [{STYLES[verdict]}]{verdict:7}[/] {words}{why}",
            highlight=False,
        )
    if not swept.possible.all():
        reason = next(str(w) for w in swept.why[~swept.possible])
        console.print(f"  {int((~swept.possible).sum())} pairs cannot be made: {reason}", style="dim", highlight=False)
    console.print()
