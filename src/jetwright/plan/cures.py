"""What would cure a refused task: each change is planned again in full, and no limit refuses the task then."""

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from jetwright.errors import JetwrightError
from jetwright.limits.limit import Cure, Limit
from jetwright.plan.assess import Assessed, assess
from jetwright.plan.basis import Basis
from jetwright.plan.judging.recoil import held_by
from jetwright.plan.setting import highest_opening, machine_for, target_of
from jetwright.rig.check import CheckedRig, check
from jetwright.rig.description import Dump, Gauge, Job, Task, Tool

USUAL_BORES = (4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3, 13e-3, 16e-3, 19e-3, 20e-3, 25e-3, 32e-3, 38e-3, 50e-3)
"""Hose bores in use, smallest first (common practice). [m]"""
TIP_STEP = 0.05e-3
"""Tips are made in steps of about this bore. [m]"""
STEPS_ON = 3
"""Steps of a tip that are tried: several tips, each rounded, no longer stand as they stood to each other."""
TARGET_STEP = 5e5
"""A lower target is said in steps of this. [Pa]"""
SUCTION_BORES = (25e-3, 32e-3, 38e-3, 50e-3, 63e-3, 75e-3, 100e-3, 125e-3, 150e-3)
"""Bores of lines to a pump, smallest first (common practice). [m]"""
BOOSTS = (1e5, 2e5, 3e5, 4e5, 5e5)
"""What boosters feed a pump with (common practice). [Pa]"""
FLOW_STEP = 5e-3 / 60.0
"""A relief's flow is asked for in steps of this. [m³/s]"""
BORDER, RELIEF_ROOM = 0.005, 0.01
"""Margins below which a change stands at the border, of what refused and of the relief: nothing is set so finely."""
RATING_STEP = 50e5
"""A rating is asked for in steps of this. [Pa]"""
TOGETHER = 4
"""Most changes that are proposed together."""
ENOUGH = 6
"""Cures after which no more are looked for."""
PATIENCE = 2500.0
"""Work of one search, in units of one to two milliseconds of plain Python: what is found by then is what is said."""

REFUSES = "not_allowed"

Refused = frozenset[tuple[str, str]]
Proposal = tuple[Cure, Job]


@dataclass(frozen=True, slots=True)
class _Trial:
    """A changed job, its verdict, what it then shows, and whether it stands at the very border of what refuses."""

    refused: Refused
    shown: dict[str, float]
    tight: bool


