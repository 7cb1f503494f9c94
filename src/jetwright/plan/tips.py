"""Which tips of the box fill a task's tool best: the most jet power first, each judged in full, the refused counted."""

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from jetwright.errors import JetwrightError, NotServedError, Problem, RigError
from jetwright.limits.limit import EDGE, WORST_LAST, Limit, Verdict, worst
from jetwright.limits.rules import RuleSet
from jetwright.parts.rotor import OffsetJets, torque
from jetwright.plan.assess import Assessed, assess
from jetwright.plan.basis import Basis
from jetwright.plan.cures import cures_for, topic_of
from jetwright.plan.setting import Machine, target_of
from jetwright.plan.task import tool_states
from jetwright.plan.tip_order import (
    BEYOND,
    Better,
    Border,
    Box,
    LeftOut,
    Offer,
    Places,
    Tips,
    Ways,
    Window,
    Wish,
    box_of,
    window_of,
)
from jetwright.rig.check import CheckedRig, check
from jetwright.rig.description import Job, Port, Tip
from jetwright.solve.fill import combinations
from jetwright.solve.steady import reach
from jetwright.water.state import vapour_pressure

PATIENCE = 800
"""States of triggers that are judged, of all ways together, before a search is broken off."""
FEWEST = 40
"""Ways that are judged in any case."""
GUESSES = 64
"""Steps of area in which it is guessed where ways may be allowed, where a search was broken off."""
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
STARVED, PULL, TORQUE = "starved", "pull", "torque"
"""Stand for a limit's id: the water boils at the pump's inlet; the wish for pull or torque is not met."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to fill a tool, at the task's target: tips by name, place by place, and the port rows they make.

    Pressures [Pa], pump speed [rev/s], flow through the tool's jets [m³/s], speed [m/s] and power [W] of the jets,
    push along and across [N], torque about the axis [N m]; limits: those that are not within. as_now: these are the
    tips that the job file has in the tool.
    """

    tips: Tips
    ports: tuple[Port, ...]
    pump_pressure: float
    pump_speed: float | None
    nozzle: float
    flow: float
    jet_speed: float
    jet_power: float
    recoil: float
    recoil_side: float
    torque: float
    verdict: Verdict
    limits: tuple[Limit, ...]
    as_now: bool = False


@dataclass(frozen=True, slots=True)
class Refusal:
    """How many ways a limit refused, and the limit as it was for the first of them; None: no limit of the rules."""

    id: str
    ways: int
    limit: Limit | None = None


@dataclass(frozen=True, slots=True)
class Edge:
    """Where ways begin to be refused whatever tips make them up: the limits, and the jets' flow [m³/s] and nozzle
    pressure [Pa] there; None: beyond what is served."""

    ids: tuple[str, ...]
    flow: float | None
    nozzle: float | None


@dataclass(frozen=True, slots=True)
class Instead:
    """A change under which a wish is met and nothing refused, judged in full: "area" of each tip, or "target".

    by: times as much of it [-]; target: its value then [Pa or m³/s]; tips: those it is about, place by place.
    """

    what: Literal["area", "target"]
    by: float
    target: float
    tips: Tips


@dataclass(frozen=True, slots=True)
class Nothing:
    """Why no way is allowed: the nearest one, what refuses it and what would cure that, and what else would do.

    way: None where the tips do not even fill the tool, or nothing balances; always: limits that refuse whatever tips
    are taken; bore [m]: rounded tips of that bore in every place would not be refused; pull [N] and torque [N m]: the
    most of what was wished that was found and is not refused; instead: what else than asking for less would do.
    """

    way: Way | None = None
    refusals: tuple[Refusal, ...] = ()
    limits: tuple[Limit, ...] = ()
    cut: bool = False
    always: tuple[str, ...] = ()
    bore: float | None = None
    pull: float | None = None
    torque: float | None = None
    instead: tuple[Instead, ...] = ()


