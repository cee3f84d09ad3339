"""What a preview, a choice of foam and a natural arrangement say, in the words of the JSON ``contract``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from silhouette.asked.fittings import Fitting
from silhouette.judged.finding import Finding
from silhouette.pipeline import Preview
from silhouette.search.natural import Natural
from silhouette.search.thickness import Choice, Option
from silhouette.shape.solids import Solid, solids_of
from silhouette.shape.tape import Tape
from silhouette.shown.contract import (
    VERSION,
    Curve,
    DressedCurve,
    PlainDressed,
    PlainFinding,
    PlainFitting,
    PlainOption,
    PlainShell,
    PlainSolid,
    PlainUndone,
    Reading,
    Report,
    Silhouettes,
    View,
)
from silhouette.shown.rests_on import ground_of
from silhouette.shown.sentences import CAUTIONS, estimated, pad_notes


def report(preview: Preview, fittings: Sequence[Fitting] = (), *, solids: bool = True, cloth: bool = True) -> Report:
    """Everything that was found, and the sheet's fittings, as one JSON-ready object.

    ``solids`` False leaves the list of solids empty: closing and weighing them takes longer than all the rest.
    ``cloth`` False leaves out what the shell does, for an answer while a control is still moving.
    """
    figure = preview.figure
    plain = Report(
        version=VERSION,
        client=preview.sheet.client.name,
        new_hip_girth_mm=_mm(figure.new_hip_girth),
        new_hip_drop_mm=_mm(figure.new_hip_drop),
        new_hip_tolerance_mm=_mm(figure.sheet_tolerance),
        added_mm=_mm(figure.added),
        rule_of_thumb_mm=_mm(figure.rule_of_thumb),
        girths=[
            Reading(
                level=r.level,
                drop_mm=_mm(r.drop),
                before_mm=_mm(r.before),
                after_mm=_mm(r.after),
                added_mm=_mm(r.added),
                measured=r.measured,
            )
            for r in figure.levels
        ],
        estimated=estimated(preview),
        rests_on=ground_of(preview),
        curve=Curve(
            drop_mm=_list(figure.before.drops),
            before_mm=_list(figure.before.girth),
            after_mm=_list(figure.after.girth),
        ),
        silhouette=Silhouettes(
            drop_mm=_list(figure.before.drops),
            front=_view(figure.before, figure.after, 0.0),
            side=_view(figure.before, figure.after, np.pi / 2),
        ),
        findings=[finding_plain(f) for f in preview.findings],
        verdict=preview.verdict,
        solids=[solid_plain(s) for s in solids_of(figure.body, figure.pads)] if solids else [],
        notes=pad_notes(preview, preview.sheet.unit),
        cautions=list(CAUTIONS),
        fitted=[fitting_plain(record) for record in fittings],
        dressed=_dressed(preview),
    )
    if cloth:
        _add_worn(plain, preview)
    return plain


def _view(before: Tape, after: Tape, angle: float) -> View:
    return View(before=_list(before.outline_from(angle)), after=_list(after.outline_from(angle)))


def _dressed(preview: Preview) -> PlainDressed:
    before, after = preview.dressed.before, preview.dressed.after
    return PlainDressed(
        below=after.cut.below,
        hem_drop_mm=_mm(after.cut.hem_drop),
        curve=DressedCurve(
            drop_mm=_list(after.drops),
            cut_mm=_list(after.cut.girth),
            before_mm=_list(before.girth),
            after_mm=_list(after.girth),
        ),
        front=_view(before.outline, after.outline, 0.0),
        side=_view(before.outline, after.outline, np.pi / 2),
        edge_turn_deg=round(preview.dressed.edge.degrees, 3) if preview.pads else 0.0,
        snug_hip_mm=_mm(preview.shell.snug_hip),
        cut_hip_mm=_mm(after.cut.hip),
    )


def _add_worn(plain: Report, preview: Preview) -> None:
    """Put what is worn into a report that is being made."""
    shell = preview.shell
    plain["worn_hip_girth_mm"] = _mm(shell.worn_hip)
    for reading in plain["girths"]:
        one_leg = reading["level"] in ("thigh", "knee")
        reading["worn_mm"] = reading["after_mm"] if one_leg else _mm(shell.worn_at(reading["drop_mm"]))
    plain["curve"]["worn_mm"] = _list(shell.worn_girth)
    plain["curve"]["shell_mm"] = _list(shell.girth)
    plain["silhouette"]["front"]["worn"] = _list(preview.tape_worn.outline_from(0.0))
    plain["silhouette"]["side"]["worn"] = _list(preview.tape_worn.outline_from(np.pi / 2))
    pressure, row, angle = shell.pressure
    plain["shell"] = PlainShell(
        given=shell.given,
        hip_mm=_mm(shell.hip),
        recommended_hip_mm=_mm(shell.cut_hip),
        snug_hip_mm=_mm(shell.snug_hip),
        ease_mm=_mm(preview.sheet.cloth.ease),
        squeezes=shell.tight,
        closes=shell.closes,
        squeeze=round(shell.squeeze, 4),
        squeeze_at_hip=round(shell.squeeze_at_hip, 4),
        tension_N_per_m=round(shell.tension, 1),
        pressure_kPa=round(pressure, 3),
        pressure_drop_mm=_mm(preview.body.drops[row]),
        pressure_angle=round(angle, 4),
        foam={
            "firmness_kPa": round(shell.foam.firmness, 3),
            "density_kg_m3": shell.foam.density,
            "from": shell.foam_words,
        },
        cloth_stiffness_N_per_m=None if np.isinf(shell.stiffness) else round(shell.stiffness, 1),
    )


def finding_plain(finding: Finding) -> PlainFinding:
    """One finding as plain values."""
    return PlainFinding(
        check=finding.check,
        severity=finding.severity,
        measured=round(finding.measured, 4),
        limit=round(finding.limit, 4),
        unit=finding.unit,
        message=finding.message,
        advice=finding.advice,
        basis=finding.basis,
        drop_mm=None if finding.drop is None else _mm(finding.drop),
        angle=None if finding.angle is None else round(finding.angle, 4),
        changes=dict(finding.changes),
    )


def solid_plain(solid: Solid) -> PlainSolid:
    """One solid's summary as plain values."""
    return PlainSolid(
        name=solid.name,
        watertight=solid.watertight,
        volume_mm3=round(solid.volume, 1),
        triangles=len(solid.triangles),
    )


