"""Between which areas of all jets a way to fill a tool may be allowed at all, whatever tips make it up."""

from collections.abc import Callable
from dataclasses import dataclass

from jetwright.errors import JetwrightError
from jetwright.plan.assess import TOPICS, assess
from jetwright.plan.basis import Basis
from jetwright.plan.judging import recoil
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.tip_box import Box
from jetwright.plan.tip_budget import SETTING, Budget, few_states, judging_work
from jetwright.rig.check import check

GRID = 17
"""Areas at which it is asked which limits refuse, whatever tips make them up."""
BY_AREA = ("bypass", "pump", "engine", "rating", "relief", "gauge", "release", "heat", "object")
"""Topics whose limits follow from the sum of the jets' area alone, whatever tips make it up."""
WITHOUT_PUSH = tuple(topic for topic in TOPICS if topic is not recoil)
"""What is judged to find those limits."""
BEYOND = "beyond"
"""Stands for a limit's id where a rig with some tips cannot be solved at all."""
MILLION, COARSE = 10**6, 2001
"""Borders of a rig of many states are found to one part in five hundred."""


@dataclass(frozen=True, slots=True)
class Border:
    """An area of all jets at and beyond which every way is refused, and ids of the limits that do. [1e-6 mm²]"""

    area: int
    ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Window:
    """Areas of all jets that may be allowed, with what refuses what is smaller and larger. [1e-6 mm²]

    always: ids of limits that refuse whatever tips are taken.
    """

    low: int
    high: int
    small: Border | None = None
    large: Border | None = None
    always: tuple[str, ...] = ()


def window_of(box: Box, basis: Basis, budget: Budget | None = None, *, rough: bool = False) -> Window:
    """The areas of all jets between which a way may be allowed: beyond them a limit refuses whatever makes them up. [-]

    Each limit that refuses at one end and not at the other cuts where it begins to, looked for from that end inward,
    and so on from the new end; a limit that refuses at both ends cuts nothing, unless it says the very same everywhere.
    Where a setting cannot be had, what would happen there is not solved.

    Parameters
    ----------
    box : Box
        The tool and its tips. [-]
    basis : Basis
        What is judged by. [-]
    budget : Budget | None
        What it takes is taken from it; of a rig of many states the borders are found more coarsely. [-]
    rough : bool
        Ask only whether the setting can be had, which is quick. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.description import Tip
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.plan.tip_box import box_of
    >>> tips = {"R12": Tip(1.2e-3, "rounded"), "R40": Tip(4.0e-3, "rounded")}
    >>> window = window_of(box_of(replace(JOB, tips=tips), 0), basis_for(JOB))
    >>> f"up to {window.high / 1e6:.1f} mm2", window.large.ids
    ('up to 2.6 mm2', ('engine.power',))

    References
    ----------
    Bisection; limits that follow from the sum of the jets' area alone are monotone in it.
    """
    seen: dict[int, _Seen] = {}
    fine, purse = 1 if few_states(check(box.job, box.index)) else COARSE, budget or Budget()

    def refused(area: int) -> _Seen:
        if area not in seen:
            seen[area] = _refused(box, basis, area, purse, rough=rough)
        return seen[area]

    def border(inward: list[int], keys: set[Id]) -> tuple[int, int]:
        """From an end inward: the last area at which one of the limits still refuses, and one where none does."""
        free = next(at for at, area in enumerate(inward) if not keys & refused(area).said.keys())
        near, far = inward[free - 1], inward[free]
        while abs(far - near) > max(1, (fine - 1) * near // MILLION):
            middle = (near + far) // 2
            near, far = (middle, far) if keys & refused(middle).said.keys() else (near, middle)
        return near, far

    least, most = box.span
    grid = sorted({round(least * (most / least) ** (step / (GRID - 1))) for step in range(GRID)} | {least, most})
    ends: list[tuple[int, Border | None]] = []
    for start, end, inward in ((least, most, grid), (most, least, grid[::-1])):
        at, found = start, None
        while keys := refused(at).said.keys() - refused(end).said.keys():
            left = [area for area in inward if (area > at if end > start else area < at)]
            near, at = border([at, *left], keys)
            found = Border(near, tuple(dict.fromkeys(key[0] for key in refused(near).said if key in keys)))
        ends.append((at, found))
    (_low, below), (_high, above) = ends
    return Window(  # a whole area is off by half a unit for each jet: what lies so near a border is judged
        least if below is None else max(least, below.area - box.jets),
        most if above is None else min(most, above.area + box.jets),
        below,
        above,
        _always(refused, [*grid, max(1, least // 2), max(1, least // 4)]),  # also where a box holds one size alone
    )


Id = tuple[str, str]
"""Of a limit, and what it is about."""


@dataclass(frozen=True, slots=True)
class _Seen:
    """What refuses at an area, each with its value and bound; set: the setting can be had, and all else was solved."""

    said: dict[Id, tuple[float | None, float | None]]
    set: bool


def _refused(box: Box, basis: Basis, area: int, budget: Budget, *, rough: bool) -> _Seen:
    try:
        rig = check(box.of_area(area), box.index)
        limits = machine_for(rig, *target_of(rig)).limits
        budget.work -= SETTING
        had = not any(limit.verdict == "not_allowed" for limit in limits)
        if had and not rough:
            limits = assess(rig, box.index, basis, rough=True, topics=WITHOUT_PUSH).limits
            budget.work -= judging_work(rig, push=False)
    except JetwrightError:
        return _Seen({(BEYOND, ""): (None, None)}, False)
    said = {
        (one.id, one.about): (one.value, one.bound)
        for one in limits
        if one.verdict == "not_allowed" and one.id.split(".")[0] in BY_AREA
    }
    return _Seen(said, had)


def _always(refused: Callable[[int], _Seen], areas: list[int]) -> tuple[str, ...]:
    """Ids of limits that say the very same everywhere, so that they refuse whatever tips are taken."""
    first = next((area for area in areas if refused(area).set), areas[0])
    kept = {
        key: said
        for key, said in refused(first).said.items()
        if all(refused(area).said.get(key) == said for area in areas if refused(area).set == refused(first).set)
    }
    return tuple(dict.fromkeys(one for one, _about in kept))
