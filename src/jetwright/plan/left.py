"""What the setting left over from the task before would do to this task's rig."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from jetwright.errors import NotServedError
from jetwright.parts.relief import latest_opening
from jetwright.plan.answer import LeftOver
from jetwright.plan.fit import fit_of, reading_for
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import Machine, full_flow_pressure, machine_for, relief_set, target_of
from jetwright.plan.tolerance import tolerance_of
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND, Condition
from jetwright.solve.balance import GRAVITY
from jetwright.solve.push import length_of, push_of
from jetwright.solve.states import TriggerState, trigger_states
from jetwright.solve.steady import SERVED_TO, Levers, State, reach, solve


def setting_left(rig: CheckedRig, day: date) -> tuple[Machine, float] | None:
    """A task's setting and the fastest that its crew may have had it at; None where it has none. [-, rev/s]

    Where a reading was adopted the crew went on to another speed: the setting has the fastest that it allows for. At
    which speed the target is met is known no better than its tolerance, to its upper end.

    Parameters
    ----------
    rig : CheckedRig
        Of the task before. [-]
    day : date
        On which it was worked. [-]

    Examples
    --------
    >>> from datetime import date
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> machine, fastest = setting_left(check(JOB), date(2026, 3, 2))
    >>> f"{machine.speed * 60:.0f} rpm, {fastest * 60:.0f} rpm at most"
    '177 rpm, 190 rpm at most'

    References
    ----------
    `plan.fit`, `plan.tolerance`.
    """
    try:
        machine = machine_for(rig, *target_of(rig))
    except NotServedError:
        return None
    if machine.speed is None:
        return None
    fitted, known = [machine.speed], [machine.speed]
    try:
        proving = proving_point(rig, machine.state.pump_pressure)
        known += tolerance_of(rig, machine, proving).pump_speed or ()
        reading = reading_for(rig.job, rig.task.name, day)
        fit = None if reading is None else fit_of(rig, machine, reading, day)
        fitted += () if fit is None else fit.pump_speed or ()
    except NotServedError:
        pass  # as far as it is served
    return replace(machine, speed=max(fitted)), max(known + fitted)


def left_over(rig: CheckedRig, before_name: str, before: Machine, speed: float = 0.0) -> LeftOver:
    """What a rig would do at worst if the task before's speed and bypass were left as they are. [-]

    The worst for each tool over the triggers of the others, and of a dry shut-off gun also as it is pressed, from the
    pressure that stands in its line. Relief valves may lift; an unloader is not counted on while a tool is held; a disc
    has burst by the highest pressure of its tolerance. What nothing described holds stands above the highest rating,
    and is told as it is there.

    Parameters
    ----------
    rig : CheckedRig
        Of this task. [-]
    before_name : str
        Of the task before. [-]
    before : Machine
        Its setting; what cannot be set is brought to what can. [-]
    speed : float
        Which it may have been left at; the setting's own is the least. [rev/s]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Tip
    >>> from jetwright.rig.example import JOB
    >>> before = machine_for(check(JOB), "nozzle_pressure", 850e5, 1)
    >>> smaller = check(replace(JOB, tips={"R12": Tip(1.1e-3, "rounded")}))
    >>> left = left_over(smaller, JOB.task[0].name, before)
    >>> f"{left.gauge / 1e5:.0f} bar, {left.recoil[0]:.0f} N"
    '1215 bar, 196 N'

    References
    ----------
    `solve.states`.
    """
    full_open = rig.job.unit.bypass.full_open_area or 0.0
    planned = rig.top_speed if before.speed is None else before.speed
    planned, speed = (min(max(one, rig.start_speed), rig.top_speed) for one in (planned, max(planned, speed)))
    area = min(before.area, full_open)
    levers = Levers(speed, area, before.opening, relief=True)
    states = trigger_states(rig, levers)
    gauges = [_gauge(rig, levers, state) for state in states]
    known = [gauge for gauge in gauges if gauge is not None]
    held = len(known) == len(gauges)
    rated = () if held else (rating for rating in ratings_of(rig).values() if rating is not None)
    highest = max([*known, *rated])
    stands = [highest if gauge is None else gauge for gauge in gauges]
    tools = [_worst(rig, number, states, stands) for number in range(1, len(rig.branches) + 1)]
    return LeftOver(
        before_name,
        planned,
        area,
        highest,
        bool(rig.job.unit.relief) and highest >= relief_set(rig),
        tuple(push for push, _nozzle, _when in tools),
        fastest=speed,
        held=held,
        nozzle=tuple(nozzle for _push, nozzle, _when in tools),
        when=tuple(when for _push, _nozzle, when in tools),
        valve=rig.job.unit.bypass.kind if rig.job.unit.bypass.full_open_area is None else "hand-set",
    )


def ratings_of(rig: CheckedRig) -> Mapping[str, float | None]:
    """Rating of each part of a rig by its key; None: nobody said. [Pa]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> ratings_of(check(JOB))["unit.pump"]
    130000000.0

    References
    ----------
    Ratings as on plate and tag.
    """
    unit, job = rig.job.unit, rig.job
    ratings: dict[str, float | None] = {"unit.pump": unit.pump.rating}
    if unit.pump.kit is not None:
        ratings[f"unit.kits.{unit.pump.kit}"] = unit.kits[unit.pump.kit].rating
    for item in (*rig.main, *(item for branch in rig.branches for item in branch.items)):
        if item.name in job.hoses:
            ratings[f"hoses.{item.name}"] = job.hoses[item.name].rating
        else:
            ratings[f"fittings.{item.name}"] = job.fittings[item.name].rating
    for branch in rig.branches:
        ratings[f"tools.{branch.tool_name}"] = branch.tool.rating
    return ratings


def _gauge(rig: CheckedRig, levers: Levers, state: TriggerState) -> float | None:
    """Where the pump stands in a state; None: nothing described holds it."""
    if state.unloaded and not any(state.held):
        return rig.job.unit.bypass.set  # just before it opened
    if state.pump_pressure is not None and not state.unloaded:
        return state.pump_pressure
    discs = [latest_opening("disc", one.set, one.tolerance) for one in rig.job.unit.relief if one.kind == "disc"]
    full = full_flow_pressure(rig)
    ceiling = min((*discs, *(() if full is None else (full,))), default=None)
    if state.unloaded:
        let_go = [number for number, held in enumerate(state.held, start=1) if not held]
        dumping = tuple(number for number in let_go if rig.branches[number - 1].tool.release == "dump")
        shut = tuple(number for number in let_go if number not in dumping)
        found = held_below(rig, replace(levers, shut=shut, dumping=dumping), ceiling)
        if found is not None:
            return found.pump_pressure
    return ceiling if ceiling is not None and ceiling < SERVED_TO else None


def _worst(
    rig: CheckedRig, number: int, states: tuple[TriggerState, ...], stands: list[float]
) -> tuple[float, float, str]:
    """Push of a tool where it is the most, pressure behind its tips there, and when that is. [N, Pa, -]"""
    branch = rig.branches[number - 1]
    found: list[tuple[float, float, str]] = []
    capped = []
    for state, gauge in zip(states, stands, strict=True):
        if not state.held[number - 1]:
            if branch.tool.release == "dry shut-off":
                nozzle = max(0.0, gauge - rig.water.reference_density * GRAVITY * branch.rise)
                found.append((length_of(*push_of(rig, number, nozzle)), nozzle, "kick"))
        elif state.unloaded or state.pump_pressure is None:
            capped.append((gauge, state))
        else:
            tool = state.tools[number - 1]
            found.append((length_of(tool.along, tool.across), tool.nozzle, _when(state)))
    if capped:  # at one pressure the fewest tools lose the least on the way
        gauge, state = max(capped, key=lambda one: (one[0], -sum(one[1].held)))
        silent = [other for other, held in enumerate(state.held) if not held]
        rows = [(other + 1, row) for other in silent for row in range(len(rig.branches[other].rows))]
        at = reach(rig, "pump_pressure", gauge, condition=Condition(port_area=dict.fromkeys(rows, 0.0)))
        nozzle = at.lines[number - 1].nozzle
        found.append((length_of(*push_of(rig, number, nozzle)), nozzle, _when(state)))
    return max(found, key=lambda one: one[0])


def _when(state: TriggerState) -> str:
    return "alone" if sum(state.held) == 1 < len(state.held) else ""


def held_below(rig: CheckedRig, levers: Levers, ceiling: float | None, condition: Condition = SOUND) -> State | None:
    """Where a rig settles, or stands at the pressure above which something opens; None: nothing described holds it. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    levers : Levers
        Speed, bypass, every trigger held. [-]
    ceiling : float | None
        Gauge pressure at the pump at which something opens; None: nothing does. [Pa]
    condition : Condition
        Wear and faults; sound when not given. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> [f"{held_below(rig, Levers(3.0), ceiling).pump_pressure / 1e5:.0f} bar" for ceiling in (None, 800e5)]
    ['925 bar', '800 bar']

    References
    ----------
    `solve.steady`.
    """
    try:
        state = solve(rig, levers, condition)
    except NotServedError:
        state = None
    if ceiling is not None and (state is None or state.pump_pressure > ceiling):
        return reach(rig, "pump_pressure", min(ceiling, SERVED_TO), condition=condition)
    return state