@dataclass(slots=True)
class Search:
    """Looks for changes of one task; each job is judged in full. [-]

    Parameters
    ----------
    index : int
        Which task, from 0. [-]
    basis : Basis
        What it is judged by. [-]
    start : Assessed
        The task as it was refused. [-]
    spent : float
        Work so far, of `PATIENCE`; beyond it the search is cut. [-]

    References
    ----------
    Our own search: the nearest change of each kind; changes are joined while something else refuses.
    """

    index: int
    basis: Basis
    start: Assessed
    spent: float = 0.0

    @property
    def cut(self) -> bool:
        """Whether changes were left untried. [-]"""
        return self.spent > PATIENCE

    @property
    def spills(self) -> bool:
        """Whether the bypass cannot get rid of what the pump gives at its lowest speed. [-]"""
        return self.start.machine is not None and self.start.machine.too_much

    def tried(self, job: Job, most: Refused | None = None) -> _Trial | None:
        """A changed job judged in full; None when it is not physical, not served or refused more than `most`. [-]"""
        try:
            if self.cut:
                return None
            rig = check(job, self.index)
            light_work, full_work = _work(rig)
            self.spent += light_work
            light = {(one.id, one.about) for one in machine_for(rig, *target_of(rig)).limits if one.verdict == REFUSES}
            if most is not None and not light <= most:
                return None
            self.spent += full_work
            if self.cut:
                return None
            if most is not None and not assess(rig, self.index, self.basis, rough=True).refused <= most:
                return None
            assessed = assess(rig, self.index, self.basis, steps=False, left=False)
        except JetwrightError:
            return None
        machine = assessed.machine
        if machine is None or machine.speed is None:
            return None
        line = machine.state.lines[target_of(rig)[2] - 1]
        shown = {
            "pump_speed": machine.speed,
            "pump_pressure": machine.state.pump_pressure,
            "nozzle": line.nozzle,
            "flow": line.jets / rig.water.reference_density,
        }
        if machine.engine.load is not None:
            shown["engine_load"] = machine.engine.load
        return _Trial(assessed.refused, shown, any(map(self._tight, assessed.limits)))

    def _tight(self, limit: Limit) -> bool:
        """Whether a limit that refused, or the relief, has next to no room left. [-]"""
        if limit.margin is None or limit.verdict == REFUSES:
            return False
        if limit.id in ("relief.set", "relief.reseat"):
            return 0.0 <= limit.margin < RELIEF_ROOM
        return (limit.id, limit.about) in self.start.refused and 0.0 <= limit.margin < BORDER

    def clear(self, found: Proposal, further: Proposal | None, frees: Callable[[Job], bool]) -> Proposal:
        """What was found, or one step further where it would stand at the very border. [-]"""
        if further is None:
            return found
        trial = self.tried(found[1])
        return further if trial is not None and trial.tight and frees(further[1]) else found

    def cures(self, job: Job) -> dict[str, tuple[Cure, ...]]:
        """By topic of the refused limits ("recoil", "rating", ...), what cures the task. [-]"""
        found: dict[str, tuple[Cure, ...]] = {}
        for topic in dict.fromkeys(_topic(identity) for identity, _ in sorted(self.start.refused)):
            missing = ENOUGH - sum(map(len, found.values()))
            found[topic] = tuple(itertools.islice(self._complete(job, self.start.refused, topic), max(0, missing)))
        every = tuple({(cure.kind, cure.key): cure for cures in found.values() for cure in cures}.values())
        return {topic: cures or every for topic, cures in found.items()}  # each cure frees the whole task

    def _complete(self, job: Job, refused: Refused, topic: str) -> Iterator[Cure]:
        """Each change that frees a topic, joined with what the other topics then still need."""
        for cure, changed in self._proposals(job, refused, topic):
            trial = self.tried(changed)
            also = cure.also
            while trial is not None and trial.refused and len(also) < TOGETHER - 1 + len(cure.also):
                rest = trial.refused
                found = next(self._proposals(changed, rest, _topic(min(rest)[0])), None)
                if found is None:
                    break
                if any((one.kind, one.key) == (found[0].kind, found[0].key) for one in (cure, *also)):
                    break  # the same thing changed twice: another topic proposes it whole
                also, changed = (*also, replace(found[0], also=()), *found[0].also), found[1]
                trial = self.tried(changed)
            if trial is not None and not trial.refused:
                yield replace(cure, result=trial.shown, also=also)

    def _proposals(self, job: Job, refused: Refused, topic: str) -> Iterator[Proposal]:
        """Changes after which a topic refuses nothing, and nothing else refuses that did not before."""

        most = frozenset(one for one in refused if _topic(one[0]) != topic)

        def frees(changed: Job) -> bool:
            trial = self.tried(changed, most)
            return trial is not None and trial.refused <= most

        for propose in PROPOSALS.get(topic, ()):
            found = propose(job, self.index, self, refused, frees)
            if found is not None and frees(found[1]):
                yield found


def _topic(identity: str) -> str:
    first = identity.split(".")[0]
    if identity in ("relief.test_age", "relief.full_flow"):
        return identity
    if identity in ("pump.rod_load", "pump.rod_load_relief"):
        return "rating"
    if identity in ("relief.set", "relief.clear", "relief.reseat"):
        return "relief"
    return "setting" if first in ("bypass", "pump", "engine") else first


