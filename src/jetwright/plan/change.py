"""The change card: from one task of a job to the next, what must not be left on, what changes, and the way there."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from jetwright.errors import Problem, RigError
from jetwright.limits.limit import Limit, Verdict
from jetwright.limits.recoil import Grip, body, left
from jetwright.plan.answer import LeftOver, Plan, ProvingPoint, RestraintsNeeded, Setting, StepAt, TaskPlan
from jetwright.plan.assess import assess
from jetwright.plan.basis import Basis
from jetwright.plan.judging.recoil import held_by, unheld
from jetwright.plan.left import left_over, ratings_of, setting_left
from jetwright.plan.restraints import restraints_of
from jetwright.plan.run_up import SKIN
from jetwright.plan.setting import Machine, relief_set
from jetwright.plan.task import plan_task
from jetwright.plan.tolerance import error_of
from jetwright.rig.check import CheckedRig, check
from jetwright.rig.description import Cleaned, Hazards, Job, Operator, Reading, Tool
from jetwright.rig.order import Step, Touched
from jetwright.solve.states import trigger_states
from jetwright.solve.steady import Levers

LIKE_BEFORE_WATER = ("open_end", "flush", "fit_tip", "hold", "release", "stops")
"""Steps of a change that are those before water, as they are solved for the new task."""

STOPPED = ("first", "stop")
"""Steps of a change that are done on the rig as it was."""


@dataclass(frozen=True, slots=True)
class Tips:
    """Equal tips of a tool: its branch, how many, bore [m] (None: rated)."""

    branch: int
    tip: str
    count: int
    bore: float | None


@dataclass(frozen=True, slots=True)
class Holder:
    """Who or what holds a tool: "hand", "carrier", "machine" or "hose", its name, and the support (None: not said)."""

    by: str
    name: str | None
    support: str | None


@dataclass(frozen=True, slots=True)
class Side:
    """What a card compares of a task; a tuple with one entry a tool where tools may differ.

    run: names of the main run, then of each branch; rise [m]; setting, nozzle [Pa], proving and recoil along and across
    [N]: None where the task is not allowed, and nothing is to be set.
    """

    name: str
    place: int
    verdict: Verdict
    tools: tuple[str, ...]
    tips: tuple[Tips, ...]
    hoses: tuple[str, ...]
    fittings: tuple[str, ...]
    run: tuple[tuple[str, ...], ...]
    rise: tuple[float, ...]
    setting: Setting | None
    nozzle: tuple[float, ...] | None
    proving: ProvingPoint | None
    recoil: tuple[tuple[float, float], ...] | None
    holders: tuple[Holder, ...]
    person: Operator | None
    stops: tuple[str, ...]
    restraints: RestraintsNeeded
    object: Cleaned | None
    hazards: Hazards | None


COMPARED = (
    "tools", "tips", "hoses", "fittings", "run", "rise", "setting", "nozzle", "proving", "recoil", "holders", "person",
    "stops", "restraints", "object", "hazards",
)  # fmt: skip
"""Fields of a side that are held against each other."""


@dataclass(frozen=True, slots=True)
class Hold:
    """What the old setting would do at one tool of the new task: push at its cautious end [N], and who holds it.

    limits: the push against what a hand may hold, and against the lightest operator; empty where no hand holds it.
    """

    branch: int
    tool: str
    by: str
    push: float
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True)
class ChangeCard:
    """The change from one task to another.

    plan: of the new task alone, with the old one before it; first: the step that comes before any hand on the tool,
    solved on the old rig; left: what the old setting would do to the new rig, None where no speed serves it; holds: at
    each tool; below: key and rating [Pa] of each part of the new rig rated below that gauge, the weakest first;
    unrated: key of each that nobody gave a rating; bears: what the new object withstands and the more that the left
    setting would make at a tip [Pa], None: not more; relief: where the lowest relief device opens [Pa], None: none is
    described; differs: fields of `Side`; touched: what is
    opened; steps: the planned stop, the change, and the new task's run-up where it is allowed; readings: taken on the
    old task, and what of theirs does not hold any more ("tip", "hose", "tool").
    """

    plan: Plan
    before: Side
    after: Side
    first: StepAt
    left: LeftOver | None
    holds: tuple[Hold, ...]
    below: tuple[tuple[str, float], ...]
    unrated: tuple[str, ...]
    bears: tuple[float, float] | None
    relief: float | None
    differs: tuple[str, ...]
    touched: Touched
    steps: tuple[StepAt, ...]
    readings: tuple[Reading, ...]
    expired: tuple[str, ...]

    @property
    def task(self) -> TaskPlan:
        """The new task's plan. [-]"""
        return self.plan.tasks[0]


