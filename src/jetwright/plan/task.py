"""The plan of a job: for each task the setting, what it does at every part, and what would cure a refusal."""

from collections.abc import Callable
from dataclasses import replace

from jetwright.errors import NotServedError, Problem, RigError
from jetwright.limits.limit import EDGE, worst
from jetwright.parts.engine import DEF_SHARE, FUEL_RATE, fuel_flow
from jetwright.parts.nozzle import jet_flow, recoil, round_area
from jetwright.parts.pump import shaft_power
from jetwright.plan.answer import Jet, Plan, Power, Reach, RunItem, Setting, TaskPlan, ToolState, Use
from jetwright.plan.assess import assess
from jetwright.plan.basis import Basis
from jetwright.plan.cost import cost_of
from jetwright.plan.coverage import coverage_of
from jetwright.plan.cures import cures_for, topic_of
from jetwright.plan.goal import goal_of
from jetwright.plan.inlet import inlet_side
from jetwright.plan.jet import jets_at_target
from jetwright.plan.proving import proving_point
from jetwright.plan.pull import pulls_of
from jetwright.plan.release import release_of
from jetwright.plan.restraints import restraints_of
from jetwright.plan.setting import Machine, engine_for, relief_set, target_of
from jetwright.plan.taken import taken_as
from jetwright.plan.usage import usage_of
from jetwright.plan.water import water_stock
from jetwright.rig.check import CheckedRig, Item, check
from jetwright.rig.description import Job
from jetwright.solve.steady import Levers, State, solve
from jetwright.water.state import jet_speed_of, pumped_temperature, throttled_temperature, vapour_pressure, volume_of