def _work(rig: CheckedRig) -> tuple[float, float]:
    """About what a setting and a whole judgement of a rig cost, in milliseconds: pieces times what is solved."""
    pieces = len(rig.main) + sum(len(branch.items) for branch in rig.branches)
    states = 2.0 ** sum(branch.tool.release != "none" for branch in rig.branches)
    size = 1.0 + pieces / 4.0
    return 0.1 * size, size * (3.0 + 0.6 * states * len(rig.branches))


def cures_for(job: Job, index: int, basis: Basis, refused: Assessed) -> tuple[dict[str, tuple[Cure, ...]], bool]:
    """By topic of a refused task, the nearest changes that make it not refused; and whether some were not tried. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    index : int
        Which task, from 0. [-]
    basis : Basis
        What it is judged by. [-]
    refused : Assessed
        The task, judged. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> weak = replace(JOB.unit.pump, top_speed=2.5)
    >>> job = replace(JOB, unit=replace(JOB.unit, pump=weak))
    >>> basis = basis_for(job)
    >>> cures, cut = cures_for(job, 0, basis, assess(check(job), 0, basis))
    >>> sorted({cure.kind for cure in cures["setting"]})
    ['speed', 'target', 'tip']

    References
    ----------
    Our own search.
    """
    search = Search(index, basis, refused)
    return search.cures(job), search.cut


def topic_of(identity: str) -> str:
    """The topic whose cures belong to a limit. [-]

    Parameters
    ----------
    identity : str
        The limit's id. [-]

    Examples
    --------
    >>> topic_of("pump.speed"), topic_of("recoil.hand")
    ('setting', 'recoil')

    References
    ----------
    Our own convention.
    """
    return _topic(identity)


# ---- proposals: each takes the job, the task's place, the search, what is refused and the test; a change or None ----

Frees = Callable[[Job], bool]