def fitting_plain(record: Fitting) -> PlainFitting:
    """A fitting as plain values."""
    return PlainFitting(
        date=record.date.isoformat(),
        level=record.level,
        over=record.over,
        girth_mm=_mm(record.girth),
        predicted_mm=_mm(record.predicted),
        would_explain=None if record.explains is None else dict([record.explains]),
    )


def choice_plain(choice: Choice) -> dict[str, Any]:
    """A choice of foam as plain values."""
    options = {name: getattr(choice, name) for name in ("exact", "below", "above")}
    return {
        "version": VERSION,
        "wanted_mm": _mm(choice.wanted),
        **{name: None if option is None else option_plain(option) for name, option in options.items()},
    }


def natural_plain(natural: Natural) -> dict[str, Any]:
    """The most natural arrangement as plain values: ``best`` with its steps, and the largest hip that stays fine."""
    best = None if natural.best is None else option_plain(natural.best)
    largest = None if natural.largest is None else option_plain(natural.largest)
    fine = best if natural.best is not None and natural.best.verdict == "fine" else largest
    return {
        "version": VERSION,
        "best": best,
        "steps": [
            PlainUndone(
                key=step.key,
                was=step.was,
                now=step.now,
                hip_mm=_mm(step.hip),
                verdict=step.verdict,
                in_the_way=list(step.in_the_way),
            )
            for step in natural.steps
        ],
        "natural": {"best": fine, "stock": fine, "in_the_way": list(natural.in_the_way)},
    }


def option_plain(option: Option) -> PlainOption:
    """One option as plain values."""
    return PlainOption(
        thickness_mm=round(option.foam, 4),
        hip_mm=_mm(option.hip),
        shell_hip_mm=_mm(option.shell_hip),
        cut_hip_mm=_mm(option.shell_hip),
        verdict=option.verdict,
        in_the_way=list(option.in_the_way),
        changes={key: round(value, 4) if isinstance(value, float) else value for key, value in option.changes},
    )


def _mm(value: float) -> float:
    return round(float(value) * 1000.0) / 1000.0  # as the lists round, so that a drop is found again among them


def _list(values: Any) -> Any:
    return np.round(values, 3).tolist()
