"""What would cure a refused setting: each change is solved again and shown to meet the target."""

import math
from collections.abc import Callable
from dataclasses import replace

from jetwright.errors import JetwrightError
from jetwright.limits.limit import Cure
from jetwright.plan.setting import Machine, machine_for, relief_set, target_of
from jetwright.rig.check import CheckedRig, check
from jetwright.rig.description import Job

USUAL_BORES = (4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3, 13e-3, 16e-3, 19e-3, 20e-3, 25e-3, 32e-3, 38e-3, 50e-3)
"""Hose bores in use, smallest first (common practice). [m]"""
TIP_STEP = 0.05e-3
"""Tips are made in steps of about this bore. [m]"""
TARGET_STEP = 5e5
"""A lower target is said in steps of this. [Pa]"""


def tried(job: Job, task_index: int) -> Machine | None:
    """The setting of a changed job when no limit refuses it and relief and pump bear it, else None. [-]

    Parameters
    ----------
    job : Job
        With the change. [-]
    task_index : int
        Which task, from 0. [-]

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> tried(JOB, 0).allowed
    True

    References
    ----------
    `plan.setting.machine_for`.
    """
    try:
        rig = check(job, task_index)
        machine = machine_for(rig, *target_of(rig))
    except JetwrightError:
        return None
    ceiling = min(relief_set(rig), rig.job.unit.pump.rating)  # no cure may ask for more than these bear
    return machine if machine.allowed and machine.state.pump_pressure < ceiling else None


def cures_for(rig: CheckedRig, task_index: int, refused: Machine | None) -> tuple[Cure, ...]:
    """The nearest changes that meet the target within every limit, or come nearest to it. [-]

    Smaller tips (larger ones when the bypass cannot spill enough), a wider hose, a larger bypass, a faster pump, a
    lower target; each only when it was solved and no limit refuses it.

    Parameters
    ----------
    rig : CheckedRig
        The rig as described. [-]
    task_index : int
        Its task, from 0. [-]
    refused : Machine | None
        The setting that a limit refuses; None when the target lies beyond what is served. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from dataclasses import replace
    >>> weak = replace(JOB.unit.pump, top_speed=2.5)
    >>> job = replace(JOB, unit=replace(JOB.unit, pump=weak))
    >>> sorted({cure.kind for cure in cures_for(check(job), 0, tried(job, 0))})
    ['target', 'tip']

    References
    ----------
    Our own search: bisection along each change.
    """
    spills = refused is not None and refused.too_much
    found = [
        _tip(rig, task_index, larger=spills),
        _hose(rig, task_index) if not spills else None,
        _bypass(rig, task_index, refused) if spills else None,
        _speed(rig, task_index, refused),
        _target(rig, task_index) if not spills else None,
    ]
    return tuple(cure for cure in found if cure is not None)


def _result(rig: CheckedRig, machine: Machine) -> dict[str, float]:
    at = target_of(rig)[2] - 1
    assert machine.speed is not None
    shown = {
        "pump_speed": machine.speed,
        "pump_pressure": machine.state.pump_pressure,
        "nozzle": machine.state.lines[at].nozzle,
        "flow": machine.state.lines[at].jets / rig.water.reference_density,
    }
    if machine.engine.load is not None:
        shown["engine_load"] = machine.engine.load
    return shown


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


def _tip(rig: CheckedRig, task_index: int, *, larger: bool) -> Cure | None:
    job = rig.job
    names = {row.tip for branch in rig.branches for row in branch.rows}
    bores = [job.tips[name].bore for name in names]
    low, high = (1.0, 4.0) if larger else (0.05, 1.0)
    if larger:
        tools = [branch.tool.bore / row.bore for branch in rig.branches for row in branch.rows if row.bore is not None]
        high = min([high, *tools])

    def serves(factor: float) -> bool:
        return tried(_scaled_tips(job, names, factor), task_index) is not None

    # between `far`, which serves, and `near`, which does not, the border is bisected
    far = _first_serving(serves, low, high, larger=larger)
    if far is None:
        return None
    factor = _border(serves, 1.0, far)
    bore = bores[0]
    if len(names) == 1 and bore is not None:
        name = next(iter(names))
        steps = factor * bore / TIP_STEP
        wanted = TIP_STEP * (math.ceil(-1e-9 + steps) if larger else math.floor(1e-9 + steps))
        machine = tried(_scaled_tips(job, names, wanted / bore), task_index) if wanted > 0.0 else None
        if machine is not None:
            return Cure("tip", f"tips.{name}.bore", "length", bore, wanted, _result(rig, machine))
    percent = (math.ceil(-1e-9 + factor * 100.0) if larger else math.floor(1e-9 + factor * 100.0)) / 100.0
    machine = tried(_scaled_tips(job, names, percent), task_index)
    if machine is None:
        return None
    keys = ", ".join(f"tips.{name}" for name in sorted(names))
    return Cure("tips", keys, "percent", 1.0, percent, _result(rig, machine))


