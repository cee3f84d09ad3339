"""What is said of a preview in words: levels, cautions, verdicts, cloth, advice taken all at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from silhouette.asked.declared import LENGTH
from silhouette.asked.lengths import as_shown, format_length
from silhouette.asked.sheet import SIDES, parameter_for
from silhouette.cloth.cut_girths import lining_girths
from silhouette.cloth.worn import SNUG_PULL
from silhouette.judged.finding import Severity, thickness_text
from silhouette.pipeline import Preview
from silhouette.shape.outline_fit import WITHIN, beside_outline, fit_of
from silhouette.shape.pads import Pad

LEVEL_NAMES: Final = {
    "waist": "waist",
    "high_hip": "high hip",
    "hip": "hip",
    "under_seat": "under the seat, both legs",
    "thigh": "thigh, one leg",
    "knee": "knee, one leg",
}

#: Where the shape may be obvious, what is judged is the making.
STAGE_VERDICTS: Final[dict[Severity, str]] = {
    "fine": "FINE for the stage: it bends, stays in place, hides its edge and lets her sit",
    "watch": "WATCH: it can be worn; look at the points below before cutting foam",
    "obvious": "NOT AS IT IS: change the points marked obvious; how natural it looks was not asked",
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
#: The same in two lines, for the terminal.
SHORT_CAUTIONS: Final = (
    "foam burns fast: keep it from flames and hot lamps, local rules come first; it holds sweat, and glue, elastic or "
    "rubber can irritate skin; no hip protector; ask the clinician over broken skin, after surgery, in pregnancy or "
    "with numbness; carve away from yourself, sand and glue with good ventilation."
)


#: Isogai et al. 2022 (abstract seen): 26 ± 19 kPa under the skin of the seat, about as soft as foam.
FLESH: Final = (
    "Flesh gives about as much as foam, so the foam is squeezed less than this; the girth is right to about 1/8 in."
)


def verdict_sentence(shown_result: Preview) -> str:
    """The verdict in one sentence, as the sheet's aim asks for it."""
    return (STAGE_VERDICTS if shown_result.sheet.aim.look == "stage" else VERDICTS)[shown_result.verdict]


def foam_words(pads: Sequence[Pad], unit: str) -> list[str]:
    """The foam that pads are cut from, each kind once: ``3/4 in``, or ``2 layers of 3/4 in``."""
    kinds = sorted({(pad.built, pad.layers, pad.foam) for pad in pads})
    return [
        thickness_text(foam, unit) if layers == 1 else f"{layers} layers of {thickness_text(foam, unit)}"
        for _, layers, foam in kinds
    ]


def estimated(shown_result: Preview) -> list[str]:
    """Sheet keys of measurements that were estimated, or read off a scan, in the sheet's order."""
    measured = shown_result.figure.measures.measured
    keys = [f"girths.{n}" for n in ("waist", "high_hip", "hip", "thigh", "knee")]
    keys += [f"drops.{n}" for n in ("high_hip", "hip", "under_seat", "knee")]
    keys = [key for key in keys if key not in measured]
    if shown_result.body.scan is not None:
        return keys  # as the scan has them; breadths and depths are hers
    for level in ("waist", "hip"):
        if not {f"widths.{level}_breadth", f"widths.{level}_depth"} & measured:
            keys.append(f"widths.{level}_depth")
    return keys


def mark_note(shown_result: Preview) -> str:
    """What a ~ beside a number means."""
    if shown_result.body.scan is not None:
        return "from the scan; tape it to be sure"
    return "estimated from published proportions; measure it to be sure"


def ground_sentence(shown_result: Preview, unit: str) -> str:
    """What her body rests on, and how well."""
    scan = shown_result.body.scan
    if scan is not None:
        found = f"; {', '.join(scan.found)} found on it" if scan.found else ""
        own = [name for name in ("waist", "hip") if name in scan.taken]
        girths = f" {' and '.join(own).capitalize()} {'are' if len(own) == 2 else 'is'} its own." if own else ""
        return (
            f"Body: the scan {scan.file} in {scan.unit}{found}.{girths} Its taut sections lie {scan.mean:.1f} mm "
            f"from the body on average, {scan.most:.1f} mm at most."
        )
    fit = fit_of(shown_result.body)
    if fit is None:
        return "Body: built from her girths; breadth and depth are those of women alike, right to about 1 cm."
    views = " and ".join(fit.views)
    levels = "one level" if fit.levels == 1 else f"{fit.levels} levels"
    sentence = f"Body: her girths on her outline, traced from the {views} at {levels}, which moved it by up to "
    sentence += format_length(fit.moved, unit, sixteenths=True)
    if fit.worst <= WITHIN:
        sentence += f"; both are met within {max(fit.worst, 0.1):.1f} mm."
    else:
        where = format_length(fit.drop, unit)
        sentence += f". Tape and outline do not agree {where} below the waist: the girth is kept, breadth or depth is "
        sentence += f"{fit.worst:.1f} mm off."
    return f"{sentence} {beside_outline(shown_result.sheet)}".strip()