def _tip(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    tools = _tools(job, index)
    names = {port.tip for tool in tools for port in tool.ports}
    spills = search.spills
    low, high = (1.0, 4.0) if spills else (0.05, 1.0)
    if spills:
        widest = [tool.bore / bore for tool in tools for port in tool.ports if (bore := job.tips[port.tip].bore)]
        high = min([high, *widest])
    far = _first_serving(lambda factor: frees(_scaled_tips(job, names, factor)), low, high, upward=spills)
    if far is None:
        return None
    factor = _border(lambda factor: frees(_scaled_tips(job, names, factor)), 1.0, far)
    onward = 1 if spills else -1
    stepped = [_stepped(job, names, factor, onward * further, spills=spills) for further in range(STEPS_ON)]
    for one, further in itertools.pairwise([*stepped, None]):
        if one is not None and frees(one[1]):
            return search.clear(one, further, frees)
    return None


def _stepped(job: Job, names: set[str], factor: float, further: int, *, spills: bool) -> Proposal | None:
    """Every tip scaled, each to a bore that is made, some steps further; of a rated one its share of its bore."""

    def onto(steps: float) -> int:
        return math.ceil(-1e-6 + steps) if spills else math.floor(1e-6 + steps)

    tips, cures = dict(job.tips), []
    rated = sorted(name for name in names if tips[name].rated is not None)
    for name in sorted(names - set(rated)):
        bore = tips[name].bore
        assert bore is not None
        wanted = TIP_STEP * (onto(factor * bore / TIP_STEP) + further)
        if wanted <= 0.0:
            return None
        tips[name] = replace(tips[name], bore=wanted)
        cures.append(Cure("tip", f"tips.{name}.bore", "length", bore, wanted))
    changed = replace(job, tips=tips)
    if rated:
        percent = (onto(factor * 100.0) + further) / 100.0
        keys = ", ".join(f"tips.{name}" for name in rated)
        cures.append(Cure("tips", keys, "percent", 1.0, percent))
        changed = _scaled_tips(changed, set(rated), percent)
    return replace(cures[0], also=tuple(cures[1:])), changed


def _scaled_tips(job: Job, names: set[str], factor: float) -> Job:
    tips = dict(job.tips)
    for name in names:
        tip = tips[name]
        if tip.rated is not None:
            tips[name] = replace(tip, rated=replace(tip.rated, flow=tip.rated.flow * factor * factor))
        else:
            assert tip.bore is not None
            tips[name] = replace(tip, bore=tip.bore * factor)
    return replace(job, tips=tips)


def _first_serving(serves: Callable[[float], bool], low: float, high: float, *, upward: bool) -> float | None:
    steps = [low + (high - low) * share / 16.0 for share in range(17)]
    for factor in steps if upward else reversed(steps):
        if factor != 1.0 and serves(factor):
            return factor
    return None


def _border(serves: Callable[[float], bool], near: float, far: float) -> float:
    """Between `far`, which serves, and `near`, which does not, the border by bisection."""
    for _step in range(9):
        middle = 0.5 * (near + far)
        if serves(middle):
            far = middle
        else:
            near = middle
    return far


def _hose(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    hoses = [name for name in _run(job.task[index]) if name in job.hoses]
    if not hoses or search.spills:
        return None
    narrowest = min(job.hoses[name].bore for name in hoses)
    names = [name for name in dict.fromkeys(hoses) if job.hoses[name].bore == narrowest]
    for bore in USUAL_BORES:
        if bore <= narrowest * 1.001:
            continue
        stock = dict(job.hoses)
        for name in names:
            tails = stock[name].tails
            scaled = None if tails is None else replace(tails, bore=tails.bore * bore / narrowest)
            stock[name] = replace(stock[name], bore=bore, tails=scaled)
        changed = replace(job, hoses=stock)
        if frees(changed):
            keys = ", ".join(f"hoses.{name}.bore" for name in names)
            return Cure("hose", keys, "length", narrowest, bore), changed
    return None


def _bypass(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    described, machine = job.unit.bypass, search.start.machine
    if described.full_open_area is None or machine is None or machine.area <= described.full_open_area:
        return None
    needed = 1e-6 * math.ceil(-1e-9 + machine.area * 1e6)
    changed = replace(job, unit=replace(job.unit, bypass=replace(described, full_open_area=needed)))
    return Cure("bypass", "unit.bypass.full_open_area", "area", described.full_open_area, needed), changed


def _speed(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    machine, pump = search.start.machine, job.unit.pump
    if machine is None or machine.speed is None or machine.speed <= pump.top_speed:
        return None
    needed = math.ceil(-1e-9 + machine.speed * 60.0) / 60.0
    changed = replace(job, unit=replace(job.unit, pump=replace(pump, top_speed=needed)))
    return Cure("speed", "unit.pump.top_speed", "speed", pump.top_speed, needed), changed


def _target(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    if search.spills:
        return None
    target = job.task[index].target
    kind = next(name for name in ("nozzle_pressure", "pump_pressure", "flow") if getattr(target, name) is not None)
    value: float = getattr(target, kind)
    step = TARGET_STEP if kind != "flow" else 1e-3 / 60.0

    def changed(asked: float) -> Job:
        lower: dict[str, Any] = {kind: asked}
        return _with_task(job, index, replace(job.task[index], target=replace(target, **lower)))

    far = next((value * share / 16.0 for share in range(15, 0, -1) if frees(changed(value * share / 16.0))), None)
    if far is None:
        return None
    asked = step * math.floor(1e-9 + _border(lambda asked: frees(changed(asked)), value, far) / step)
    quantity = "flow" if kind == "flow" else "pressure"
    found, further = (
        (Cure("target", f"task.target.{kind}", quantity, value, one), changed(one)) if one > 0.0 else None
        for one in (asked, asked - step)
    )
    return None if found is None else search.clear(found, further, frees)


def _support(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    names = [name for name, tool in _in_hand(job, index).items() if tool.support != "body rest"]
    if not names:
        return None
    changed = _with_tools(job, {name: replace(job.tools[name], support="body rest") for name in names})
    keys = ", ".join(f"tools.{name}.support" for name in names)
    return Cure("support", keys, "", "none", "body rest"), changed


def _holder(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    names = list(_in_hand(job, index))
    if not names:
        return None
    held = {name: replace(job.tools[name], held_by="carrier", holder="lance carrier") for name in names}
    keys = ", ".join(f"tools.{name}.held_by" for name in names)
    return Cure("holder", keys, "", "hand", "carrier"), _with_tools(job, held)


def _release(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    names = {
        name: tool
        for name, tool in zip(_tool_names(job.task[index]), _tools(job, index), strict=True)
        if tool.release == "dry shut-off" or (tool.release == "none" and held_by(tool) == "hand")
    }
    if not names:
        return None
    dumps = {
        name: replace(tool, release="dump", dump=tool.dump or Dump(bore=tool.bore)) for name, tool in names.items()
    }
    keys = ", ".join(f"tools.{name}.release" for name in names)
    return Cure("release", keys, "", next(iter(names.values())).release, "dump"), _with_tools(job, dumps)


def _regulating(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    if job.unit.bypass.kind != "hand-set":
        return None
    bypass = replace(job.unit.bypass, kind="regulating", full_open_area=None, turns=None)
    changed = replace(job, unit=replace(job.unit, bypass=bypass))
    return Cure("bypass_kind", "unit.bypass.kind", "", "hand-set", "regulating"), changed


def _rating(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    """Stronger hoses, fittings and tools in place of the ones a limit refuses."""
    about = sorted({part for identity, part in refused if identity.startswith("rating.")})
    parts = [tuple(part.split(".", 1)) for part in about if part.split(".")[0] in ("hoses", "fittings", "tools")]
    if not parts or len(parts) != len(about):
        return None
    before: list[float] = [getattr(job, table)[name].rating or RATING_STEP for table, name in parts]

    def changed(rating: float) -> Job:
        tables: dict[str, dict[str, object]] = {}
        for table, name in parts:
            rows = tables.setdefault(table, dict(getattr(job, table)))
            rows[name] = replace(rows[name], rating=rating)  # type: ignore[type-var]
        return replace(job, **tables)  # type: ignore[arg-type]

    rating = RATING_STEP * math.ceil(min(before) / RATING_STEP)
    for _step in range(120):
        if frees(changed(rating)):
            keys = ", ".join(f"{table}.{name}.rating" for table, name in parts)
            return Cure("rating", keys, "pressure", min(before), rating), changed(rating)
        rating += RATING_STEP
    return None


def _relief(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    """Another relief device, marked lower, fitted by a competent person: where pump, kit or rods are what is weak."""
    mark = highest_opening(check(job, index))
    if mark is None:
        return None
    lowest = RATING_STEP
    while mark > lowest:
        mark = RATING_STEP * (math.ceil(mark / RATING_STEP) - 1)
        devices = tuple(replace(device, set=min(device.set, mark)) for device in job.unit.relief)
        changed = replace(job, unit=replace(job.unit, relief=devices))
        if frees(changed):
            return Cure("relief", "unit.relief.set", "pressure", job.unit.relief[0].set, mark), changed
    return None


def _relief_flow(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    """Another relief device for the pump's whole flow, fitted by a competent person."""
    devices = job.unit.relief
    before = max((device.full_flow or 0.0 for device in devices), default=0.0)
    flow = next((one.bound for one in search.start.limits if one.id == "relief.full_flow"), None)
    if flow is None or before >= flow:
        return None
    needed = FLOW_STEP * math.ceil(-1e-9 + flow / FLOW_STEP)
    passing = tuple(replace(device, full_flow=max(needed, device.full_flow or 0.0)) for device in devices)
    changed = replace(job, unit=replace(job.unit, relief=passing))
    return Cure("relief_flow", "unit.relief.full_flow", "flow", before, needed), changed


def _relief_tested(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    day = search.basis.day
    devices = tuple(replace(one, tested=None if one.tested is None else day) for one in job.unit.relief)
    changed = replace(job, unit=replace(job.unit, relief=devices))
    return Cure("relief_in_test", "unit.relief.tested", "", "", day.isoformat()), changed


def _gauge(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    gauge = job.unit.gauge
    if gauge is None:
        return None
    for scale in (400e5, 600e5, 1000e5, 1600e5, 2500e5, 4000e5):  # EN 837-1 scale ranges
        if scale > gauge.full_scale:
            wider = Gauge(scale, gauge.accuracy, gauge.division)
            changed = replace(job, unit=replace(job.unit, gauge=wider))
            if frees(changed):
                return Cure("gauge", "unit.gauge.full_scale", "pressure", gauge.full_scale, scale), changed
    return None


def _tested(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    names = sorted({about.split(".", 1)[1] for identity, about in refused if about.startswith("hoses.")})
    names = names or [name for name in dict.fromkeys(_run(job.task[index])) if name in job.hoses]
    stock = dict(job.hoses)
    for name in names:
        stock[name] = replace(stock[name], tested=search.basis.day, traceable=True)
    keys = ", ".join(f"hoses.{name}.tested" for name in names)
    return Cure("hose_in_test", keys, "", "", search.basis.day.isoformat()), replace(job, hoses=stock)


def _ground(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    operator = job.task[index].operator
    if operator is None or operator.place in (None, "ground"):
        return None
    task = replace(job.task[index], operator=replace(operator, place="ground"))
    return Cure("place", "task.operator.place", "", str(operator.place), "ground"), _with_task(job, index, task)


def _suction_line(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    suction = job.unit.suction
    if suction is None:
        return None
    for bore in SUCTION_BORES:
        if bore > suction.bore * 1.001:
            changed = replace(job, unit=replace(job.unit, suction=replace(suction, bore=bore)))
            if frees(changed):
                return Cure("suction", "unit.suction.bore", "length", suction.bore, bore), changed
    return None


def _boost(job: Job, index: int, search: Search, refused: Refused, frees: Frees) -> Proposal | None:
    suction = job.unit.suction
    if suction is None:
        return None
    before = suction.boost or 0.0
    for boost in BOOSTS:
        changed = replace(job, unit=replace(job.unit, suction=replace(suction, boost=boost)))
        if boost > before and frees(changed):
            return Cure("boost", "unit.suction.boost", "pressure", before, boost), changed
    return None


Propose = Callable[[Job, int, Search, Refused, Frees], Proposal | None]
PROPOSALS: dict[str, tuple[Propose, ...]] = {
    "setting": (_tip, _hose, _bypass, _speed, _target),
    "relief": (_tip, _hose, _target, _release, _regulating),
    "relief.full_flow": (_relief_flow,),
    "relief.test_age": (_relief_tested,),
    "rating": (_rating, _relief_flow, _relief, _target),
    "recoil": (_support, _tip, _holder, _release, _regulating, _target),
    "release": (_release, _regulating, _target),
    "gauge": (_gauge, _target),
    "object": (_target,),
    "hose": (_tested,),
    "heat": (_tip, _target),
    "supply": (_suction_line, _boost, _target),
    "person": (_ground,),
}
"""By topic, what may cure it, nearest first; a hazard is cleared under the permit, never planned away."""


# ---- reading a job ---------------------------------------------------------------------------------------------------


def _tool_names(task: Task) -> tuple[str, ...]:
    return (task.tool,) if task.tool is not None else tuple(branch.tool for branch in task.branches)


def _tools(job: Job, index: int) -> list[Tool]:
    return [job.tools[name] for name in _tool_names(job.task[index])]


def _in_hand(job: Job, index: int) -> dict[str, Tool]:
    names = _tool_names(job.task[index])
    return {name: job.tools[name] for name in names if held_by(job.tools[name]) == "hand"}


def _run(task: Task) -> tuple[str, ...]:
    return task.hose_run + tuple(name for branch in task.branches for name in branch.hose_run)


def _with_task(job: Job, index: int, task: Task) -> Job:
    return replace(job, task=(*job.task[:index], task, *job.task[index + 1 :]))


def _with_tools(job: Job, tools: dict[str, Tool]) -> Job:
    return replace(job, tools=dict(job.tools) | tools)
