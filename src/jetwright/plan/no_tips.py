"""Why no tips of a box are allowed in a tool: the nearest way, what refuses it, and what else would do."""

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Literal

from jetwright.limits.limit import Limit
from jetwright.plan.cures import cures_for, topic_of
from jetwright.plan.setting import target_of
from jetwright.plan.tip_answer import Instead, Nothing, Refusal, Way
from jetwright.plan.tip_box import Box, Tips
from jetwright.plan.tip_judging import Judged, Known, by_limits, judge, wished
from jetwright.plan.tip_order import Ways
from jetwright.plan.tip_search import Found, search
from jetwright.plan.tip_window import Window, window_of
from jetwright.rig.check import check
from jetwright.rig.description import Job, Tip

SPARED = (1.006, 1.03, 1.1, 1.3, 2.0)
"""Changes that are to meet a wish are tried by so many times as much as would just do: more than is lost in print."""
SIZED = "\n"
"""Before the name of a tip that is not in the box, but one in it made larger or smaller."""
SHARES = 8
"""Halvings of a wish that cannot be had, to find what can."""
BORE_STEP = 1e-5
"""A bore that would do is said in steps of this. [m]"""
LEAST_BORE = 20
"""Least bore that is thought of, in those steps."""
BORE_RATIO = 1.08
"""Bores are tried this far apart, before the border is looked for."""


def nothing_of(ways: Ways, window: Window, found: Found, known: Known) -> Nothing:
    """What refuses the nearest way, and what would do. [-]

    Parameters
    ----------
    ways : Ways
        The tool, its tips, what is judged by and what is left of the budget. [-]
    window : Window
        Areas of all jets between which it is looked. [-]
    found : Found
        What the search has found. [-]
    known : dict
        What was judged. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_box import box_of
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.rig.example import JOB
    >>> ways = Ways(box_of(JOB, 0), basis_for(JOB), Wish())
    >>> ways.wish = Wish(least_pull=50.0)
    >>> [refusal.id for refusal in nothing_of(ways, Window(*ways.box.span), Found(), {}).refusals]
    ['pull']

    References
    ----------
    docs/commands.md.
    """
    if ways.every:
        window = window_of(ways.box, ways.basis, ways.budget)
    nearest = _nearest(ways, window, found, known)
    if nearest is None:
        return Nothing()
    tips = () if nearest.way is None else nearest.way.tips
    if not nearest.full:
        nearest = by_limits(ways, nearest.job, tips, full=True)
    nearest = wished(ways.wish, nearest)
    refusals = tuple(Refusal(name, 1, limit) for name, limit in nearest.refused.items())
    limits: tuple[Limit, ...] = ()
    cut = False
    pull = _most_had(ways, window, "least_pull", _pull, known)
    torque = _most_had(ways, window, "least_torque", _torque, known)
    if nearest.assessed is not None and nearest.assessed.refused:
        cures, cut = cures_for(nearest.job, ways.box.index, ways.basis, nearest.assessed)
        limits = tuple(
            replace(one, cures=cures[topic_of(one.id)])
            for one in nearest.assessed.limits
            if one.verdict == "not_allowed"
        )
    return Nothing(
        way=nearest.way,
        refusals=refusals,
        limits=limits,
        cut=cut,
        always=window.always,
        bore=None if window.always else _bore(ways),
        pull=None if pull is None else _pull(pull),
        torque=None if torque is None else _torque(torque),
        instead=_instead(ways, pull or torque),
    )


def _pull(way: Way) -> float:
    return -way.recoil


def _torque(way: Way) -> float:
    return abs(way.torque)


def _instead(ways: Ways, way: Way | None) -> tuple[Instead, ...]:
    """Larger tips, smaller tips and a higher target, each where it lets a way meet the wish and nothing refuses it.

    A jet's force goes as its area at a fixed pressure and against it at a fixed flow.
    """
    if way is None:
        return ()
    wish, box = ways.wish, ways.box
    pairs = ((wish.least_pull, _pull(way)), (wish.least_torque, _torque(way)))
    lacks = max((wished / had for wished, had in pairs if wished is not None and had > 0.0), default=1.0)
    if lacks <= 1.0:
        return ()
    kind, value, _at = target_of(check(box.job, box.index))
    tried: list[tuple[Literal["area", "target"], float]] = [("area", 1.0), ("area", -1.0)]
    tried.append(("target", 0.5 if kind == "flow" else 1.0))
    found = []
    for what, power in tried:
        for spare in SPARED:
            if ways.budget.work <= 0.0:
                break
            by = lacks**power * (spare if power > 0.0 else 1.0 / spare)
            changed = _scaled(box, way.tips, by) if what == "area" else _raised(box, way.tips, kind, by * value)
            if not wished(wish, by_limits(ways, changed, way.tips)).refused:
                found.append(Instead(what, by, by * value if what == "target" else value, way.tips))
                break
    return tuple(found)


