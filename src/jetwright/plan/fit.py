"""What one reading says about a rig: each single explanation of it, alive until something measured is against it."""

import datetime
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from jetwright.errors import NotServedError, Problem
from jetwright.limits.limit import EDGE, Limit, Verdict, worst
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.answer import Explanation, Fit, ProvingPoint
from jetwright.plan.explain import (
    PUMP_GIVES,
    Cause,
    Shown,
    bore_of,
    causes_of,
    given_at,
    half_division,
    own_error,
    pin_error,
    standing_at,
)
from jetwright.plan.flush import open_end
from jetwright.plan.same_rig import changed_since
from jetwright.plan.setting import Machine, relief_set, target_of
from jetwright.plan.tolerance import error_of
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND, Condition
from jetwright.rig.description import Job, Reading
from jetwright.solve.balance import settle
from jetwright.solve.push import length_of, push_of
from jetwright.solve.steady import SERVED_TO, Levers, State, reach, solve

BORDER = 0.10
"""A reading further than this from what is expected is explained before it is used (common practice)."""
FLOW_ERROR = 0.02
"""Of a flow by a meter at the inlet or by the fall of a tank in a timed minute (common practice)."""
ABOVE = 0.05
"""How far above the task's own gauge a reading may lie: as exactly as a setting is met (our own convention)."""
BY_READING = "recoil.fitted"
"""The limit that a reading brings with it."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A reading and what it says, with every limit of its task as a plan then judges it, where it is taken, and the
    setting as planned: both None where the task has none.
    """

    reading: Reading
    fit: Fit
    limits: tuple[Limit, ...]
    proving: ProvingPoint | None
    machine: Machine | None

    @property
    def verdict(self) -> Verdict:
        """Of its task with this reading. [-]"""
        return worst(self.limits)

    @property
    def refused(self) -> bool:
        """Whether its task is not allowed with this reading. [-]"""
        return self.verdict == "not_allowed"

    @property
    def refused_without(self) -> bool:
        """Whether its task is not allowed whatever was read. [-]"""
        return any(limit.verdict == "not_allowed" and limit.id != BY_READING for limit in self.limits)

    @property
    def holds(self) -> bool:
        """Whether it is adopted and its task is not refused. [-]"""
        return self.fit.adopted and not self.refused


def fit_of(rig: CheckedRig, machine: Machine | None, reading: Reading, day: datetime.date) -> Fit:
    """What a reading says about a rig: the explanations alive, the speed in their middle, the recoil judged. [-]

    Each explanation alone makes the model show what was seen. What the gauge, the speed and a part opening may be off
    makes its share an interval; what is not plausible of it is cut off, and with nothing left it is dead. So it is
    where a further reading lies beyond its own error of what it would then have to be. Nothing else is put to use of a
    reading that lies further off than `BORDER`; one that has expired, or at which the rig as planned would stand above
    4000 bar, is not solved at all.

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    machine : Machine or None
        Its setting as planned; None where it has none. [-]
    reading : Reading
        As it was read. [-]
    day : date
        Of the job. [-]

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig, day = check(JOB), datetime.date(2026, 5, 4)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> fit = fit_of(rig, machine, Reading(JOB.task[0].name, day, rig.start_speed, 470e5), day)
    >>> [f"{one.what} {one.share[1]:.3f}" for one in fit.explanations if one.alive], fit.next
    (['pump 0.967', 'tip 1.037'], 'flow')

    References
    ----------
    Our own convention: docs/fit.md.
    """
    fit = Fit(
        day=reading.day,
        pump_speed_read=reading.pump_speed,
        bypass_area=reading.bypass_area,
        expected=None,
        seen=reading.gauge,
        ratio=None,
        explanations=(),
        adopted=False,
        expired=changed_since(rig, reading, day),
        day_alone=reading.taken_with is None,
    )
    if fit.expired:
        return fit
    if machine is None:
        return replace(fit, expired=("unserved",))
    try:
        expected = max(1.0, solve(rig, Levers(reading.pump_speed, reading.bypass_area)).pump_pressure)
    except NotServedError:
        return replace(fit, expired=("unserved",))
    ratio = reading.gauge / expected
    causes = [_held_against(rig, reading, cause) for cause in causes_of(rig, reading, expected)]
    alive = [cause for cause in causes if not cause.against]
    adopted = bool(alive) and abs(ratio - 1.0) <= BORDER + EDGE
    told = tuple(_told(rig, machine, cause, adopted) for cause in causes)
    next_one = _next(rig, reading, told)
    fit = replace(fit, expected=expected, ratio=ratio, explanations=told, adopted=adopted, next=next_one)
    return _fitted(rig, machine, fit, alive) if adopted else fit


