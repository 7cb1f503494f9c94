"""Two tasks of a job side by side, as facts; neither is called the better one."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from jetwright.limits.limit import WORST_LAST, Limit
from jetwright.plan.answer import Cost, Plan, RunItem, TaskPlan, ToolState
from jetwright.plan.basis import Basis
from jetwright.plan.judging.recoil import held_by
from jetwright.plan.task import plan_task
from jetwright.plan.usage import CO2_OF_DIESEL, amount_of
from jetwright.rig.check import check
from jetwright.rig.description import Job, Task

Figures = Mapping[str, float | None]

QUANTITIES: Mapping[str, str] = {
    "pump_pressure": "pressure",
    "pump_speed": "speed",
    "engine_speed": "speed",
    "bypass_open": "ratio",
    "spill": "ratio",
    "nozzle": "pressure",
    "flow": "flow",
    "jet_power": "power",
    "jet_share": "ratio",
    "hose_loss": "pressure",
    "recoil": "force",
    "engine_load": "ratio",
    "water_rate": "flow",
    "waste_rate": "flow",
    "fuel_rate": "flow",
    "def_rate": "flow",
    "co2_rate": "mass_rate",
    "trigger": "time",
    "total": "time",
    "crew": "time",
    "water": "volume",
    "waste": "volume",
    "waste_fills": "count",
    "fuel": "volume",
    "def": "volume",
    "co2": "mass",
    "cost": "money",
    "area_rate": "area_rate",
    "length_rate": "length_rate",
    "area_cost": "area_cost",
    "length_cost": "length_cost",
}
"""What is compared, in the order it is shown, and the kind of each, in SI.

nozzle: the lowest of several tools; recoil: the largest; hose_loss: to the tool with the most; flow and jet_power: of
all; jet_share: jets' power over the engine's; spill: over the pump's flow; *_rate: with the trigger held; area and
length: what is cleaned in a second, and what a square metre or a metre costs.
"""


@dataclass(frozen=True, slots=True)
class Way:
    """One of the two: its place in the job from 1, its plan, its figures [SI]; None: not known.

    holder: who or what holds the tool with the largest recoil; forward: that tool is pulled, not pushed back; worn: of
    each tip the lives used up, None where its life is not given.
    """

    place: int
    task: TaskPlan
    figures: Figures
    holder: str
    forward: bool
    worn: Mapping[str, float | None]


@dataclass(frozen=True, slots=True)
class LimitPair:
    """The worst limit of one id in each way; None where the way has none."""

    one: Limit | None
    other: Limit | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two ways, what the other has more than the one [SI], and the limits that tell them apart.

    plan: the two tasks as planned; difference: None where either is not known, or where they cannot be set off against
    each other: recoils of other directions, costs that do not count the same things.
    """

    plan: Plan
    one: Way
    other: Way
    difference: Figures
    limits: tuple[LimitPair, ...]


def compare(
    job: Job,
    basis: Basis,
    first: int,
    second: int,
    on_task: Callable[[str], None] | None = None,
    cures: bool = True,
) -> Comparison:
    """Plan two tasks of a job and set them side by side. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    basis : Basis
        Rule set, orders and day. [-]
    first : int
        Which task, from 0. [-]
    second : int
        The other one, from 0. [-]
    on_task : Callable | None
        Told each task's name before it is planned. [-]
    cures : bool
        Look for what would cure a refusal. [-]

    Raises
    ------
    RigError
        When the description does not fit together.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.description import Target
    >>> from jetwright.rig.example import JOB
    >>> softer = replace(JOB.task[0], name="Softer", target=Target(nozzle_pressure=600e5))
    >>> job = replace(JOB, task=(JOB.task[0], softer))
    >>> told = compare(job, basis_for(job), 0, 1)
    >>> f"{told.difference['nozzle'] / 1e5:.0f} bar, {told.difference['recoil']:.0f} N"
    '-250 bar, -49 N'

    References
    ----------
    Our own convention.
    """
    ways = []
    for index in (first, second):
        if on_task is not None:
            on_task(job.task[index].name)
        ways.append(way_of(job, index, plan_task(check(job, index), index, basis, cures)))
    one, other = ways
    plan = Plan(job.title, basis.rules, (one.task, other.task), basis.day)
    return Comparison(plan, one, other, _difference(one, other), _limits(one.task, other.task))


def way_of(job: Job, index: int, task: TaskPlan) -> Way:
    """A planned task as one of the two ways. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    index : int
        Which of its tasks, from 0. [-]
    task : TaskPlan
        Its plan. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> way = way_of(JOB, 0, plan_task(check(JOB), 0, basis_for(JOB)))
    >>> f"{way.figures['jet_share']:.0%} of the engine's power, {way.holder}"
    "67% of the engine's power, hand"

    References
    ----------
    Our own convention.
    """
    described = job.task[index]
    figures: dict[str, float | None] = dict.fromkeys(QUANTITIES)
    figures |= _of_setting(task)
    figures |= _of_tools(task)
    figures |= _of_use(job, task)
    figures |= _of_work(described, task)
    pushed = max(task.tools, key=_push, default=None)
    tips = dict.fromkeys(jet.tip for tool in task.tools for jet in tool.jets)
    used = {} if task.usage is None else dict(task.usage.worn)
    return Way(
        index + 1,
        task,
        figures,
        "" if pushed is None else held_by(job.tools[pushed.tool]),
        pushed is not None and pushed.recoil < 0.0,
        {tip: used.get(tip) for tip in tips},
    )