@dataclass(frozen=True, slots=True)
class TipChoice:
    """The best ways to fill the tool of a task.

    target: kind, value [Pa or m³/s], its branch; better: which areas give more jet power; ways: all there are within
    what is owned; refused: by which limits the ways better than the best were, and `between` how many more were before
    the last one listed; small, large, cap: beyond these areas, and above this push along the axis of a tool in the
    hand [N], all are refused and none was judged (None: nothing was left out); proven: every better way was judged or
    is refused for certain; also_in: other tasks whose tool this is.
    """

    name: str
    tool: str
    branch: int
    branches: tuple[int, ...]
    target: tuple[str, float, int]
    wish: Wish
    better: Better
    places: tuple[Places, ...]
    offers: tuple[Offer, ...]
    left_out: tuple[LeftOut, ...]
    ways: int = 0
    judged: int = 0
    best: tuple[Way, ...] = ()
    refused: tuple[Refusal, ...] = ()
    between: int = 0
    small: Edge | None = None
    large: Edge | None = None
    cap: float | None = None
    proven: bool = True
    nothing: Nothing | None = None
    also_in: tuple[str, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """Of the best way; "not_allowed" where there is none. [-]"""
        return self.best[0].verdict if self.best else "not_allowed"


@dataclass(frozen=True, slots=True)
class TipsPlan:
    """The tips of a job's tasks, and what they were judged by."""

    title: str
    rules: RuleSet
    tasks: tuple[TipChoice, ...]
    basis: Basis


def tips_for_job(
    job: Job,
    basis: Basis,
    wish: Wish,
    *,
    task: str | None = None,
    branch: int | None = None,
    on_task: Callable[[str], None] | None = None,
) -> TipsPlan:
    """The best tips for each task of a job, or for the one named. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    basis : Basis
        What is judged by. [-]
    wish : Wish
        How many ways, and what is asked besides the limits. [-]
    task : str | None
        Name of the only task wanted. [-]
    branch : int | None
        Whose tool is filled, from 1; the target's when not given. [-]
    on_task : Callable | None
        Told each task's name before its tips are looked for. [-]

    Raises
    ------
    RigError
        When no task has that name or no such branch, or when no port of the tool can do what is wished.

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> tips_for_job(JOB, basis_for(JOB), Wish()).tasks[0].best[0].tips
    (('R12',),)

    References
    ----------
    docs/commands.md.
    """
    chosen = [index for index, described in enumerate(job.task) if task is None or described.name == task]
    if not chosen:
        facts: dict[str, object] = {"table": "task", "known": [described.name for described in job.task]}
        raise RigError([Problem(("task",), "unknown_name", task or "", facts)])
    problems = [problem for index in chosen for problem in _unfillable(job, index, wish, branch)]
    if problems:
        raise RigError(problems)
    found = []
    for index in chosen:
        if on_task is not None:
            on_task(job.task[index].name)
        found.append(choose_tips(job, index, basis, wish, branch))
    return TipsPlan(job.title, basis.rules, tuple(found), basis)


def _unfillable(job: Job, index: int, wish: Wish, branch: int | None) -> list[Problem]:
    """What a task's tool cannot do, whatever tips are in it."""
    count = max(1, len(job.task[index].branches))
    if branch is not None and branch > count:
        return [Problem(("task", index, "branches"), "no_such_branch", facts={"count": count})]
    box = box_of(job, index, branch)
    key = ("tools", box.tool, "ports")
    found = []
    if wish.least_pull is not None and not any(places.share < 0.0 for places in box.places):
        found.append(Problem(key, "nothing_points_back"))
    if wish.least_torque is not None and not any(places.lever != 0.0 for places in box.places):
        found.append(Problem(key, "nothing_turns"))
    return found


def choose_tips(job: Job, index: int, basis: Basis, wish: Wish, branch: int | None = None) -> TipChoice:
    """The best tips for the tool of a task. [-]

    Ways to fill the tool come in order of the jet power at the target, every limit is judged in full for each, and
    those that are not refused are kept until there are as many as wished. So each way better than the first was refused
    by a limit that is named, or lies beyond an edge at which one refuses whatever tips are taken.

    Parameters
    ----------
    job : Job
        As described. [-]
    index : int
        Which task, from 0. [-]
    basis : Basis
        What is judged by. [-]
    wish : Wish
        How many ways, and what is asked besides the limits. [-]
    branch : int | None
        Whose tool is filled, from 1; the target's when not given. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> more = dict(JOB.tips) | {"R10": Tip(1.0e-3, "rounded"), "R30": Tip(3.0e-3, "rounded")}
    >>> choice = choose_tips(replace(JOB, tips=more), 0, basis_for(JOB), Wish())
    >>> [way.tips for way in choice.best], choice.refused[0].id
    ([(('R12',),), (('R10',),)], 'pump.speed')

    References
    ----------
    docs/commands.md.
    """
    box, name = box_of(job, index, branch), job.task[index].name
    rig = check(job, index)
    ways = Ways(box, basis, wish)
    choice = TipChoice(
        name=name,
        tool=box.tool,
        branch=box.number,
        branches=tuple(at for at, one in enumerate(rig.branches, start=1) if one.tool_name == box.tool),
        target=target_of(rig),
        wish=wish,
        better=ways.better,
        places=box.places,
        offers=box.offers,
        left_out=box.left_out,
        also_in=tuple(
            other.name
            for at, other in enumerate(job.task)
            if at != index and box.tool in (other.tool, *(one.tool for one in other.branches))
        ),
    )
    if not box.offers:
        return replace(choice, nothing=Nothing())
    count = combinations(box.ports(box.span))
    if count <= FEWEST:
        window = Window(*box.span)
        ways = replace(ways, every=True)
    else:
        window = window_of(box, basis)
        ways = replace(ways, box=box.at_most(window.high))
    known: Known = {}
    found = _search(ways, window, _patience(rig), known)
    if not found.proven and not found.best:
        left = _further(ways, window)
        if left is not None:
            found.best = _search(ways, left, _patience(rig), known).best
    ways = replace(ways, box=box)
    if not found.judged and ways.first_found(box.span, largest=False) is None:
        return replace(choice, nothing=Nothing())
    choice = replace(
        choice,
        ways=count,
        judged=found.judged,
        best=found.best,
        refused=found.refusals(found.before),
        between=found.between,
        small=_edge(box, window.small, 1),
        large=_edge(box, window.large, -1),
        cap=ways.cap,
        proven=found.proven,
    )
    return choice if found.best else replace(choice, nothing=_nothing(ways, window, found, known))


# ---- the search ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Judged:
    """A way as it was judged; way: None where it cannot be set at all.

    refused: by id, the limit where there is one; short: by what share a wish is missed.
    """

    job: Job
    way: Way | None
    assessed: Assessed | None
    refused: dict[str, Limit | None]
    short: float = 0.0

    @property
    def overrun(self) -> tuple[int, float]:
        """How far from being allowed: by how many limits, and by what share of its bound the worst. [-, -]"""
        shares = [self.short]
        for name, limit in self.refused.items():
            if name not in (PULL, TORQUE):
                shares.append(math.inf if limit is None or limit.margin is None else -limit.margin)
        return len(self.refused), max(shares)


Known = dict[Tips, _Judged]
"""What the limits say to the ways that were judged so far."""


@dataclass(slots=True)
class _Found:
    """What a search has found: the best ways, and what was refused before the first and after it."""

    best: tuple[Way, ...] = ()
    judged: int = 0
    before: Counter[str] = field(default_factory=Counter)
    between: int = 0
    proven: bool = True
    limits: dict[str, Limit | None] = field(default_factory=dict)
    nearest: _Judged | None = None

    def refusals(self, counted: Counter[str]) -> tuple[Refusal, ...]:
        return tuple(Refusal(one, count, self.limits.get(one)) for one, count in counted.most_common())

    def refuse(self, judged: _Judged, *, first: bool) -> None:
        for name, limit in judged.refused.items():
            self.limits.setdefault(name, limit)
        if first:
            self.before.update(list(judged.refused))
        else:
            self.between += 1
        if self.nearest is None or judged.overrun < self.nearest.overrun:
            self.nearest = judged


def _patience(rig: CheckedRig) -> int:
    """How many ways are judged before a search is broken off."""
    states = 1 << sum(branch.tool.release != "none" for branch in rig.branches)
    return max(FEWEST, PATIENCE // states)


def _search(ways: Ways, window: Window, patience: int, known: Known) -> _Found:
    """The ways that are not refused, best first, as many as are wished."""
    found, kept, most = _Found(), list[tuple[float, Way]](), ways.wish.most
    if window.always or window.low > window.high or not ways.box.offers:
        return found
    for filling in ways.best_first(window.low, window.high):
        if len(kept) >= most:
            break
        if found.judged >= patience:
            found.proven = False
            break
        found.judged += 1
        judged = _judge(ways, ways.box.tips(filling), known)
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


def _further(ways: Ways, window: Window) -> Window | None:
    """What is left of the areas from where tips of one size would be allowed; None where they nowhere are.

    Where a search was broken off among ways that are all refused, it is worth looking from there on; what lies between
    is not judged, and so nothing found there is proven.
    """
    low, high = window.low, window.high
    grid = sorted({round(low * (high / low) ** (step / GUESSES)) for step in range(GUESSES + 1)})
    for area in sorted(grid, key=ways.worth, reverse=True):
        if not _wished(ways.wish, _by_limits(ways, ways.box.of_area(area), ())).refused:
            peak = {"largest": high, "smallest": low}.get(ways.better) or ways.peak(low, high)
            return replace(window, high=area) if area <= peak else replace(window, low=area)
    return None


def _judge(ways: Ways, tips: Tips, known: Known) -> _Judged:
    """Some tips in the tool, judged by every limit, once, and by what is wished."""
    if tips not in known:
        known[tips] = _by_limits(ways, ways.box.filled(tips), tips)
    return _wished(ways.wish, known[tips])


def _by_limits(ways: Ways, job: Job, tips: Tips, *, full: bool = False) -> _Judged:
    """A job judged by every limit; one that is refused at the middle is judged at its cautious end only in full."""
    box = ways.box
    try:
        rig = check(job, box.index)
        assessed = assess(rig, box.index, ways.basis, rough=True)
        if full or not assessed.refused:
            assessed = assess(rig, box.index, ways.basis, steps=False)
    except JetwrightError:
        return _Judged(job, None, None, {BEYOND: None})
    refused: dict[str, Limit | None] = {}
    for limit in assessed.limits:
        if limit.verdict == "not_allowed":
            refused.setdefault(limit.id, limit)
    machine = assessed.machine
    if machine is None:
        return _Judged(job, None, assessed, refused)
    if _starved(rig, machine):
        refused[STARVED] = None
    return _Judged(job, _way(box, rig, machine, assessed.limits, tips), assessed, refused)


def _wished(wish: Wish, judged: _Judged) -> _Judged:
    """A way that the limits have judged, with what it lacks of a wish."""
    way = judged.way
    if way is None:
        return judged
    refused, short = dict(judged.refused), 0.0
    for name, wished, had in (
        (PULL, wish.least_pull, -way.recoil),
        (TORQUE, wish.least_torque, abs(way.torque)),
    ):
        if wished is not None and had < wished * (1.0 - EDGE):
            refused[name] = None
            short = max(short, 1.0 - had / wished)
    return replace(judged, refused=refused, short=short)


def _starved(rig: CheckedRig, machine: Machine) -> bool:
    """Whether the supply hose leaves less than the water needs not to boil."""
    water = rig.water
    return rig.supply_hose is not None and machine.inlet + water.ambient <= vapour_pressure(water.temperature)


def _way(box: Box, rig: CheckedRig, machine: Machine, limits: tuple[Limit, ...], tips: Tips) -> Way:
    tool = tool_states(rig, machine.state)[box.number - 1]
    ports, density = rig.job.tools[box.tool].ports, rig.water.reference_density
    turning = tuple(
        OffsetJets(jet.count, density * jet.flow, jet.speed, port.radius, port.skew)
        for jet, port in zip(tool.jets, ports, strict=True)
    )
    return Way(
        tips=tips,
        ports=ports,
        pump_pressure=machine.state.pump_pressure,
        pump_speed=machine.speed,
        nozzle=tool.nozzle,
        flow=tool.flow,
        jet_speed=tool.jets[0].speed,
        jet_power=tool.jet_power,
        recoil=tool.recoil,
        recoil_side=tool.recoil_side,
        torque=torque(turning, 0.0),
        verdict=worst(limits),
        limits=tuple(limit for limit in limits if limit.verdict != "within"),
        as_now=_pieces(ports) == _pieces(box.job.tools[box.tool].ports),
    )


def _pieces(ports: tuple[Port, ...]) -> Counter[tuple[str, float, float, float]]:
    """How many of each tip point which way."""
    found = Counter[tuple[str, float, float, float]]()
    for port in ports:
        found[port.tip, port.angle, port.radius, port.skew] += port.count
    return found


def _edge(box: Box, border: Border | None, inward: int) -> Edge | None:
    """What the last area that is not refused means at the tool."""
    if border is None:
        return None
    rig = check(box.of_area(border.area + inward), box.index)
    try:
        line = reach(rig, *target_of(rig)).lines[box.number - 1]
    except NotServedError:
        return Edge(border.ids, None, None)
    return Edge(border.ids, line.jets / rig.water.reference_density, line.nozzle)


# ---- where nothing is allowed ----------------------------------------------------------------------------------------


def _nothing(ways: Ways, window: Window, found: _Found, known: Known) -> Nothing:
    """What refuses the nearest way, and what would do."""
    if ways.every:
        window = window_of(ways.box, ways.basis)
    nearest = _nearest(ways, window, found, known)
    if nearest is None:
        return Nothing()
    tips = () if nearest.way is None else nearest.way.tips
    nearest = _wished(ways.wish, _by_limits(ways, nearest.job, tips, full=True))
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
            by = lacks**power * (spare if power > 0.0 else 1.0 / spare)
            changed = _scaled(box, way.tips, by) if what == "area" else _raised(box, way.tips, kind, by * value)
            if not _wished(wish, _by_limits(ways, changed, way.tips)).refused:
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


def _nearest(ways: Ways, window: Window, found: _Found, known: Known) -> _Judged | None:
    """Of what was judged, the ways nearest to the edges and the tips as they are, the one that is refused least."""
    box = ways.box
    least, most = box.span
    tried = [] if found.nearest is None else [found.nearest]
    sought = [((window.high + 1, most), False), ((least, window.low - 1), True), ((least, most), True)]
    for area, largest in sought[: 3 if found.nearest is None else 2]:
        filling = ways.first_found(area, largest=largest) if area[0] <= area[1] else None
        if filling is not None:
            tried.append(_judge(ways, box.tips(filling), known))
    carried = Counter(port.tip for port in box.job.tools[box.tool].ports for _jet in range(port.count))
    pieces = {offer.name: offer.pieces for offer in box.offers}
    if all(count <= pieces.get(name, 0) for name, count in carried.items()):
        tried.append(_judge(ways, _as_now(box), known))
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
        return not _wished(ways.wish, _by_limits(ways, job, ())).refused

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
        less = replace(ways, wish=replace(ways.wish, most=1, **{wish: middle}))
        way = next(iter(_search(less, window, FEWEST, known).best), None)
        if way is None:
            high = middle
        else:
            best = way
            low = max(middle, min(had(way), high))
    nothing: dict[str, Any] = {wish: None}
    wished = replace(ways.wish, **nothing)
    met = [judged.way for judged in known.values() if not _wished(wished, judged).refused]
    return max([way for way in met if way is not None], key=had, default=best)
