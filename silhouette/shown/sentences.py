"""What is said of a preview in words: levels, cautions, verdicts, cloth, advice taken all at once."""

from __future__ import annotations

from typing import Any, Final

from silhouette.asked.declared import LENGTH
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import SIDES, parameter_for
from silhouette.cloth.cut_girths import lining_girths
from silhouette.cloth.worn import SNUG_PULL
from silhouette.judged.finding import Severity, thickness_text
from silhouette.pipeline import Preview

LEVEL_NAMES: Final = {
    "waist": "waist",
    "high_hip": "high hip",
    "hip": "hip",
    "under_seat": "under the seat, both legs",
    "thigh": "thigh, one leg",
    "knee": "knee, one leg",
}

VERDICTS: Final[dict[Severity, str]] = {
    "fine": "FINE: nothing gives the pads away",
    "watch": "WATCH: wearable; look at the points below before cutting foam",
    "obvious": "OBVIOUS: this would show; change the points marked obvious",
}

#: Printed with every preview. Local rules come first; none of this replaces them.
CAUTIONS: Final = (
    "Foam burns fast and smokes: keep it from flames, cigarettes and hot lamps; no treatment makes it safe. "
    "Local rules on flammability and labelling come first.",
    "Foam warms and holds sweat; elastic, glue and rubber can carry latex or accelerators that irritate skin.",
    "A pad is not a hip protector and must not be sold as one.",
    "Over broken skin, after surgery, in pregnancy or with numbness: ask the treating clinician first.",
    "Carve away from the body and the fingers; sand or glue only with good ventilation.",
)


#: Isogai et al. 2022 (abstract seen): 26 ± 19 kPa under the skin of the seat, about as soft as foam.
FLESH: Final = (
    "Flesh gives about as much as foam, so the foam is squeezed less than this; the girth is right to about 1/8 in."
)


def estimated(seen: Preview) -> list[str]:
    """Sheet keys of measurements that were estimated, in the sheet's order."""
    measured = seen.figure.measures.measured
    keys = [f"girths.{n}" for n in ("high_hip", "thigh", "knee")]
    keys += [f"drops.{n}" for n in ("high_hip", "hip", "under_seat", "knee")]
    keys = [key for key in keys if key not in measured]
    for level in ("waist", "hip"):
        if not {f"widths.{level}_breadth", f"widths.{level}_depth"} & measured:
            keys.append(f"widths.{level}_depth")
    return keys


def rule_sentence(seen: Preview, unit: str) -> str:
    """Why the rule of thumb and the tape differ, in one sentence."""
    figure = seen.figure
    if not figure.pads:
        return "There are no pads."
    difference = figure.new_hip_girth - figure.rule_of_thumb
    way = "more" if difference >= 0 else "less"
    pads = "one pad" if len(figure.pads) == 1 else f"each of {len(figure.pads)} pads"
    return (
        f"The tape over loose foam reads {format_length(abs(difference), unit)} {way} than the rule of thumb, "
        f"which counts one thickness for {pads}, while the tape runs round the outside of the "
        "foam: a pad all round would add 2π thicknesses, and bevels, gaps and reach take part of that away."
    )


def pad_notes(seen: Preview, unit: str) -> list[str]:
    """What was done to pads that could not be laid as drafted."""
    return [
        f"The {pad.name} pad narrows by up to {format_length(pad.narrowed, unit)} below the crotch, to keep to the "
        "outer side of the leg."
        for pad in seen.pads
        if pad.narrowed > 0.5
    ]


def together_sentence(changes: dict[str, Any], result: Preview, unit: str) -> str:
    """All advice taken at once, in words: what to change and what the figure then is."""
    parts = []
    for key, value in changes.items():
        parameter = parameter_for(key)
        side = next((f" ({s})" for s in SIDES if f".{s}." in key), "")
        if value is None:
            parts.append(f"{parameter.label}{side} left out")
        elif key.endswith("thickness"):
            parts.append(f"{thickness_text(value, unit)} foam{side}")
        else:
            shown = format_length(value, unit) if parameter.kind == LENGTH else str(value)
            parts.append(f"{parameter.label}{side} {shown}")
    return f"{', '.join(parts)}: {result.verdict}, new hip girth {format_length(result.new_hip_girth, unit)}"


def shell_lines(seen: Preview, unit: str) -> list[str]:
    """What to cut, what is worn and what it costs, a line each."""
    shell, figure = seen.shell, seen.figure
    if not figure.pads:
        return []

    def show(mm: float) -> str:
        return format_length(mm, unit)

    lines = []
    if not shell.given:
        lines += girth_lines(seen, unit)
    elif not shell.tight:
        over = max(shell.hip - figure.new_hip_girth, 0.0)
        lines.append(f"Shell cut to {show(shell.hip)} hangs {show(over)} loose over the pads: worn as padded.")
    elif not shell.closes:
        lines.append(f"Shell cut to {show(shell.hip)} would not close.")
        lines += girth_lines(seen, unit)
    else:
        pressure = shell.pressure[0]
        lines.append(
            f"Worn under a shell cut to {show(shell.hip)}: {show(shell.worn_hip)}. It presses out "
            f"{shell.squeeze_at_hip:.0%} of the foam there, pulls {shell.tension:.0f} N per metre of seam "
            f"and presses {pressure:.1f} kPa at most. {FLESH}"
        )
        lines += girth_lines(seen, unit)
    rule = figure.rule_of_thumb
    if not shell.given and rule < shell.snug_hip:
        lines.append(rule_line(seen, unit))
    lines.append(f"Foam: {shell.foam_words}.")
    return lines


def girth_lines(seen: Preview, unit: str) -> list[str]:
    """The two girths of the shell, and the lining's, at the hip."""
    shell, cloth = seen.shell, seen.sheet.cloth

    def show(mm: float) -> str:
        return format_length(mm, unit)

    lining = lining_girths(seen.figure).hip
    return [
        f"Shell at the hip: close-fitting {show(shell.snug_hip)} (it lies on with a pull of {SNUG_PULL:.0f} N per "
        f"metre of height); cut to {show(shell.cut_hip)}, with {show(cloth.ease)} ease.",
        f"Lining at the hip: cut to {show(lining)}, her own girth with {show(cloth.lining_ease)} ease.",
    ]


def rule_line(seen: Preview, unit: str) -> str:
    """What a shell cut by the rule of thumb would do to the foam at the new hip."""
    figure = seen.figure
    squeeze, pressure = seen.shell.at_hip(max(figure.rule_of_thumb, figure.measures.hip))
    foam = thickness_text(max(pad.foam for pad in figure.pads), unit)
    return (
        f"A shell cut by the rule of thumb ({format_length(figure.rule_of_thumb, unit)}) would press out "
        f"{squeeze:.0%} of the {foam} foam at the hip and press {pressure:.1f} kPa on the body there."
    )
