"""One task as far as it is solved, and every limit over it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import ModuleType

from jetwright.errors import NotServedError
from jetwright.limits.limit import Limit
from jetwright.limits.machine import engine_power, pump_speed
from jetwright.plan.answer import Fit, LeftOver, Tolerance
from jetwright.plan.basis import Basis
from jetwright.plan.case import Case
from jetwright.plan.fit import fit_of, reading_for
from jetwright.plan.judging import gauge, hose, machine, person, ratings, recoil, release, relief, run_up, site, water
from jetwright.plan.left import left_over, setting_left
from jetwright.plan.proving import banded, proving_point
from jetwright.plan.run_up import steps_of
from jetwright.plan.setting import Machine, bypass_untouched, machine_for, target_of
from jetwright.plan.tolerance import tolerance_of
from jetwright.rig.check import CheckedRig, check
from jetwright.solve.states import TriggerState, trigger_states

TOPICS: tuple[ModuleType, ...] = (machine, ratings, relief, gauge, recoil, release, run_up, water, hose, person, site)


@dataclass(frozen=True, slots=True)
class Assessed:
    """The setting of a task, what it was judged on, and the limits.

    machine: None where the target lies beyond what is served; case: None where no speed serves.
    """

    machine: Machine | None
    case: Case | None
    limits: tuple[Limit, ...]

    @property
    def refused(self) -> frozenset[tuple[str, str]]:
        """Id and part of each limit that is not allowed. [-]"""
        return frozenset((limit.id, limit.about) for limit in self.limits if limit.verdict == "not_allowed")


def assess(
    rig: CheckedRig,
    index: int,
    basis: Basis,
    *,
    rough: bool = False,
    steps: bool = True,
    left: bool = True,
    topics: Sequence[ModuleType] = TOPICS,
) -> Assessed:
    """Set a task's machine and judge everything about it. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    index : int
        Which task of its job, from 0. [-]
    basis : Basis
        Rule set, orders and day. [-]
    rough : bool
        Judge at the middle in place of the cautious end: quick, and whatever that refuses is refused in full as well.
        [-]
    steps : bool
        Solve the order of steps too; no limit depends on them. [-]
    left : bool
        Judge what the setting of the task before would do; it never refuses. [-]
    topics : Sequence of ModuleType
        Of those of `TOPICS`, those that are judged. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> assessed = assess(check(JOB), 0, basis_for(JOB))
    >>> sorted({limit.id.split(".")[0] for limit in assessed.limits if limit.verdict == "not_allowed"})
    []

    References
    ----------
    docs/rules.md.
    """
    try:
        setting = machine_for(rig, *target_of(rig))
    except NotServedError:
        return Assessed(None, None, _beyond(rig, basis))
    if setting.speed is None:
        return Assessed(setting, None, setting.limits)
    proving = proving_point(rig, setting.state.pump_pressure)
    states = trigger_states(rig, setting.levers)
    fit = _fit(rig, setting, basis)
    if rough:
        case = Case(rig, index, basis, setting, proving, _middle(setting, states), states, (), None, fit)
    else:
        tolerance = tolerance_of(rig, setting, proving)
        proving = banded(proving, tolerance.proving, setting.state.pump_pressure)
        order = steps_of(rig, setting, proving, basis, tolerance, states) if steps and setting.allowed else ()
        before = _left(rig, index, basis) if left else None
        case = Case(rig, index, basis, setting, proving, tolerance, states, order, before, fit)
    return Assessed(setting, case, tuple(limit for topic in topics for limit in topic.limits(case)))


def _fit(rig: CheckedRig, setting: Machine, basis: Basis) -> Fit | None:
    """What the task's reading says; None where there is none, or the rig as planned could not be there."""
    reading = reading_for(rig.job, rig.task.name, basis.day)
    try:
        return None if reading is None else fit_of(rig, setting, reading, basis.day)
    except NotServedError:
        return None


def _middle(setting: Machine, states: tuple[TriggerState, ...]) -> Tolerance:
    """No spread at all: what is planned."""
    gauge, speed = setting.state.pump_pressure, setting.speed or 0.0
    held = states[0].tools
    return Tolerance(
        pump_pressure=(gauge, gauge),
        pump_speed=(speed, speed),
        proving=(0.0, 0.0),
        recoil=tuple(math.hypot(tool.along, tool.across) for tool in held),
        nozzle=tuple(tool.nozzle for tool in held),
    )


def _beyond(rig: CheckedRig, basis: Basis) -> tuple[Limit, ...]:
    """The limits of a target that no speed serves."""
    described = rig.job.unit.engine is not None
    engine = replace(
        engine_power(None, basis.rules.bound("engine.load"), described=described),
        verdict="not_judged",
        missing="task.target",
    )
    return (bypass_untouched(rig), pump_speed(None, rig.top_speed), engine)


def _left(rig: CheckedRig, index: int, basis: Basis) -> LeftOver | None:
    """What the setting of the task before would do here; None for the first, or where that has no setting."""
    if index == 0:
        return None
    before = check(rig.job, index - 1)
    left = setting_left(before, basis.day)
    return None if left is None else left_over(rig, before.task.name, *left)