def plan_job(
    job: Job,
    basis: Basis,
    task: str | None = None,
    on_task: Callable[[str], None] | None = None,
    cures: bool = True,
) -> Plan:
    """Plan every task of a job, or the one named. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    basis : Basis
        Rule set, orders and day. [-]
    task : str | None
        Name of the only task wanted. [-]
    on_task : Callable | None
        Told each task's name before it is planned. [-]
    cures : bool
        Look for what would cure a refusal; False: the task says that it was not looked for to the end. [-]

    Raises
    ------
    RigError
        When the description does not fit together, or no task has that name.

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> plan_job(JOB, basis_for(JOB)).tasks[0].verdict
    'look'

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
        plans.append(plan_task(check(job, index), index, basis, cures))
    return Plan(job.title, basis.rules, tuple(plans), basis.day)


def plan_task(rig: CheckedRig, index: int, basis: Basis, cures: bool = True) -> TaskPlan:
    """Plan one task. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig of that task. [-]
    index : int
        Which task of its job, from 0. [-]
    basis : Basis
        Rule set, orders and day. [-]
    cures : bool
        Look for what would cure a refusal. [-]

    Raises
    ------
    RigError
        When the supply hose starves the pump.

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> plan_task(check(JOB), 0, basis_for(JOB)).setting.bypass
    'closed'

    References
    ----------
    docs/job-file.md.
    """
    assessed = assess(rig, index, basis)
    machine, case, limits = assessed.machine, assessed.case, assessed.limits
    if machine is not None:
        _starved(rig, machine, index)
    cut = bool(assessed.refused)
    if assessed.refused and cures:
        found, cut = cures_for(rig.job, index, basis, assessed)
        limits = tuple(
            replace(one, cures=found[topic_of(one.id)]) if one.verdict == "not_allowed" else one for one in limits
        )
    state = _at_top_speed(rig, index) if machine is None else machine.state
    set_up = machine if machine is not None and machine.speed is not None else None
    use = None if set_up is None else _use(rig, set_up)
    stock = None if set_up is None else water_stock(rig, set_up)
    usage = None if set_up is None or use is None or stock is None else usage_of(rig, set_up, use, stock)
    jets = jets_at_target(rig, state)
    return TaskPlan(
        name=rig.task.name,
        verdict=worst(limits),
        setting=Setting(None, None, None, None, "closed", 0.0, 0.0) if machine is None else _setting(rig, machine),
        proving_point=proving_point(rig, float("inf") if machine is None else state.pump_pressure)
        if case is None
        else case.proving,
        tools=tool_states(rig, state),
        hose_run=run_items(rig, state),
        power=None
        if set_up is None
        else Power(set_up.hydraulic, set_up.shaft, set_up.engine.power, set_up.engine.load),
        use=use,
        limits=limits,
        taken_as=taken_as(rig, state),
        reach=None if machine is not None and machine.allowed else _reach(rig, machine),
        tolerance=None if case is None else case.tolerance,
        run_up=() if case is None else case.steps,
        release=None if case is None else release_of(rig, case.machine, case.states),
        states=() if case is None else case.states,
        left=None if case is None else case.left,
        restraints=restraints_of(rig),
        cures_cut=cut,
        water=stock,
        density=rig.water.reference_density,
        inlet=None if set_up is None else inlet_side(rig, set_up),
        jets=jets,
        coverage=coverage_of(rig, state, jets),
        pulls=pulls_of(rig, state),
        usage=usage,
        cost=None if usage is None else cost_of(rig.job, rig.task, usage),
        goal=goal_of(rig, state, basis.goals),
        fit=None if case is None else case.fit,
    )


def _at_top_speed(rig: CheckedRig, index: int) -> State:
    """What top speed gives where a target needs more than is served."""
    try:
        return solve(rig, Levers(rig.top_speed))
    except NotServedError as why:
        problem = Problem(("task", index, "target"), "above_served", facts=why.facts)
        raise RigError([problem]) from why


def _reach(rig: CheckedRig, machine: Machine | None) -> Reach | None:
    """The nearest the unit comes to a target it cannot meet; None beyond what is served.

    Too little: bypass shut at top speed, or the fastest that the engine can turn and relief and pump bear; None where
    not even start speed is borne. Too much: start speed with the bypass as far open as it goes.
    """
    area, speed, stopped = 0.0, rig.top_speed, "speed"
    too_much = machine is not None and machine.too_much
    if too_much and rig.job.unit.bypass.kind != "hand-set":
        return None  # shut at start speed it gives more than is wanted, and there is nothing to open
    if too_much:
        area, speed, stopped = rig.job.unit.bypass.full_open_area or 0.0, rig.start_speed, "bypass"
    state = _within_reach(rig, speed, area)
    if not too_much and _stops(rig, speed, state):
        low, high = rig.start_speed, speed
        if _stops(rig, low, _within_reach(rig, low, area)):
            return None
        for _step in range(30):
            speed = 0.5 * (low + high)
            why = _stops(rig, speed, _within_reach(rig, speed, area))
            low, high, stopped = (low, speed, why) if why else (speed, high, stopped)
        speed = low
        state = _within_reach(rig, speed, area)
    if state is None:
        return None
    line = state.lines[target_of(rig)[2] - 1]
    return Reach(speed, state.pump_pressure, line.nozzle, line.jets / rig.water.reference_density, stopped)


def _within_reach(rig: CheckedRig, speed: float, area: float) -> State | None:
    try:
        return solve(rig, Levers(speed, area))
    except NotServedError:
        return None


def _stops(rig: CheckedRig, speed: float, state: State | None) -> str:
    """What does not bear a state: "engine", "relief", "pump" or "served"; "" where all bear it."""
    if state is None:
        return "served"
    supply = rig.job.supply.pressure
    load = engine_for(rig, speed, shaft_power(rig.water, rig.pump, speed, supply, state.pump_pressure)[1]).asked
    opens, rating = relief_set(rig), rig.job.unit.pump.rating
    if state.pump_pressure >= min(opens, rating):
        return "relief" if opens <= rating else "pump"
    return "engine" if load is not None and load > 1.0 + EDGE else ""


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


def _use(rig: CheckedRig, machine: Machine) -> Use:
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