def change_card(
    job: Job, before: int, after: int, basis: Basis, planned: tuple[TaskPlan, TaskPlan] | None = None
) -> ChangeCard:
    """The card of a change from one task of a job to another, in either direction. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    before : int
        The task that was worked, from 0. [-]
    after : int
        The task that comes next, from 0. [-]
    basis : Basis
        Rule set, orders and day. [-]
    planned : tuple of TaskPlan or None
        Both as they are planned in the job, where the one comes right after the other there; else they are planned
        here. [-]

    Raises
    ------
    RigError
        When the description does not fit together, or both are one task.

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.description import Port, Target, Task, Tip
    >>> from jetwright.rig.example import JOB
    >>> wide = replace(JOB.tools["gun"], ports=(Port("R16"),))
    >>> second = Task("Wall", Target(nozzle_pressure=500e5), JOB.task[0].hose_run, "wide")
    >>> tools, tips = JOB.tools | {"wide": wide}, JOB.tips | {"R16": Tip(0.0016, "rounded")}
    >>> card = change_card(replace(JOB, tools=tools, tips=tips, task=(*JOB.task, second)), 1, 0, basis_for(JOB))
    >>> f"{card.touched}: {card.left.gauge / 1e5:.0f} bar and {card.holds[0].push:.0f} N if left as it is"
    'tips: 1752 bar and 329 N if left as it is'

    References
    ----------
    Common practice; `data/orders.toml`, "tool change".
    """
    if before == after:
        raise RigError([Problem(("task", after), "same_task", job.task[after].name)])
    check(job, after)  # what does not fit together is told under the job's own keys
    names = (job.task[before].name, job.task[after].name)
    readings = tuple(reading for reading in job.reading if reading.task in names)
    pair = replace(job, task=(job.task[before], job.task[after]), reading=readings)
    old, new = check(pair, 0), check(pair, 1)
    try:
        first, stop = (planned[0], planned[0].run_up) if planned is not None else _before(old, basis)
        second = planned[1] if planned is not None else plan_task(new, 1, basis)
    except RigError as error:
        raise RigError([_as_in_the_job(problem, (before, after)) for problem in error.problems]) from error
    sides = _side(old, before, first), _side(new, after, second)
    setting, touched = setting_left(old, basis.day), _touched(old, new)
    found = None if setting is None else left_over(new, names[0], *setting)
    return ChangeCard(
        plan=Plan(job.title, basis.rules, (second,), basis.day),
        before=sides[0],
        after=sides[1],
        first=_first(old, basis),
        left=found,
        holds=() if found is None else tuple(_holds(new, second, found, basis)),
        below=() if found is None else rated_below(new, found.gauge),
        unrated=() if found is None else tuple(key for key, rating in ratings_of(new).items() if rating is None),
        bears=None if found is None else _bears(new, found),
        relief=relief_set(new) if job.unit.relief else None,
        differs=tuple(name for name in COMPARED if getattr(sides[0], name) != getattr(sides[1], name)),
        touched=touched,
        steps=(*_stop(old, None if setting is None else setting[0], stop, basis), *_steps(new, second, touched, basis)),
        readings=tuple(reading for reading in readings if reading.task == names[0]),
        expired=_expired(*sides, touched),
    )


def rated_below(rig: CheckedRig, pump_pressure: float) -> tuple[tuple[str, float], ...]:
    """Key and rating of each part of a rig that is rated below a pressure at the pump, the weakest first. [-, Pa]

    What stands in front of a shut tool stands at the pump's pressure, so nothing is taken off for what the hose loses.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    pump_pressure : float
        Gauge. [Pa]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rated_below(check(JOB), 1350e5)
    (('unit.pump', 130000000.0),)

    References
    ----------
    Ratings as on plate and tag.
    """
    ratings = ratings_of(rig)
    weak = [(key, rating) for key, rating in ratings.items() if rating is not None and rating < pump_pressure]
    return tuple(sorted(weak, key=lambda part: part[1]))


# ---- the two sides


def _before(rig: CheckedRig, basis: Basis) -> tuple[TaskPlan | None, tuple[StepAt, ...]]:
    """The old task's plan, None where it is refused (nobody asks here what would cure it), and its solved steps."""
    assessed = assess(rig, 0, basis)
    if assessed.refused:
        return None, () if assessed.case is None else assessed.case.steps
    planned = plan_task(rig, 0, basis)
    return planned, planned.run_up


