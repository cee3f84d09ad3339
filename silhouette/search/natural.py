"""The arrangement in foam as sold that looks most natural: foam, edge and every place free, the look binding."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from silhouette.asked.faults import Fault, SheetError
from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import Sheet
from silhouette.search.arrangement import STEPS, Arrangement
from silhouette.search.cuttable import NEAR, cuttable
from silhouette.search.steps import merit, walk
from silhouette.search.thickness import Option, hip_for
from silhouette.search.trials import Place, Trials

MOST_TRIALS: Final = 150
KEPT: Final = 30  #: trials kept for rounding and for what each change is for
FAR: Final = 8.0  #: mm; foam that misses the hip by this much with one edge will not reach it with another
LEAST_SHARE: Final = 0.5  #: of what the pads add as they lie, that other places can bring it to, and the most
MOST_SHARE: Final = 1.35
WORTH_A_WALK: Final = 0.5  #: changes by which a walk must be able to come nearer to the sheet
THIN: Final = 9.0  #: mm; thinner foam gives the largest hip on no figure, unless the sheet has it
THICKEST_TRIED: Final = 26.0  #: mm; thicker foam than the trade trusts is never natural (common practice, no source)


@dataclass(frozen=True)
class Undone:
    """What one change of an arrangement is for: what comes of it when that one alone is left as it was."""

    key: str
    was: Any
    now: Any
    hip: float
    verdict: str
    in_the_way: tuple[str, ...]


@dataclass(frozen=True)
class Natural:
    """``best`` reaches the wanted hip most naturally, or is the largest hip that stays fine where none is wanted.

    ``largest`` is the largest hip that stays fine, worked out where ``best`` is not fine or none was wanted; else it
    is ``best``. None where nothing stays fine. ``in_the_way`` names the checks that hold it back. ``steps`` say what
    each change of ``best`` is for.
    """

    wanted: float | None
    best: Option | None
    largest: Option | None
    in_the_way: tuple[str, ...]
    steps: tuple[Undone, ...]
    tried: int

    @property
    def reached(self) -> bool:
        """Whether ``best`` gives the hip that was wanted."""
        return self.best is not None and (self.wanted is None or abs(self.best.hip - self.wanted) <= NEAR)


def most_natural(sheet: Sheet, wanted: float | None = None, progress: Callable[[int], None] | None = None) -> Natural:
    """The arrangement that gives ``wanted`` mm at the new hip and looks most natural; without it, the largest natural.

    Foam as sold, shape and width of the edge, start, end, reach, gap and fullness are free within what fits the
    body; of arrangements as natural the one nearest to the sheet's own choices is taken. The answer was previewed
    as it stands. ``progress`` is called with the number of trials done. Raises ``SheetError`` where there are no
    pads, or where the wanted hip is not above the body's.
    """
    trials = Trials(sheet, progress)
    figure = trials.free.figure
    own = float(figure.before.girth[figure.hip_zone].max())
    if wanted is not None and wanted <= own:
        message = f"not above the body, whose hip reads {format_length(own, sheet.unit)}: pads cannot take away"
        raise SheetError([Fault(f"wanted hip = {format_length(wanted, sheet.unit)}", message)])
    search = _Search(trials)
    best = search.reach(wanted)
    fine = best is not None and best[0].verdict == "fine"
    largest = best if fine or wanted is None else search.reach(None)
    way = holding_back(trials, largest[1]) if largest is not None else trials.least_bad
    steps = () if best is None else undone(trials, best[1])
    return Natural(wanted, best and best[0], largest and largest[0], way, steps, trials.count)


class _Search:
    """Walks with one foam and edge after another; what was learned on one walk serves the next."""

    def __init__(self, trials: Trials) -> None:
        self.trials, self.free = trials, trials.free
        self.known: list[Place] = []

    def reach(self, wanted: float | None) -> tuple[Option, Arrangement] | None:
        """The best arrangement for a wanted hip, or for the largest, as it can be cut; None where nothing is fine and
        none was wanted, or where no pads can be made."""
        places: list[Place] = []
        if wanted is None:
            self._climb(places)
        else:
            for foam in self._near(wanted):
                self._walk(foam, self.free.profiles[0], wanted, places)
        for profile in self.free.profiles if wanted is None else self.free.profiles[1:]:
            for foam in dict.fromkeys(place.one.foam for place in places[: 1 if wanted is None else 2]):
                if (foam, profile) not in {(place.one.foam, place.one.profile) for place in places}:
                    self._walk(foam, profile, wanted, places)
        if places and places[0].borrowed:  # its lines were carried over from others: take them anew
            self._walk(places[0].one.foam, places[0].one.profile, wanted, places, fresh=True)
        for place in places[:3]:
            built = cuttable(self.trials, place, wanted)
            if built is not None and (built[0].verdict == "fine" or wanted is not None):
                return built
        return None

    def _near(self, wanted: float) -> list[float]:
        """Foam to try for a wanted hip: the sheets nearest to the one that gives it with the pads as they lie, as far
        as other places can make up the rest."""
        hips, bare = hip_for(self.free.figure), self.free.figure.body_girth_at_new_hip
        added = {foam: max(hips(foam) - bare, 1e-6) for foam in self._sheets}
        share = {foam: (wanted - bare) / added[foam] for foam in added}
        order = sorted(added, key=lambda foam: abs(np.log(max(share[foam], 1e-3))) * (1.5 if share[foam] > 1 else 1.0))
        return [order[0], *(foam for foam in order[1:3] if LEAST_SHARE < share[foam] < MOST_SHARE)]

    @property
    def _sheets(self) -> list[float]:
        return [foam for foam in self.free.sheets if foam <= max(THICKEST_TRIED, self.free.sheet.pads.thickness)]

    def _climb(self, places: list[Place]) -> None:
        """For the largest hip: every sheet of foam of some thickness, from where the one before did best; where places
        are known already, from the best of them to the next thicker and thinner alone."""
        sheets, own, profile = self._sheets, self.free.sheet.pads.thickness, self.free.profiles[0]
        ahead = [foam for foam in sheets if foam >= min(THIN, own)]
        if self.known:
            best = min(self.known, key=lambda place: self._worth(place, None)).one
            at, profile = sheets.index(best.foam), best.profile
            ahead = [best.foam, *sheets[at + 1 : at + 2], *sheets[max(at - 1, 0) : at]]
        for foam in ahead:
            self._walk(foam, profile, None, places, fresh=True)

    def _hopeless(self, foam: float, profile: str, wanted: float | None, places: list[Place]) -> bool:
        """Whether nothing much nearer to what she wanted can come of it, or that foam missed the hip by far."""
        if wanted is None or not places:
            return False
        if self._worth(places[0], wanted) < self.free.fixed_cost(foam, profile) + WORTH_A_WALK:
            return True
        missed = [abs(float(place.found[0]) - wanted) for place in places if place.one.foam == foam]
        return bool(missed) and min(missed) > FAR

    def _walk(
        self, foam: float, profile: str, wanted: float | None, places: list[Place], *, fresh: bool = False
    ) -> None:
        """Walk with one foam and profile and keep the places in order.

        Foam that is new starts from the sheet's own places with lines of its own; else place and lines are borrowed
        from the place most alike, of which the best. ``fresh`` takes the lines anew all the same.
        """
        if self.trials.count > MOST_TRIALS - KEPT or (not fresh and self._hopeless(foam, profile, wanted, places)):
            return

        def unlike(place: Place) -> tuple[float, float]:
            return abs(place.one.foam - foam) + 3.0 * (place.one.profile != profile), self._worth(place, wanted)

        alike = min(self.known, key=unlike, default=None)
        start, slopes = np.zeros(len(self.free.names)), None
        if alike is not None and (wanted is None or alike.one.foam == foam):
            start, slopes = np.array(alike.one.steps), None if fresh else alike.slopes
        borrowed = slopes is not None
        walked = walk(self.trials.at(foam, profile), start, wanted, self.trials.ground, slopes)
        if walked is None:
            return
        steps, found, slopes = walked
        one = Arrangement(foam, profile, tuple(np.round(steps, 6).tolist()))
        places.append(Place(one, found, slopes, borrowed))
        self.known.append(places[-1])
        places.sort(key=lambda place: self._worth(place, wanted))

    def _worth(self, place: Place, wanted: float | None) -> float:
        fixed = self.free.fixed_cost(place.one.foam, place.one.profile)
        return merit(np.array(place.one.steps), place.found, wanted) + fixed


def undone(trials: Trials, one: Arrangement) -> tuple[Undone, ...]:
    """Every change left undone by itself."""
    free, pads = trials.free, trials.free.sheet.pads
    alone: list[tuple[str, Any, Any, Arrangement]] = []
    if one.foam != pads.thickness:
        alone.append(("thickness", pads.thickness, one.foam, replace(one, foam=pads.thickness)))
    if one.profile != pads.profile:
        alone.append(("profile", pads.profile, one.profile, replace(one, profile=pads.profile)))
    for i, (name, own, step) in enumerate(zip(free.names, free.own.tolist(), one.steps, strict=True)):
        if step:
            other = replace(one, steps=(*one.steps[:i], 0.0, *one.steps[i + 1 :]))
            alone.append((name, own, own + step * STEPS[name], other))
    built = []
    for name, was, now, other in alone:
        found = trials.trial(other)
        if found is None:
            built.append(Undone(f"pads.{name}", was, now, float(free.figure.measures.hip), "cannot be made", ()))
            continue
        bad = trials.past(found)
        verdict = "fine" if not bad else "watch" if found[1:].max() <= 1 else "obvious"
        built.append(Undone(f"pads.{name}", was, now, float(found[0]), verdict, bad))
    return tuple(built)


def holding_back(trials: Trials, one: Arrangement) -> tuple[str, ...]:
    """Which checks speak up first when the foam gets a little thicker."""
    found = trials.trial(replace(one, foam=one.foam + 1.5))
    return () if found is None else trials.past(found, -0.05)
