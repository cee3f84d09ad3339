"""Further pads of a sheet: the tables ``[[more_pads]]``."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any, Final, get_args

from silhouette.asked.faults import Fault
from silhouette.asked.pads import Pads
from silhouette.asked.sheet import PARAMETERS, MorePads, PadSide

MOST: Final = 6  #: further pads on one sheet; this tool's convention
NAME: Final = re.compile(r"[^\W_][\w \-]{0,29}")

ReadTable = Callable[[str, Mapping[str, Any]], Iterator[tuple[str, Any]]]


def read_more_pads(raw: Any, common: Pads, read_table: ReadTable, faults: list[Fault]) -> tuple[MorePads, ...]:
    """The further pads in order; ``read_table`` reads the keys of one table, given its place."""
    if raw is None:
        return ()
    if not isinstance(raw, list) or not all(isinstance(table, Mapping) for table in raw):
        faults.append(Fault("more_pads", "must be tables: write [[more_pads]] and the keys of one pad below, for each"))
        return ()
    if len(raw) > MOST:
        faults.append(Fault("more_pads", f"{len(raw)} further pads; a sheet holds at most {MOST}"))
        return ()
    built: list[MorePads] = []
    plain = replace(common, front_outline=None, back_outline=None, layers=1)  # a further pad has its own
    for number, table in enumerate(raw, 1):
        place = f"more_pads[{number}]"
        name, side = table.get("name"), table.get("side", "both")
        if not isinstance(name, str) or not NAME.fullmatch(name):
            faults.append(Fault(f"{place}.name", "needs a name of its own: letters, digits, spaces, at most 30"))
        elif any(name.lower() == other.name.lower() for other in built):
            faults.append(Fault(f"{place}.name = {name}", "another further pad has this name"))
        if side not in get_args(PadSide):
            faults.append(Fault(f"{place}.side", "must be one of both, left, right"))
            side = "both"
        own = dict(read_table(place, {k: v for k, v in table.items() if k not in ("name", "side")}))
        bevel = {} if "bevel" in own else _narrower(own, plain.bevel)
        built.append(MorePads(str(name), side, replace(plain, **{**own, **bevel}), tuple(sorted(own))))
    return tuple(built)


def _narrower(own: dict[str, Any], bevel: float) -> dict[str, float]:
    """A bevel that is left out is no wider than the pad, nor than half its height."""
    reaches = [own["front_reach"]] if own.get("front_reach") is not None else []
    reaches += [max(d for d, _ in own[o]) for o in ("front_outline", "back_outline") if own.get(o) is not None]
    if own.get("end") is not None and own.get("start") is not None and own["end"] > own["start"]:
        reaches.append((own["end"] - own["start"]) / 2)
    least = min(reaches, default=bevel)
    return {"bevel": math.floor(0.9 * least * 10) / 10} if least < bevel else {}


def narrow_bevel(pads: dict[str, Any], sides: dict[str, dict[str, Any]]) -> None:
    """A bevel that the sheet leaves out is no wider than the narrowest pad it describes."""
    reaches = []
    for own in (pads, *sides.values()):
        reaches += [own["front_reach"]] if own.get("front_reach") is not None else []
        reaches += [max(d for d, _ in own[o]) for o in ("front_outline", "back_outline") if own.get(o) is not None]
    if "bevel" not in pads and reaches and min(reaches) < PARAMETERS["pads.bevel"].default:
        pads["bevel"] = math.floor(0.9 * min(reaches) * 10) / 10  # tenths of a mm, so that it reads back the same