def _scaled(box: Box, tips: Tips, by: float) -> Job:
    """The job with tips in the tool of so many times the area each."""
    sized = {}
    for name in {name for chosen in tips for name in chosen}:
        tip = box.job.tips[name]
        rated = None if tip.rated is None else replace(tip.rated, flow=by * tip.rated.flow)
        bore = None if tip.bore is None else math.sqrt(by) * tip.bore
        sized[SIZED + name] = replace(tip, bore=bore, rated=rated)
    job = box.filled(tuple(tuple(SIZED + name for name in chosen) for chosen in tips))
    return replace(job, tips=dict(job.tips) | sized)


def _raised(box: Box, tips: Tips, kind: str, value: float) -> Job:
    """The job with tips in the tool and another target."""
    job = box.filled(tips)
    target: dict[str, Any] = {kind: value}
    tasks = list(job.task)
    tasks[box.index] = replace(tasks[box.index], target=replace(tasks[box.index].target, **target))
    return replace(job, task=tuple(tasks))


def _nearest(ways: Ways, window: Window, found: Found, known: Known) -> Judged | None:
    """Of what was judged, the ways nearest to the edges and the tips as they are, the one that is refused least."""
    box = ways.box
    least, most = box.span
    tried = [] if found.nearest is None else [found.nearest]
    sought = [((window.high + 1, most), False), ((least, window.low - 1), True), ((least, most), True)]
    for area, largest in sought[: 3 if found.nearest is None else 2]:
        if tried and ways.budget.work <= 0.0:
            break
        filling = ways.first_found(area, largest=largest) if area[0] <= area[1] else None
        if filling is not None:
            tried.append(judge(ways, box.tips(filling), known))
    carried = Counter(port.tip for port in box.job.tools[box.tool].ports for _jet in range(port.count))
    pieces = {offer.name: offer.pieces for offer in box.offers}
    fits = all(count <= pieces.get(name, 0) for name, count in carried.items())
    if fits and (not tried or ways.budget.work > 0.0):
        tried.append(judge(ways, _as_now(box), known))
    return min(tried, key=lambda judged: judged.overrun, default=None)


def _as_now(box: Box) -> Tips:
    """The tips that the tool has, place by place."""
    found: dict[tuple[float, float, float, int], list[str]] = {}
    for port in box.job.tools[box.tool].ports:
        jets, count = (port.count, 1) if port.count % 2 else (2, port.count // 2)
        found.setdefault((port.angle, port.radius, port.skew, jets), []).extend([port.tip] * count)
    return tuple(tuple(names) for names in found.values())


def _bore(ways: Ways) -> float | None:
    """Bore of rounded tips that would do in every place: of those that do, the nearest to what is owned. [m]"""
    box = ways.box

    def allowed(steps: int) -> bool:
        job = box.alike(Tip(bore=steps * BORE_STEP, inlet="rounded"))
        return ways.budget.work > 0.0 and not wished(ways.wish, by_limits(ways, job, ())).refused

    widest = math.floor(box.job.tools[box.tool].bore / BORE_STEP)
    owned = math.sqrt(sum(offer.area for offer in box.offers) / len(box.offers) / (0.25 * math.pi * 0.9)) / BORE_STEP
    count = math.ceil(math.log(widest / LEAST_BORE) / math.log(BORE_RATIO)) if widest > LEAST_BORE else 0
    tried = sorted({min(widest, round(LEAST_BORE * BORE_RATIO**step)) for step in range(count + 1)})
    near = next((one for one in sorted(tried, key=lambda one: abs(math.log(one / owned))) if allowed(one)), None)
    if near is None:
        return None
    at = tried.index(near)
    beyond = at + 1 if near < owned else at - 1
    if not 0 <= beyond < len(tried):
        return near * BORE_STEP
    far = tried[beyond]
    while abs(far - near) > 1:
        middle = (near + far) // 2
        near, far = (middle, far) if allowed(middle) else (near, middle)
    return near * BORE_STEP


def _most_had(ways: Ways, window: Window, wish: str, had: Callable[[Way], float], known: Known) -> Way | None:
    """Of the ways that are not refused the one with the most of what is wished; None where it was not wished for."""
    asked = getattr(ways.wish, wish)
    if asked is None or window.always:
        return None
    best, low, high = None, 0.0, asked
    for _halving in range(SHARES):
        middle = 0.5 * (low + high)
        wanted = replace(ways.wish, most=1, **{wish: middle})
        less = replace(ways, budget=ways.budget.part(1.0 / SHARES), wish=wanted)
        way = next(iter(search(less, window, known, first=False).best), None)
        if way is None:
            high = middle
        else:
            best = way
            low = max(middle, min(had(way), high))
    nothing: dict[str, Any] = {wish: None}
    others = replace(ways.wish, **nothing)
    met = [judged.way for judged in known.values() if not wished(others, judged).refused]
    return max([way for way in met if way is not None], key=had, default=best)