def _side(rig: CheckedRig, place: int, planned: TaskPlan | None) -> Side:
    job, task = rig.job, rig.task
    allowed = planned if planned is not None and planned.verdict != "not_allowed" else None
    names = _names(rig)
    return Side(
        name=task.name,
        place=place,
        verdict="not_allowed" if planned is None else planned.verdict,
        tools=tuple(branch.tool_name for branch in rig.branches),
        tips=tuple(
            Tips(number, row.tip, row.count, row.bore)
            for number, branch in enumerate(rig.branches, start=1)
            for row in branch.rows
        ),
        hoses=tuple(sorted(name for name in names if name in job.hoses)),
        fittings=tuple(sorted(name for name in names if name in job.fittings)),
        run=_run(rig),
        rise=tuple(branch.rise for branch in rig.branches),
        setting=None if allowed is None else allowed.setting,
        nozzle=None if allowed is None else tuple(tool.nozzle for tool in allowed.tools),
        proving=None if allowed is None else allowed.proving_point,
        recoil=None if allowed is None else tuple((tool.recoil, tool.recoil_side) for tool in allowed.tools),
        holders=tuple(Holder(_by(branch.tool), branch.tool.holder, branch.tool.support) for branch in rig.branches),
        person=task.operator,
        stops=task.stops,
        restraints=restraints_of(rig),
        object=task.object,
        hazards=task.hazards,
    )


def _by(tool: Tool) -> str:
    """Who holds a tool; "" where nobody said it of one that may be fed by hand."""
    return "" if unheld(tool) else held_by(tool)


def _run(rig: CheckedRig) -> tuple[tuple[str, ...], ...]:
    """Names from the pump outward: the main run, then each branch."""
    return tuple(tuple(item.name for item in items) for items in (rig.main, *(branch.items for branch in rig.branches)))


def _names(rig: CheckedRig) -> tuple[str, ...]:
    return tuple(name for part in _run(rig) for name in part)


def _rows(rig: CheckedRig) -> tuple[tuple[tuple[str, int], ...], ...]:
    return tuple(tuple((row.tip, row.count) for row in branch.rows) for branch in rig.branches)


def _bodies(rig: CheckedRig) -> tuple[Tool, ...]:
    """The tools without their tips and without who holds them."""
    return tuple(replace(branch.tool, ports=(), support=None, held_by=None, holder=None) for branch in rig.branches)


def _touched(old: CheckedRig, new: CheckedRig) -> Touched:
    """What is opened on the way; a tool of another name that differs in its tips alone is taken for the same one."""
    if _run(old) != _run(new):
        return "hose run"
    tips = _rows(old) != _rows(new)
    names = [[branch.tool_name for branch in rig.branches] for rig in (old, new)]
    if _bodies(old) != _bodies(new) or (names[0] != names[1] and not tips):
        return "tool"
    return "tips" if tips else "nothing"


def _expired(old: Side, new: Side, touched: Touched) -> tuple[str, ...]:
    """What a reading on the old task rests on and the new one does not share; unit, kit and gauge are the job's."""
    apart = {"tip": old.tips != new.tips, "hose": touched == "hose run", "tool": old.tools != new.tools}
    return tuple(word for word, differs in apart.items() if differs)


# ---- what must not be left on


def _first(rig: CheckedRig, basis: Basis) -> StepAt:
    """What comes before any hand on the tool; where no hand opens an unloader, nothing is low before all is off."""
    first = _at_start(rig, "tool change", basis.orders.steps["tool change"][0])
    if first.bypass != "closed":
        return first
    return replace(first, gauge=None, facts={**first.facts, "skin": False, "may_break_skin": True})


def _bears(rig: CheckedRig, found: LeftOver) -> tuple[float, float] | None:
    """What the object withstands and the most at a tip, where that is more. [Pa, Pa]"""
    cleaned, most = rig.task.object, max(found.nozzle)
    if cleaned is None or cleaned.withstands is None or (most <= cleaned.withstands and found.held):
        return None
    return cleaned.withstands, most


def _holds(rig: CheckedRig, planned: TaskPlan, found: LeftOver, basis: Basis) -> Iterator[Hold]:
    several = len(rig.branches) > 1
    bounds = basis.rules.bound("recoil.unsupported"), basis.rules.bound("recoil.supported")
    for number, (branch, push) in enumerate(zip(rig.branches, found.recoil, strict=True), start=1):
        by, about = _by(branch.tool), f"branch.{number}" if several else f"tools.{branch.tool_name}"
        if by not in ("hand", ""):
            yield Hold(number, branch.tool_name, by, push, ())
            continue
        judged = [one for one in planned.limits if one.id == "recoil.left" and one.about == about]
        worst = max([push, *(one.value for one in judged if one.value is not None)])  # an inlet nobody knows
        grip = Grip(branch.tool_name, about, "hand", branch.tool.support, *bounds)
        limits: tuple[Limit, ...] = (left(worst, grip),)
        if rig.task.operator is not None and rig.task.operator.lightest is not None:
            limits += (body(worst, grip, basis.rules.bound("recoil.body_share"), rig.task.operator.lightest),)
        yield Hold(number, branch.tool_name, by, worst, limits)


