"""The plan of a job: for each task the setting, what it does at every part, and what would cure a refusal."""

from collections.abc import Callable
from dataclasses import replace

from jetwright.errors import NotServedError, Problem, RigError
from jetwright.limits.limit import Limit, worst
from jetwright.limits.machine import EDGE, engine_power, pump_speed
from jetwright.parts.engine import DEF_SHARE, FUEL_RATE, fuel_flow
from jetwright.parts.nozzle import jet_flow, recoil, round_area
from jetwright.parts.pump import shaft_power
from jetwright.plan.answer import Jet, Plan, Power, Reach, RunItem, Setting, TaskPlan, ToolState, Use
from jetwright.plan.cures import cures_for
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import Machine, bypass_untouched, engine_for, machine_for, relief_set, target_of
from jetwright.plan.taken import taken_as
from jetwright.rig.check import CheckedRig, Item, check
from jetwright.rig.description import Job
from jetwright.solve.steady import Levers, State, solve
from jetwright.water.state import jet_speed_of, pumped_temperature, throttled_temperature, vapour_pressure, volume_of

RULES_VERSION = "0.1"
"""Version of the limits judged here; rule sets as data follow."""


def plan_job(job: Job, task: str | None = None, on_task: Callable[[str], None] | None = None) -> Plan:
    """Plan every task of a job, or the one named. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    task : str | None
        Name of the only task wanted. [-]
    on_task : Callable | None
        Told each task's name before it is planned. [-]

    Raises
    ------
    RigError
        When the description does not fit together, or no task has that name.

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> plan_job(JOB).tasks[0].verdict
    'within'

    References
    ----------
    docs/job-file.md.
    """
    chosen = [index for index, described in enumerate(job.task) if task is None or described.name == task]
    if not chosen:
        facts: dict[str, object] = {"table": "task", "known": [described.name for described in job.task]}
        raise RigError([Problem(("task",), "unknown_name", task or "", facts)])
    plans = []
    for index in chosen:
        if on_task is not None:
            on_task(job.task[index].name)
        plans.append(plan_task(check(job, index), index))
    return Plan(job.title, job.rule_set, RULES_VERSION, tuple(plans))


def plan_task(rig: CheckedRig, index: int) -> TaskPlan:
    """Plan one task. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig of that task. [-]
    index : int
        Which task of its job, from 0. [-]

    Raises
    ------
    RigError
        When the supply hose starves the pump.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> plan_task(check(JOB), 0).setting.bypass
    'closed'

    References
    ----------
    docs/job-file.md.
    """
    try:
        machine = machine_for(rig, *target_of(rig))
    except NotServedError:
        return _beyond(rig, index)
    _starved(rig, machine, index)
    limits = machine.limits
    reached = None
    if not machine.allowed:
        cures = cures_for(rig, index, machine)
        limits = tuple(replace(one, cures=cures) if one.verdict == "not_allowed" else one for one in limits)
        reached = _reach(rig, machine)
    return TaskPlan(
        name=rig.task.name,
        verdict=worst(tuple(limit.verdict for limit in limits)),
        setting=_setting(rig, machine),
        proving_point=proving_point(rig, machine.state.pump_pressure),
        tools=tool_states(rig, machine.state),
        hose_run=run_items(rig, machine.state),
        power=None
        if machine.speed is None
        else Power(machine.hydraulic, machine.shaft, machine.engine.power, machine.engine.load),
        use=_use(rig, machine),
        limits=limits,
        taken_as=taken_as(rig, machine.state),
        reach=reached,
    )


def _beyond(rig: CheckedRig, index: int) -> TaskPlan:
    """The answer when a target needs more than is served: what top speed gives, and what would cure it."""
    cures = cures_for(rig, index, None)
    described = rig.job.unit.engine is not None
    refused = replace(pump_speed(None, rig.top_speed), cures=cures)
    engine: Limit = engine_power(None, described=described)
    limits = (bypass_untouched(rig), refused, replace(engine, verdict="not_judged", missing="task.target"))
    try:
        state = solve(rig, Levers(rig.top_speed))
    except NotServedError as why:
        problem = Problem(("task", index, "target"), "above_served", facts=why.facts)
        raise RigError([problem]) from why
    return TaskPlan(
        name=rig.task.name,
        verdict="not_allowed",
        setting=Setting(None, None, None, None, "closed", 0.0, 0.0),
        proving_point=proving_point(rig, float("inf")),
        tools=tool_states(rig, state),
        hose_run=run_items(rig, state),
        power=None,
        use=None,
        limits=limits,
        taken_as=taken_as(rig, state),
        reach=_reach(rig, None),
    )


def _reach(rig: CheckedRig, machine: Machine | None) -> Reach | None:
    """The nearest the unit comes to a target it cannot meet; None beyond what is served.

    Too little: bypass shut at top speed, or the fastest that the engine can turn and relief and pump bear. Too much:
    start speed with the bypass as far open as it goes.
    """
    area, speed = 0.0, rig.top_speed
    too_much = machine is not None and machine.too_much
    if too_much and rig.job.unit.bypass.kind != "hand-set":
        return None  # shut at start speed it gives more than is wanted, and there is nothing to open
    if too_much:
        area, speed = rig.job.unit.bypass.full_open_area or 0.0, rig.start_speed
    state = _within_reach(rig, speed, area)
    if not too_much and (state is None or not _bears(rig, speed, state)):
        low, high = 0.0, speed
        for _step in range(30):
            speed = 0.5 * (low + high)
            state = _within_reach(rig, speed, area)
            bears = state is not None and _bears(rig, speed, state)
            low, high = (speed, high) if bears else (low, speed)
        speed = low
        state = _within_reach(rig, speed, area) if low > 0.0 else None
    if state is None:
        return None
    line = state.lines[target_of(rig)[2] - 1]
    return Reach(speed, state.pump_pressure, line.nozzle, line.jets / rig.water.reference_density)