def reading_for(job: Job, task: str, day: datetime.date) -> Reading | None:
    """The reading of a task that a plan for a day looks at: that day's, else the latest; None where there is none. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    task : str
        Name of the task. [-]
    day : date
        Of the job. [-]

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> rows = tuple(Reading("A", datetime.date(2026, 5, at), 2.0, 470e5) for at in (4, 6))
    >>> reading_for(replace(JOB, reading=rows), "A", datetime.date(2026, 5, 4)).day.day
    4

    References
    ----------
    Our own convention.
    """
    rows = [reading for reading in job.reading if reading.task == task]
    return max(rows, key=lambda reading: (reading.day == day, reading.day), default=None)


def reading_problems(rig: CheckedRig, machine: Machine, reading: Reading) -> list[Problem]:
    """What makes a new reading one that tells nothing, by key of the reading. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    machine : Machine
        Its setting as planned. [-]
    reading : Reading
        That is to be used. [-]

    Raises
    ------
    NotServedError
        When the rig as planned would stand above 4000 bar there.

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> fast = Reading(JOB.task[0].name, datetime.date(2026, 5, 4), 4.0, 470e5)
    >>> [problem.code for problem in reading_problems(rig, machine, fast)]
    ['reading_above_target']

    References
    ----------
    Our own convention.
    """
    found = []
    expected = solve(rig, Levers(reading.pump_speed, reading.bypass_area)).pump_pressure
    planned = machine.state.pump_pressure
    if expected > (1.0 + ABOVE) * planned:
        facts: dict[str, object] = {"expected": expected, "planned": planned, "start": rig.start_speed}
        found.append(Problem(("pump_speed",), "reading_above_target", facts=facts))
    bypass = rig.job.unit.bypass
    if bypass.kind == "unloader" and bypass.set is not None and reading.gauge >= bypass.set:
        found.append(Problem(("gauge",), "reading_unloader_open", facts={"opening": bypass.set}))
    elif rig.job.unit.relief and reading.gauge >= relief_set(rig):
        found.append(Problem(("gauge",), "reading_relief_open", facts={"opening": relief_set(rig)}))
    most = PUMP_GIVES[1] * reading.pump_speed * rig.pump.swept_volume
    if reading.flow is not None and reading.flow * (1.0 - FLOW_ERROR) > most:
        found.append(Problem(("flow",), "reading_flow_high", facts={"most": most}))
    return found


# ---- further readings ------------------------------------------------------------------------------------------------


def _held_against(rig: CheckedRig, reading: Reading, cause: Cause) -> Cause:
    """An explanation with the further reading that contradicts it, if one does."""
    if cause.against:
        return cause
    if reading.flow is not None:
        flows = [_flow(rig, cause, place) for place in range(3)]
        if _apart(flows, (1.0 - FLOW_ERROR) * reading.flow, (1.0 + FLOW_ERROR) * reading.flow):
            return replace(cause, against="flow")
    bore = bore_of(rig)
    if reading.pin is not None and bore is not None and cause.what != "tip":
        error = pin_error(reading.pin)
        if _apart([bore], reading.pin - error, reading.pin + error):
            return replace(cause, against="pin")
    if reading.flush is not None:
        error, ends = own_error(rig), (0, 2)
        flushes = [_flush(rig, cause.conditions[one], cause.shown[other]) for one in ends for other in ends]
        if _apart(flushes, reading.flush - error, reading.flush + error):
            return replace(cause, against="flush")
    return cause


def _apart(told: list[float], low: float, high: float) -> bool:
    return max(told) < low - EDGE * abs(low) or min(told) > high + EDGE * abs(high)


def _flow(rig: CheckedRig, cause: Cause, place: int = 1) -> float:
    """Through all jets, in the middle or at an end of an explanation. [m³/s]

    A weak pump gives what the rig takes at that gauge; behind a sound one tips and hoses take what it gives. Neither
    depends on how much of the explanation is plausible.
    """
    shown, condition = cause.shown[place], cause.conditions[place]
    density = rig.water.reference_density
    if cause.what == "gauge":
        return sum(line.jets for line in standing_at(rig, shown).lines) / density
    if cause.what == "pump":
        return sum(line.jets for line in reach(rig, "pump_pressure", shown.gauge).lines) / density
    leaks = sum(line.leak for line in reach(rig, "pump_pressure", shown.gauge, condition=condition).lines)
    return max(0.0, given_at(rig, shown) - leaks) / density


def _flush(rig: CheckedRig, condition: Condition, shown: Shown) -> float:
    """Gauge with the tips off, at that speed and opening. [Pa]"""
    network = open_end(rig, target_of(rig)[2], condition)
    runs, out = (network.pieces, network.main, network.lines), [0.0] * (3 + 2 * len(network.lines))
    settle(network.water, network.pump, network.bypass, (), *runs, shown.speed, shown.area, 0.0, out)
    return min(out[0], SERVED_TO)