def _of_setting(task: TaskPlan) -> dict[str, float | None]:
    setting = task.setting
    if setting.pump_speed is None:
        return {}
    spill = setting.bypass_flow / setting.pump_flow if setting.pump_flow else None
    return {
        "pump_pressure": setting.pump_pressure,
        "pump_speed": setting.pump_speed,
        "engine_speed": setting.engine_speed,
        "bypass_open": setting.bypass_open_share,
        "spill": spill,
    }


def _of_tools(task: TaskPlan) -> dict[str, float | None]:
    """What the tools get; nothing where the target is not to be had and what is planned is another one."""
    power = task.power
    if not task.tools or power is None:
        return {}
    jets = sum(tool.jet_power for tool in task.tools)
    return {
        "nozzle": min(tool.nozzle for tool in task.tools),
        "flow": sum(tool.flow for tool in task.tools),
        "jet_power": jets,
        "jet_share": jets / power.engine if power.engine > 0.0 else None,
        "hose_loss": _hose_loss(task.hose_run),
        "recoil": max(map(_push, task.tools)),
        "engine_load": power.engine_load,
    }


def _push(tool: ToolState) -> float:
    return math.hypot(tool.recoil, tool.recoil_side)


def _hose_loss(items: tuple[RunItem, ...]) -> float:
    """From the pump to the tool with the most."""
    lost: dict[int, float] = {0: 0.0}
    for item in items:
        lost[item.branch] = lost.get(item.branch, 0.0) + item.inlet - item.outlet
    main = lost.pop(0)
    return main + max(lost.values(), default=0.0)


def _of_use(job: Job, task: TaskPlan) -> dict[str, float | None]:
    use, usage = task.use, task.usage
    found: dict[str, float | None] = {}
    if use is not None:
        found |= {
            "water_rate": use.water,
            "waste_rate": None if job.waste is None else job.waste.share * use.water,
            "fuel_rate": use.fuel,
            "def_rate": use.def_fluid,
            "co2_rate": None if use.fuel is None else CO2_OF_DIESEL * use.fuel,
        }
    if usage is not None:
        found |= {
            "trigger": usage.trigger,
            "total": usage.total,
            "crew": usage.crew,
            "water": usage.water,
            "waste": usage.waste,
            "waste_fills": usage.waste_fills,
            "fuel": usage.fuel,
            "def": usage.def_fluid,
            "co2": usage.co2,
        }
    return found


def _of_work(described: Task, task: TaskPlan) -> dict[str, float | None]:
    """What is cleaned in a second, and what a square metre or a metre of it costs: of what gets done in its time."""
    found: dict[str, float | None] = {}
    cost = None if task.cost is None or not task.cost.lines else task.cost.total
    found["cost"] = cost
    trigger = None if task.usage is None else task.usage.trigger
    extent = described.extent
    rates = [each.rate for each in task.coverage if each.rate is not None]
    along = {each.along for each in task.coverage}
    rate = sum(rates) if rates and len(rates) == len(task.coverage) and len(along) == 1 else None
    kind = "length" if along == {True} else "area"
    amount = None if rate is None or trigger is None else rate * trigger
    if extent is not None:
        kind_cleaned = "length" if extent.width is None else "area"
        done, amount = amount, amount_of(extent)
        if rate is None and described.travel is not None:
            amount = None  # how much of it gets done is not known
        elif rate is None or kind != kind_cleaned:
            rate = None if trigger is None else amount / trigger
        elif done is not None:
            amount = min(done, amount)
        kind = kind_cleaned
    found[f"{kind}_rate"] = rate
    found[f"{kind}_cost"] = None if cost is None or not amount else cost / amount
    return found


def _difference(one: Way, other: Way) -> Figures:
    found: dict[str, float | None] = {}
    for name in QUANTITIES:
        here, there = one.figures[name], other.figures[name]
        found[name] = None if here is None or there is None else there - here
    if one.forward != other.forward:
        found["recoil"] = None
    if _uncounted(one.task.cost) != _uncounted(other.task.cost):
        found |= dict.fromkeys(("cost", "area_cost", "length_cost"))
    return found


def _uncounted(cost: Cost | None) -> set[str]:
    """Which lines a cost lacks, whatever the names of the tips."""
    return set() if cost is None else {key.split(".")[-1] for key in cost.missing}


def _limits(one: TaskPlan, other: TaskPlan) -> tuple[LimitPair, ...]:
    """Of each id the worst in each way, where the verdicts differ or either refuses; the worst pairs first.

    What the setting of the task before would do is left out: an order in the file is no property of a way.
    """
    mine, theirs = _worst_of(one), _worst_of(other)
    pairs = [LimitPair(mine.get(name), theirs.get(name)) for name in dict.fromkeys((*mine, *theirs))]
    return tuple(sorted((pair for pair in pairs if _apart(pair)), key=_rank, reverse=True))


def _worst_of(task: TaskPlan) -> dict[str, Limit]:
    worst: dict[str, Limit] = {}
    for limit in task.limits:
        if limit.id == "recoil.left":
            continue
        held = worst.get(limit.id)
        if held is None or _badness(limit) > _badness(held):
            worst[limit.id] = limit
    return worst


def _badness(limit: Limit) -> tuple[int, float]:
    return WORST_LAST.index(limit.verdict), 0.0 if limit.margin is None else -limit.margin


def _apart(pair: LimitPair) -> bool:
    verdicts = {"within" if limit is None else limit.verdict for limit in (pair.one, pair.other)}
    return len(verdicts) > 1 or "not_allowed" in verdicts


def _rank(pair: LimitPair) -> int:
    return max(WORST_LAST.index(limit.verdict) for limit in (pair.one, pair.other) if limit is not None)