def _first_serving(serves: Callable[[float], bool], low: float, high: float, *, larger: bool) -> float | None:
    steps = [low + (high - low) * share / 24.0 for share in range(25)]
    for factor in steps if larger else reversed(steps):
        if factor != 1.0 and serves(factor):
            return factor
    return None


def _border(serves: Callable[[float], bool], near: float, far: float) -> float:
    for _step in range(14):
        middle = 0.5 * (near + far)
        if serves(middle):
            far = middle
        else:
            near = middle
    return far


def _hose(rig: CheckedRig, task_index: int) -> Cure | None:
    job = rig.job
    used = [item.name for item in rig.main] + [item.name for branch in rig.branches for item in branch.items]
    hoses = [name for name in dict.fromkeys(used) if name in job.hoses]
    if not hoses:
        return None
    narrowest = min(job.hoses[name].bore for name in hoses)
    names = [name for name in hoses if job.hoses[name].bore == narrowest]
    for bore in USUAL_BORES:
        if bore <= narrowest * 1.001:
            continue
        stock = dict(job.hoses)
        for name in names:
            tails = stock[name].tails
            scaled = None if tails is None else replace(tails, bore=tails.bore * bore / narrowest)
            stock[name] = replace(stock[name], bore=bore, tails=scaled)
        machine = tried(replace(job, hoses=stock), task_index)
        if machine is not None:
            keys = ", ".join(f"hoses.{name}.bore" for name in names)
            return Cure("hose", keys, "length", narrowest, bore, _result(rig, machine))
    return None


def _bypass(rig: CheckedRig, task_index: int, refused: Machine | None) -> Cure | None:
    described = rig.job.unit.bypass
    if refused is None or described.kind != "hand-set" or described.full_open_area is None:
        return None
    needed = 1e-6 * math.ceil(-1e-9 + refused.area * 1e6)
    unit = replace(rig.job.unit, bypass=replace(described, full_open_area=needed))
    machine = tried(replace(rig.job, unit=unit), task_index)
    if machine is None:
        return None
    before = described.full_open_area
    return Cure("bypass", "unit.bypass.full_open_area", "area", before, needed, _result(rig, machine))


def _speed(rig: CheckedRig, task_index: int, refused: Machine | None) -> Cure | None:
    if refused is None or refused.speed is None or refused.speed <= rig.top_speed:
        return None
    needed = math.ceil(-1e-9 + refused.speed * 60.0) / 60.0
    unit = replace(rig.job.unit, pump=replace(rig.job.unit.pump, top_speed=needed))
    machine = tried(replace(rig.job, unit=unit), task_index)
    if machine is None:
        return None
    return Cure("speed", "unit.pump.top_speed", "speed", rig.top_speed, needed, _result(rig, machine))


def _target(rig: CheckedRig, task_index: int) -> Cure | None:
    kind, value, _at = target_of(rig)
    step = TARGET_STEP if kind != "flow" else 1e-3 / 60.0

    def serves(asked: float) -> bool:
        return tried(_with_target(rig.job, task_index, kind, asked), task_index) is not None

    far = next((value * share / 20.0 for share in range(19, 0, -1) if serves(value * share / 20.0)), None)
    if far is None:
        return None
    asked = step * math.floor(1e-9 + _border(serves, value, far) / step)
    machine = tried(_with_target(rig.job, task_index, kind, asked), task_index) if asked > 0.0 else None
    if machine is None:
        return None
    quantity = "flow" if kind == "flow" else "pressure"
    return Cure("target", f"task.target.{kind}", quantity, value, asked, _result(rig, machine))


def _with_target(job: Job, task_index: int, kind: str, value: float) -> Job:
    tasks = list(job.task)
    task = tasks[task_index]
    if kind == "nozzle_pressure":
        target = replace(task.target, nozzle_pressure=value)
    elif kind == "pump_pressure":
        target = replace(task.target, pump_pressure=value)
    else:
        target = replace(task.target, flow=value)
    tasks[task_index] = replace(task, target=target)
    return replace(job, task=tuple(tasks))