def rule_sentence(shown_result: Preview, unit: str) -> str:
    """The rule of thumb beside the tape, in one line."""
    figure = shown_result.figure
    if not figure.pads:
        return "There are no pads."
    difference = figure.new_hip_girth - figure.rule_of_thumb
    way = "more" if difference >= 0 else "less"
    over, hip = len(figure.pads_at_hip), figure.rule_of_thumb
    if not over:
        return f"No pad lies over the hip line: by rule of thumb the hip stays {format_length(hip, unit)}."
    pads = (
        "one pad"
        if over == 1
        else f"each of {over} pads"
        if over == len(figure.pads)
        else f"each of {over} at the hip line"
    )
    return (
        f"Rule of thumb {format_length(hip, unit)}, one thickness for {pads}; the tape reads "
        f"{format_length(abs(difference), unit)} {way}: it runs round the outside of the foam."
    )


def pad_notes(shown_result: Preview, unit: str) -> list[str]:
    """What was done to pads that could not be laid as drafted."""
    narrowed: dict[tuple[str, str], list[str]] = {}
    for pad in shown_result.pads:
        if pad.narrowed > 0.5 and pad.layer == 1:
            what = " ".join(word for word in (pad.label, pad.part) if word)
            narrowed.setdefault((what, format_length(pad.narrowed, unit)), []).append(pad.side)
    return [
        (f"Both {what} pads narrow" if len(sides) == 2 else f"The {sides[0]} {what} pad narrows")
        + f" by up to {much} below the crotch, to keep to the outer side of the leg."
        for (what, much), sides in narrowed.items()
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


def shell_lines(shown_result: Preview, unit: str) -> list[str]:
    """What to cut, what is worn and what it costs, a line each."""
    return [*girth_lines(shown_result, unit), *worn_lines(shown_result, unit)] if shown_result.pads else []


def girth_lines(shown_result: Preview, unit: str) -> list[str]:
    """The two girths of the shell at the hip, and the lining's."""
    shell, cloth = shown_result.shell, shown_result.sheet.cloth

    def show(mm: float) -> str:
        return format_length(mm, unit)

    own = f" (the sheet's own: {show(shell.hip)})" if shell.given else ""
    lining = as_shown(lining_girths(shown_result.figure).hip, unit)
    fullest = lining - as_shown(cloth.lining_ease, unit)  # of her own, at another level than the hip line perhaps
    return [
        f"Shell      cut to {show(shell.cut_hip)} at the hip with {show(cloth.ease)} ease{own}; "
        f"close-fitting is {show(shell.snug_hip)}",
        f"Lining     cut to {show(lining)}: her own fullest, {show(fullest)}, with {show(cloth.lining_ease)} ease",
    ]


def worn_lines(shown_result: Preview, unit: str) -> list[str]:
    """What is worn under the shell that the sheet gives, and which foam that is reckoned with."""
    shell, figure = shown_result.shell, shown_result.figure
    lines = []

    def show(mm: float) -> str:
        return format_length(mm, unit)

    if shell.given and not shell.tight:
        over = max(shell.hip - figure.new_hip_girth, 0.0)
        lines.append(f"Shell cut to {show(shell.hip)} hangs {show(over)} loose over the pads: worn as padded.")
    elif shell.given and not shell.closes:
        lines.append(f"Shell cut to {show(shell.hip)} would not close.")
    elif shell.given:
        lines.append(
            f"Worn under a shell cut to {show(shell.hip)}: {show(shell.worn_hip)}. It presses out "
            f"{shell.squeeze_at_hip:.0%} of the foam there, pulls {shell.tension:.0f} N per metre of seam "
            f"and presses {shell.pressure[0]:.1f} kPa at most. {FLESH}"
        )
    elif figure.rule_of_thumb < shell.snug_hip:
        lines.append(rule_line(shown_result, unit))
    close = f"close-fitting is a pull of {SNUG_PULL:.0f} N per metre of height"
    lines.append(f"Foam: {shell.foam_words}; {close}.")
    return lines


def rule_line(shown_result: Preview, unit: str) -> str:
    """What a shell cut by the rule of thumb would do to the foam at the new hip."""
    figure = shown_result.figure
    squeeze, pressure = shown_result.shell.at_hip(max(figure.rule_of_thumb, figure.measures.hip))
    foam = thickness_text(max(pad.foam for pad in figure.pads), unit)
    return (
        f"A shell cut by the rule of thumb ({format_length(figure.rule_of_thumb, unit)}) would press out "
        f"{squeeze:.0%} of the {foam} foam at the hip and press {pressure:.1f} kPa on the body there."
    )