def _within_reach(rig: CheckedRig, speed: float, area: float) -> State | None:
    try:
        return solve(rig, Levers(speed, area))
    except NotServedError:
        return None


def _bears(rig: CheckedRig, speed: float, state: State) -> bool:
    """Whether engine, relief and pump bear a state."""
    supply = rig.job.supply.pressure
    load = engine_for(rig, speed, shaft_power(rig.water, rig.pump, speed, supply, state.pump_pressure)[1]).asked
    ceiling = min(relief_set(rig), rig.job.unit.pump.rating)
    return (load is None or load <= 1.0 + EDGE) and state.pump_pressure < ceiling


def _starved(rig: CheckedRig, machine: Machine, index: int) -> None:
    water = rig.water
    if rig.supply_hose is not None and machine.inlet + water.ambient <= vapour_pressure(water.temperature):
        facts: dict[str, object] = {"inlet": machine.inlet, "task": rig.job.task[index].name}
        raise RigError([Problem(("supply", "hose"), "pump_starved", facts=facts)])


def _setting(rig: CheckedRig, machine: Machine) -> Setting:
    density = rig.water.reference_density
    full_open = rig.job.unit.bypass.full_open_area
    return Setting(
        pump_speed=machine.speed,
        engine_speed=machine.engine.speed,
        pump_pressure=machine.state.pump_pressure,
        pump_flow=(machine.state.mass_flow + machine.bypass_flow) / density,
        bypass=machine.bypass,
        bypass_flow=machine.bypass_flow / density,
        bypass_area=machine.area,
        bypass_open_share=machine.area / full_open if full_open is not None else None,
        opening_pressure=machine.opening if machine.opening > 0.0 else None,
    )


def tool_states(rig: CheckedRig, state: State) -> tuple[ToolState, ...]:
    """Pressures, flows, recoil and jets of every tool, sound and with its trigger held. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    state : State
        With every tool jetting. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.steady import reach
    >>> rig = check(JOB)
    >>> f"{tool_states(rig, reach(rig, 'nozzle_pressure', 850e5))[0].recoil:.0f} N"
    '170 N'

    References
    ----------
    `parts.nozzle.recoil`.
    """
    density = rig.water.reference_density
    tools = []
    for number, (branch, line) in enumerate(zip(rig.branches, state.lines, strict=True), start=1):
        speed = jet_speed_of(rig.water, line.nozzle + rig.water.ambient)
        along = across = 0.0
        jets = []
        for row in branch.rows:
            flow = jet_flow(rig.water, row.area, line.nozzle)[0]
            back, aside = recoil(flow, speed, row.count, row.angle, row.skew)
            along += back
            across += aside
            jets.append(Jet(row.tip, row.count, row.bore, flow / density, speed))
        tools.append(
            ToolState(
                branch=number,
                tool=branch.tool_name,
                inlet=line.inlet,
                nozzle=line.nozzle,
                flow=line.jets / density,
                leak=line.leak / density,
                recoil=along,
                recoil_side=across,
                jet_power=0.5 * line.jets * speed * speed,
                jets=tuple(jets),
            )
        )
    return tuple(tools)


def run_items(rig: CheckedRig, state: State) -> tuple[RunItem, ...]:
    """Pressure and speed of the water in every item of the hose run, main run first. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    state : State
        The state. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.steady import reach
    >>> rig = check(JOB)
    >>> [item.item for item in run_items(rig, reach(rig, "nozzle_pressure", 850e5))]
    ['S8-20', 'S8-20']

    References
    ----------
    Continuity.
    """
    single = len(rig.branches) == 1 and not rig.main
    items = [_run_item(rig, 0, item, ends, state.mass_flow) for item, ends in zip(rig.main, state.main, strict=True)]
    for number, (branch, line) in enumerate(zip(rig.branches, state.lines, strict=True), start=1):
        for item, ends in zip(branch.items, line.items, strict=True):
            items.append(_run_item(rig, 0 if single else number, item, ends, line.jets + line.leak))
    return tuple(items)


def _run_item(rig: CheckedRig, branch: int, item: Item, ends: tuple[float, float], mass_flow: float) -> RunItem:
    middle = 0.5 * (ends[0] + ends[1]) + rig.water.ambient
    speed = mass_flow * volume_of(rig.water, middle) / round_area(item.piece.bore)
    return RunItem(branch, item.name, ends[0], ends[1], speed)


def _use(rig: CheckedRig, machine: Machine) -> Use | None:
    if machine.speed is None:
        return None
    unit, water = rig.job.unit, rig.water
    leaving = machine.state.mass_flow + (machine.bypass_flow if unit.bypass.returns_to == "ground" else 0.0)
    fuel = def_fluid = back = None
    if unit.engine is not None:
        fuel = fuel_flow(machine.engine.power, FUEL_RATE if unit.engine.fuel_rate is None else unit.engine.fuel_rate)
        def_fluid = DEF_SHARE * fuel if unit.engine.def_tank is not None else 0.0
    if machine.bypass_flow > 0.0:
        outlet = machine.state.pump_pressure + water.ambient
        inlet = max(machine.inlet + water.ambient, water.ambient)
        warm = pumped_temperature(water.temperature, inlet, outlet)
        back = throttled_temperature(warm, outlet, water.ambient)
    return Use(leaving / water.reference_density, fuel, def_fluid, back)
