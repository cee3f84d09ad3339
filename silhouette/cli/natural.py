"""The most natural arrangement for people: three lines to act on, and beside them what each change is for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from silhouette.asked.declared import LENGTH
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import SIDES, Sheet, parameter_for, value_at
from silhouette.cli.choices import STYLES
from silhouette.judged.finding import thickness_text
from silhouette.search.natural import MOST_TRIALS

if TYPE_CHECKING:
    from rich.console import Console

    from silhouette.search.natural import Natural
    from silhouette.search.thickness import Option


@contextmanager
def trials_shown() -> Iterator[Callable[[int], None]]:
    """A progress bar on standard error, which knows how many trials were made."""
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("trying arrangements", total=MOST_TRIALS)
        yield lambda done: bar.update(task, completed=done)


def print_natural(natural: Natural, sheet: Sheet, console: Console) -> None:
    """What to buy, where to put it and what to cut the shell to; then what each of the changes is for."""
    unit, best, wanted = sheet.unit, natural.best, natural.wanted
    fine = best is not None and best.verdict == "fine"
    if best is None:
        console.print(
            "No arrangement in foam as sold stays fine on this figure; leave it to cut and fabric. In the way: "
            f"[bold]{', '.join(natural.in_the_way)}[/bold].",
            highlight=False,
        )
        return
    if not natural.reached:
        assert wanted is not None
        console.print(
            f"No arrangement in foam as sold gives {format_length(wanted, unit)}; the nearest:", style="yellow"
        )
    elif not fine:
        console.print(
            f"{format_length(best.hip, unit)} cannot be reached while everything stays fine; in the way: "
            f"{', '.join(best.in_the_way)}. The most natural way there:",
            style="yellow",
            highlight=False,
        )
    else:
        console.print(
            "Natural at the wanted hip:" if wanted is not None else "The largest natural hip:",
            style="green",
        )
    for line in three_lines(best, sheet):
        console.print(line, highlight=False)
    if natural.steps:
        console.print(steps_table(natural, sheet))
    if natural.largest is not None and not fine:
        console.print(f"The largest hip that stays fine, {format_length(natural.largest.hip, unit)}:", style="green")
        for line in three_lines(natural.largest, sheet):
            console.print(line, highlight=False)
    if natural.in_the_way and natural.largest is not None:
        console.print(f"  More than that, and this speaks up: {', '.join(natural.in_the_way)}.", style="dim")
    console.print(f"  {natural.tried} arrangements tried", style="dim", highlight=False)
    console.print()


def three_lines(option: Option, sheet: Sheet) -> list[str]:
    """What to buy, where to put it, what to cut the shell to."""
    unit = sheet.unit
    changes = dict(option.changes)
    foam = {side: thickness_text(_value(changes, sheet, f"pads.{side}.thickness"), unit) for side in SIDES}
    alike = len(set(foam.values())) == 1
    bought = foam["left"] if alike else " and ".join(f"{foam[side]} ({side})" for side in SIDES)
    places = [
        f"{parameter_for(key).label} {value_words(key, value, unit)} instead of "
        f"{value_words(key, _was(sheet, key), unit)}"
        for key, value in option.changes
        if value is not None and key.startswith("pads.") and key.count(".") == 1 and not key.endswith("thickness")
    ]
    return [
        f"  Buy    foam of {bought}, as sold.",
        f"  Place  {', '.join(places) or 'as the sheet says'}.",
        f"  Cut    the shell to {format_length(option.shell_hip, unit)} at the hip. The hip then reads "
        f"[bold]{format_length(option.hip, unit)}[/bold], [{STYLES[option.verdict]}]{option.verdict}[/].",
    ]


def steps_table(natural: Natural, sheet: Sheet) -> Any:
    """Every change, and the hip and the look if that one alone were left as the sheet has it."""
    from rich import box
    from rich.table import Table

    unit = sheet.unit
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("change")
    for heading in ("from", "to", "without it, hip", "look"):
        table.add_column(heading, justify="right")
    table.add_column("in the way")
    for step in natural.steps:
        table.add_row(
            parameter_for(step.key).label,
            value_words(step.key, step.was, unit),
            value_words(step.key, step.now, unit),
            format_length(step.hip, unit),
            f"[{STYLES.get(step.verdict, 'dim')}]{step.verdict}[/]",
            ", ".join(step.in_the_way),
        )
    return table


def value_words(key: str, value: Any, unit: str) -> str:
    """A value of the sheet as people write it."""
    if value is None:
        return "left out"
    if key.endswith("thickness"):
        return thickness_text(value, unit)
    if parameter_for(key).kind == LENGTH:
        return format_length(value, unit)
    return value if isinstance(value, str) else f"{value:.2g}"


def _value(changes: dict[str, Any], sheet: Sheet, key: str) -> Any:
    """What a side's key comes to: its own change, its own choice, the common change, the common choice."""
    side, name = key.split(".")[1:]
    if key in changes:
        return changes[key]
    if name in dict(getattr(sheet, side)):
        return value_at(sheet, key)
    return changes.get(f"pads.{name}", value_at(sheet, key))


def _was(sheet: Sheet, key: str) -> Any:
    """What the sheet says, worked out where it was left out."""
    from silhouette.search.arrangement import Free
    from silhouette.shape.figure import figure_like

    value = value_at(sheet, key)
    if value is not None:
        return value
    free = Free(sheet, figure_like(sheet))
    return dict(zip(free.names, free.own.tolist(), strict=True))[key.split(".")[1]]
