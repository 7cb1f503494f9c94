"""The search for the best ways that are not refused, judged one after the other, the refused counted."""

import math
from collections import Counter
from dataclasses import dataclass, field, replace

from jetwright.limits.limit import WORST_LAST, Limit
from jetwright.plan.tip_answer import Refusal, Way
from jetwright.plan.tip_box import Tips
from jetwright.plan.tip_judging import Judged, Known, by_limits, judge, wished
from jetwright.plan.tip_order import Ways
from jetwright.plan.tip_window import Window

GUESSES = 64
"""Steps of area in which it is guessed where ways may be allowed, where a search was broken off."""


@dataclass(slots=True)
class Found:
    """What a search has found: the best ways, and what was refused before the first and after it."""

    best: tuple[Way, ...] = ()
    judged: int = 0
    before: Counter[str] = field(default_factory=Counter)
    between: int = 0
    proven: bool = True
    limits: dict[str, Limit | None] = field(default_factory=dict)
    nearest: Judged | None = None

    def refusals(self, counted: Counter[str]) -> tuple[Refusal, ...]:
        return tuple(Refusal(one, count, self.limits.get(one)) for one, count in counted.most_common())

    def refuse(self, judged: Judged, *, first: bool) -> None:
        for name, limit in judged.refused.items():
            self.limits.setdefault(name, limit)
        if first:
            self.before.update(list(judged.refused))
        else:
            self.between += 1
        if self.nearest is None or judged.overrun < self.nearest.overrun:
            self.nearest = judged


def search(ways: Ways, window: Window, known: Known, *, first: bool = True) -> Found:
    """The ways that are not refused, best first, as many as are wished. [-]

    Parameters
    ----------
    ways : Ways
        The tool, its tips, what is judged by and what is left of the budget. [-]
    window : Window
        Areas of all jets between which it is looked. [-]
    known : dict
        What was judged before. [-]
    first : bool
        Judge one way even where the budget is spent. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_box import box_of
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.rig.example import JOB
    >>> ways = Ways(box_of(JOB, 0), basis_for(JOB), Wish())
    >>> [way.tips for way in search(ways, Window(*ways.box.span), {}).best]
    [(('R12',),)]

    References
    ----------
    docs/commands.md.
    """
    found, kept, most = Found(), list[tuple[float, Way]](), ways.wish.most
    if window.always or window.low > window.high or not ways.box.offers:
        return found
    for filling in ways.best_first(window.low, window.high):
        if len(kept) >= most:
            break
        if ways.budget.work <= 0.0 and not (first and found.judged == 0):
            found.proven = False
            break
        found.judged += 1
        judged = judge(ways, ways.box.tips(filling), known)
        if judged.refused or judged.way is None:
            found.refuse(judged, first=not kept)
        else:
            kept.append((ways.worth(filling.area), judged.way))
    found.proven &= ways.proven
    kept.sort(key=lambda one: (-one[0], *_rank(one[1], pulls=ways.box.pulls)))
    found.best = tuple(way for _worth, way in kept)
    return found


def _rank(way: Way, *, pulls: bool) -> tuple[float, int, Tips]:
    """Of ways with the same jet power the smaller push, or the larger pull, stands first, then the better verdict."""
    push = way.recoil if pulls else math.hypot(way.recoil, way.recoil_side)
    return round(push, 6), WORST_LAST.index(way.verdict), way.tips


def further(ways: Ways, window: Window) -> Window | None:
    """What is left of the areas from where tips of one size would be allowed; None where they nowhere are. [-]

    Where a search was broken off among ways that are all refused, it is worth looking from there on; what lies between
    is not judged, and so nothing found there is proven.

    Parameters
    ----------
    ways : Ways
        The tool, its tips, what is judged by and what is left of the budget. [-]
    window : Window
        Areas of all jets between which it is looked. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_box import box_of
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.rig.example import JOB
    >>> ways = Ways(box_of(JOB, 0), basis_for(JOB), Wish())
    >>> further(ways, Window(*ways.box.span)) == Window(*ways.box.span)
    True

    References
    ----------
    Our own convention.
    """
    low, high = window.low, window.high
    grid = sorted({round(low * (high / low) ** (step / GUESSES)) for step in range(GUESSES + 1)})
    for area in sorted(grid, key=ways.worth, reverse=True):
        if ways.budget.work <= 0.0:
            return None
        if not wished(ways.wish, by_limits(ways, ways.box.of_area(area), ())).refused:
            peak = {"largest": high, "smallest": low}.get(ways.better) or ways.peak(low, high)
            return replace(window, high=area) if area <= peak else replace(window, low=area)
    return None
