"""The shell and what is worn under it, as numbers for scripts and as sentences for people."""

from __future__ import annotations

from typing import Any

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.judged.finding import thickness_text
from silhouette.pipeline import Preview


def worn_at(seen: Preview, drop: float) -> float:
    """Tape reading over the shell, pressed to it, at any drop, mm."""
    return float(np.interp(drop, seen.body.drops, seen.shell.worn_girth))


def is_worn(seen: Preview) -> bool:
    """Whether the sheet has a shell that squeezes its pads: body, padded and worn are three shapes then."""
    return seen.shell.given and seen.shell.tight


def add_worn(plain: dict[str, Any], seen: Preview) -> dict[str, Any]:
    """Put what is worn beside the contract's keys of a report: new keys only, none of the old ones changed."""
    shell = seen.shell
    plain["worn_hip_girth_mm"] = _mm(shell.worn_hip)
    for reading in plain["girths"]:
        one_leg = reading["level"] in ("thigh", "knee")
        reading["worn_mm"] = reading["after_mm"] if one_leg else _mm(worn_at(seen, reading["drop_mm"]))
    plain["curve"]["worn_mm"] = _list(shell.worn_girth)
    plain["curve"]["shell_mm"] = _list(shell.girth)
    for view, angle in (("front", 0.0), ("side", np.pi / 2)):
        plain["silhouette"][view]["worn"] = _list(seen.tape_worn.seen(angle))
    pressure, row, angle = shell.pressure
    plain["shell"] = {
        "given": shell.given,
        "hip_mm": _mm(shell.hip),
        "recommended_hip_mm": _mm(shell.cut_hip),
        "snug_hip_mm": _mm(shell.snug_hip),
        "ease_mm": _mm(seen.sheet.cloth.ease),
        "squeezes": shell.tight,
        "closes": shell.closes,
        "squeeze": round(shell.squeeze, 4),
        "squeeze_at_hip": round(shell.squeeze_at_hip, 4),
        "tension_N_per_m": round(shell.tension, 1),
        "pressure_kPa": round(pressure, 3),
        "pressure_drop_mm": _mm(seen.body.drops[row]),
        "pressure_angle": round(angle, 4),
        "foam": {
            "firmness_kPa": round(shell.foam.firmness, 3),
            "density_kg_m3": shell.foam.density,
            "from": shell.foam_words,
        },
        "cloth_stiffness_N_per_m": None if np.isinf(shell.stiffness) else round(shell.stiffness, 1),
    }
    return plain


def shell_lines(seen: Preview, unit: str) -> list[str]:
    """What to cut, what is worn and what it costs, a line each."""
    shell, figure = seen.shell, seen.figure
    if not figure.pads:
        return []

    def show(mm: float) -> str:
        return format_length(mm, unit)

    lines = []
    ease, squeeze = seen.sheet.cloth.ease, seen.sheet.cloth.squeeze
    recipe = f"presses out {squeeze:g} % of the foam, plus {show(ease)} ease"
    if not shell.given:
        lines.append(f"Cut the shell to {show(shell.cut_hip)} at the hip ({recipe}); the lining stays at body girth.")
        lines.append("No shell girth given: judged with the foam loose.")
    elif not shell.tight:
        over = shell.hip - figure.new_hip_girth
        lines.append(
            f"Shell cut to {show(shell.hip)} hangs {show(max(over, 0.0))} loose over the pads: worn as padded."
        )
    elif not shell.closes:
        lines.append(f"Shell cut to {show(shell.hip)} would not close; recommended {show(shell.cut_hip)} ({recipe}).")
    else:
        pressure = shell.pressure[0]
        lines.append(
            f"Worn under a shell cut to {show(shell.hip)}: {show(shell.worn_hip)}. It presses out "
            f"{shell.squeeze_at_hip:.0%} of the foam there, pulls {shell.tension:.0f} N per metre of seam "
            f"and presses {pressure:.1f} kPa at most."
        )
        lines.append(f"Recommended instead: {show(shell.cut_hip)} ({recipe}).")
    rule = figure.rule_of_thumb
    if not shell.given and rule < figure.new_hip_girth:
        lines.append(rule_line(seen, unit))
    lines.append(f"Foam: {shell.foam_words}.")
    return lines


def rule_line(seen: Preview, unit: str) -> str:
    """What a shell cut by the rule of thumb would do to the foam at the new hip."""
    figure = seen.figure
    squeeze, pressure = seen.shell.at_hip(max(figure.rule_of_thumb, figure.measures.hip))
    foam = thickness_text(max(pad.foam for pad in figure.pads), unit)
    return (
        f"A shell cut by the rule of thumb ({format_length(figure.rule_of_thumb, unit)}) would press out "
        f"{squeeze:.0%} of the {foam} foam at the hip and press {pressure:.1f} kPa on the body there."
    )


def _mm(value: float) -> float:
    return round(float(value), 3)


def _list(values: Any) -> Any:
    return np.round(values, 3).tolist()
