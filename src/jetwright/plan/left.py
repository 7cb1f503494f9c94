"""What the setting left over from the task before would do to this task's rig."""

from jetwright.errors import NotServedError
from jetwright.parts.relief import latest_opening
from jetwright.plan.answer import LeftOver
from jetwright.plan.setting import Machine, full_flow_pressure, relief_set
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND, Condition
from jetwright.solve.push import length_of, push_of
from jetwright.solve.steady import SERVED_TO, Levers, State, reach, solve


def left_over(rig: CheckedRig, before_name: str, before: Machine) -> LeftOver:
    """What a rig would do if the task before's speed and bypass were left as they are, every trigger held. [-]

    Relief valves may lift; a disc has burst by the highest pressure of its tolerance. Where nothing described can hold
    it, it stands at the relief's full flow, or at the highest pressure that is served.

    Parameters
    ----------
    rig : CheckedRig
        Of this task. [-]
    before_name : str
        Of the task before. [-]
    before : Machine
        Its setting; what cannot be set is cut to what can. [-]

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
    `solve.steady.solve`.
    """
    full_open = rig.job.unit.bypass.full_open_area or 0.0
    speed = rig.top_speed if before.speed is None else min(before.speed, rig.top_speed)
    area = min(before.area, full_open)
    discs = [device for device in rig.job.unit.relief if device.kind == "disc"]
    ceiling = min((latest_opening("disc", disc.set, disc.tolerance) for disc in discs), default=None)
    state = held_below(rig, Levers(speed, area, before.opening, relief=True), ceiling)
    if state is None:
        full = full_flow_pressure(rig)
        state = reach(rig, "pump_pressure", SERVED_TO if full is None else min(full, SERVED_TO))
    recoil = tuple(length_of(*push_of(rig, at, line.nozzle)) for at, line in enumerate(state.lines, start=1))
    lifts = bool(rig.job.unit.relief) and state.pump_pressure >= relief_set(rig)
    return LeftOver(before_name, speed, area, state.pump_pressure, lifts, recoil)


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