# ---- the way there


def _stop(rig: CheckedRig, machine: Machine | None, solved: tuple[StepAt, ...], basis: Basis) -> Iterator[StepAt]:
    """The planned stop; of a task that is not run up to its setting, as far as it is known."""
    if solved:
        yield from (step for step in solved if step.order == "planned stop")
        return
    words = _words(rig)
    for step in basis.orders.steps["planned stop"]:
        if step.applies(words):
            yield _at_start(rig, "planned stop", step, machine)


def _steps(rig: CheckedRig, planned: TaskPlan, touched: Touched, basis: Basis) -> Iterator[StepAt]:
    """The order of a change from the stop on, with the run-up it stands for; nothing is done to a refused rig."""
    solved = {step.id: step for step in planned.run_up}
    words = _words(rig, touched)
    for step in basis.orders.steps["tool change"]:
        name = step.id.removeprefix("change.")
        if planned.verdict == "not_allowed" or name in STOPPED or not step.applies(words):
            continue
        if name == "run_up":
            yield from (one for one in planned.run_up if one.order.startswith("run-up"))
        elif name in LIKE_BEFORE_WATER:
            yield solved[f"water.{name}"]
        else:
            yield _at_start(rig, "tool change", step)


def _words(rig: CheckedRig, *touched: str) -> Mapping[str, frozenset[str]]:
    """What a step's `when` is asked of; nothing is known of a setting."""
    unit = rig.job.unit
    return {
        "bypass": frozenset((unit.bypass.kind,)),
        "drive": frozenset((unit.drive.kind,)),
        "release": frozenset(branch.tool.release for branch in rig.branches),
        "setting": frozenset(),
        "proving": frozenset(),
        "touched": frozenset(touched),
    }


def _at_start(rig: CheckedRig, order: str, step: Step, machine: Machine | None = None) -> StepAt:
    """A step at start speed or standing still; with the bypass as planned, where the setting is known."""
    unit, start = rig.job.unit, step.speed == "start"
    kind, full_open = unit.bypass.kind, unit.bypass.full_open_area
    facts: dict[str, object] = {"trigger": step.trigger, "valve": kind}
    if all(branch.tool.release == "none" for branch in rig.branches):
        facts["no_trigger"] = True
    if unit.drive.kind == "direct":
        facts["direct"] = True
    if start and unit.drive.ratio is not None:
        facts["engine_speed"] = rig.start_speed * unit.drive.ratio
    word, levers = "", None
    if step.bypass == "open":
        word = "closed" if kind == "unloader" and full_open is None else "open"
        if kind == "regulating" and full_open is None:
            if start:
                facts["backed_off"] = True
        else:
            levers = Levers(rig.start_speed, full_open or 0.0)
    elif machine is not None:
        word, area = machine.bypass, machine.area if full_open is None else min(machine.area, full_open)
        levers = Levers(rig.start_speed, area, machine.opening)
    turning = start or (step.speed == "idle" and unit.drive.kind == "direct")
    gauge = (0.0, 0.0) if step.gauge == "zero" and not turning else None
    if start and levers is not None:
        gauge = _stands(rig, step, levers, facts)
    if turning and gauge is None:
        facts["may_break_skin"] = True
    hole = None if levers is None or (kind == "regulating" and step.bypass != "open") else levers.area
    turns = unit.bypass.turns
    return StepAt(
        order=order,
        id=step.id,
        who=step.who,
        why=step.why,
        pump_speed=rig.start_speed if start else 0.0,
        bypass=word,
        bypass_area=hole,
        turns=None if hole is None or turns is None or full_open is None else turns * hole / full_open,
        gauge=gauge,
        facts=facts,
    )


def _stands(rig: CheckedRig, step: Step, levers: Levers, facts: dict[str, object]) -> tuple[float, float] | None:
    """What the gauge shows there, wider by its error; None where nothing described holds it, or an unloader cycles."""
    states = trigger_states(rig, levers)
    state = states[-1] if step.trigger == "released" else states[0]
    pressure = state.pump_pressure
    if pressure is None or (state.unloaded and step.trigger != "released"):
        return None
    if step.bypass == "open" and pressure > SKIN:
        facts["skin"] = True
    error = error_of(rig) or 0.0
    return max(0.0, pressure - error), pressure + error


def _as_in_the_job(problem: Problem, places: tuple[int, int]) -> Problem:
    """A problem of the two tasks, under the key it has in the whole job."""
    match problem.key:
        case ("task", int(index), *rest):
            return replace(problem, key=("task", places[index], *rest))
    return problem