def _next(rig: CheckedRig, reading: Reading, told: Iterable[Explanation]) -> str:
    """The further reading whose expectations lie furthest apart, over its own error; "" where none tells anything."""
    alive = [one for one in told if one.alive]
    if len(alive) < 2:
        return ""
    found: dict[str, float] = {}

    def spread(name: str, expected: list[float], error: float) -> None:
        apart = max(expected) - min(expected)
        if apart > error:
            found[name] = apart / error

    if reading.flow is None:
        flows = [one.flow or 0.0 for one in alive]
        spread("flow", flows, FLOW_ERROR * max(flows))
    bore = bore_of(rig)
    if reading.pin is None and bore is not None:
        bores = [bore * math.sqrt(one.share[1]) if one.what == "tip" else bore for one in alive]
        spread("pin", bores, pin_error(bore))
    if reading.flush is None:
        spread("flush", [one.flush or 0.0 for one in alive], own_error(rig))
    return max(found, key=lambda name: found[name], default="")


# ---- what is made of it ----------------------------------------------------------------------------------------------


def _told(rig: CheckedRig, machine: Machine, cause: Cause, adopted: bool) -> Explanation:
    """An explanation with what a further reading would show, and, of a reading that is used, what would have to be set.

    A crew sets the gauge: each tool is told at the pressure of its target and at the planned gauge, the higher of both.
    """
    if cause.against:
        return Explanation(cause.what, cause.share, False, against=cause.against)
    flush = _flush(rig, cause.conditions[1], cause.shown[1])
    told = Explanation(cause.what, cause.share, True, flow=_flow(rig, cause), flush=flush)
    if not adopted:
        return told
    planned, known = machine.state.pump_pressure, error_of(rig)
    error = half_division(rig.job.unit.gauge) if known is None else known
    speeds, pushes = [], []
    for share, condition in zip(cause.share, cause.conditions, strict=True):
        met = _met(rig, condition)
        speeds.append(_speed(rig, met, condition))
        hidden = min(planned / share - planned, error) if cause.what == "gauge" and 0.0 < share < 1.0 else 0.0
        put_on = reach(rig, "pump_pressure", min(planned + hidden, SERVED_TO), condition=condition)
        states = [_pushes(rig, state, condition) for state in (met, put_on)]
        pushes.append([max(both) for both in zip(*states, strict=True)])
    recoil = tuple((low, middle, high) for low, middle, high in zip(*pushes, strict=True))
    return replace(told, pump_speed=(speeds[0], speeds[1], speeds[2]), recoil=recoil)


def _met(rig: CheckedRig, condition: Condition) -> State:
    """The state in which the target is met, or as near to it as is served."""
    try:
        return reach(rig, *target_of(rig), condition)
    except NotServedError:
        return reach(rig, "pump_pressure", SERVED_TO, condition=condition)


def _speed(rig: CheckedRig, state: State, condition: Condition) -> float:
    """The pump's speed for a state, as `plan.setting` sets it. [rev/s]"""
    bypass = rig.job.unit.bypass
    pump = replace(rig.pump, strength=condition.pump_strength)
    speed = state.mass_flow / max(1e-9, delivered_per_turn(rig.water, pump, state.pump_pressure))
    if bypass.kind == "unloader":
        return speed
    return max(rig.start_speed, speed / (1.0 - bypass.spill) if bypass.kind == "regulating" else speed)


def _pushes(rig: CheckedRig, state: State, condition: Condition) -> list[float]:
    return [
        length_of(*push_of(rig, number, line.nozzle, condition)) for number, line in enumerate(state.lines, start=1)
    ]


def _fitted(rig: CheckedRig, machine: Machine, fit: Fit, alive: list[Cause]) -> Fit:
    """The speed in the middle of what the explanations alive ask, and the most that a tool then pushes.

    With the bypass shut that speed is what is put on: what each explanation makes of it counts too.
    """
    asked = [one.pump_speed[1] for one in fit.explanations if one.pump_speed is not None]
    speed = 0.5 * (min(asked) + max(asked))
    told = fit.explanations
    if machine.bypass == "closed":
        causes = {cause.what: cause for cause in alive}
        told = tuple(_put_on(rig, speed, causes[one.what], one) if one.alive else one for one in told)
    pushes = [_pushes(rig, machine.state, SOUND), *([push[1] for push in one.recoil] for one in told if one.alive)]
    return replace(
        fit,
        explanations=told,
        pump_speed=(min(asked), speed, max(asked)),
        recoil=tuple(max(each) for each in zip(*pushes, strict=True)),
    )


def _put_on(rig: CheckedRig, speed: float, cause: Cause, told: Explanation) -> Explanation:
    """An explanation with what a tool pushes when a speed is put on, where that is more."""
    pushes = []
    for condition in cause.conditions:
        try:
            state = solve(rig, Levers(speed), condition)
        except NotServedError:
            state = reach(rig, "pump_pressure", SERVED_TO, condition=condition)
        pushes.append(_pushes(rig, state, condition))
    most = [tuple(map(max, push, ends)) for push, ends in zip(told.recoil, zip(*pushes, strict=True), strict=True)]
    return replace(told, recoil=tuple((low, middle, high) for low, middle, high in most))
