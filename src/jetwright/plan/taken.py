"""What was taken because nobody said: each with the key it would stand under and why."""

from jetwright.parts.drive import EFFICIENCY
from jetwright.parts.engine import FUEL_RATE
from jetwright.parts.nozzle import DISCHARGE, UNKNOWN_INLET
from jetwright.parts.pump import CLEARANCE, SLIP
from jetwright.parts.pump import EFFICIENCY as PUMP_EFFICIENCY
from jetwright.parts.relief import ACCUMULATION, RESEAT
from jetwright.plan.answer import TakenAs
from jetwright.plan.inlet import PLUNGERS
from jetwright.rig.check import ROUGHNESS, CheckedRig
from jetwright.solve.states import IDLE_PRESSURE
from jetwright.solve.steady import State

TAILS_ADD = 0.15
"""Most that unknown tails add to a hose's loss, as a share (common practice)."""


def taken_as(rig: CheckedRig, state: State) -> tuple[TakenAs, ...]:
    """Every default the numbers of a task rest on. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    state : State
        In which unknown tails are valued. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.steady import reach
    >>> rig = check(JOB)
    >>> [row.key for row in taken_as(rig, reach(rig, "nozzle_pressure", 850e5)) if row.key.startswith("tips")]
    ['tips.R12.cd']

    References
    ----------
    The job file's defaults.
    """
    return (*_of_unit(rig), *_of_hoses(rig, state), *_of_tools(rig))


def _of_unit(rig: CheckedRig) -> list[TakenAs]:
    unit, pump = rig.job.unit, rig.job.unit.pump
    taken: list[TakenAs] = []
    if pump.measured:
        count = len(pump.measured)
        taken.append(TakenAs("unit.pump.slip", "ratio", rig.pump.slip, "fitted", {"readings": count}))
        if rig.pump.clearance != (CLEARANCE if pump.clearance is None else pump.clearance):
            taken.append(TakenAs("unit.pump.clearance", "ratio", rig.pump.clearance, "fitted", {"readings": count}))
        elif pump.clearance is None:
            taken.append(TakenAs("unit.pump.clearance", "ratio", CLEARANCE, "default"))
    else:
        if pump.slip is None:
            taken.append(TakenAs("unit.pump.slip", "ratio", SLIP, "default"))
        if pump.clearance is None:
            taken.append(TakenAs("unit.pump.clearance", "ratio", CLEARANCE, "default"))
    if pump.efficiency is None:
        taken.append(TakenAs("unit.pump.efficiency", "ratio", PUMP_EFFICIENCY, "default"))
    if unit.drive.efficiency is None:
        taken.append(TakenAs("unit.drive.efficiency", "ratio", EFFICIENCY[unit.drive.kind], "default"))
    if unit.engine is not None and unit.engine.fuel_rate is None:
        taken.append(TakenAs("unit.engine.fuel_rate", "fuel_rate", FUEL_RATE, "default"))
    if unit.bypass.kind == "regulating" and unit.bypass.full_flow is None:
        taken.append(TakenAs("unit.bypass.full_flow", "", "", "pump_at_top_speed"))
    if unit.bypass.kind == "unloader" and unit.bypass.idle_pressure is None:
        taken.append(TakenAs("unit.bypass.idle_pressure", "pressure", IDLE_PRESSURE, "default"))
    for place, device in enumerate(unit.relief, start=1):
        of = "unit.relief" if len(unit.relief) == 1 else f"unit.relief.{place}"
        if device.kind == "valve" and device.accumulation is None:
            taken.append(TakenAs(f"{of}.accumulation", "ratio", ACCUMULATION, "default"))
        if device.kind == "valve" and device.reseat is None:
            taken.append(TakenAs(f"{of}.reseat", "ratio", RESEAT, "default"))
    if not unit.relief:
        taken.append(TakenAs("unit.relief", "", "", "no_relief"))
    if unit.suction is not None and pump.plungers is None:
        taken.append(TakenAs("unit.pump.plungers", "count", PLUNGERS, "default"))
    if unit.suction is not None and unit.suction.outlet is None and unit.tank is not None:
        taken.append(TakenAs("unit.suction.outlet", "length", unit.suction.bore, "suction_bore"))
    return taken


def _of_hoses(rig: CheckedRig, state: State) -> list[TakenAs]:
    runs = [(rig.main, state.main)]
    runs += [(branch.items, line.items) for branch, line in zip(rig.branches, state.lines, strict=True)]
    lost: dict[str, float] = {}
    for items, ends in runs:
        for item, (above, below) in zip(items, ends, strict=True):
            if item.name in rig.job.hoses:
                lost[item.name] = lost.get(item.name, 0.0) + above - below
    taken: list[TakenAs] = []
    for name, loss in lost.items():
        hose = rig.job.hoses[name]
        if hose.roughness is None:
            taken.append(TakenAs(f"hoses.{name}.roughness", "length", ROUGHNESS, "default"))
        if hose.tails is None:
            facts: dict[str, object] = {"adds": TAILS_ADD * loss}
            taken.append(TakenAs(f"hoses.{name}.tails", "", "none", "no_tails", facts))
    return taken


def _of_tools(rig: CheckedRig) -> list[TakenAs]:
    taken: dict[str, TakenAs] = {}
    for branch in rig.branches:
        for row in branch.rows:
            tip = rig.job.tips[row.tip]
            if tip.rated is None and tip.cd is None:
                inlet = tip.inlet or "unknown"
                facts: dict[str, object] = {"inlet": inlet}
                if inlet == "unknown":
                    facts |= {"low": UNKNOWN_INLET[0], "high": UNKNOWN_INLET[1]}
                key = f"tips.{row.tip}.cd"
                taken.setdefault(key, TakenAs(key, "ratio", DISCHARGE[inlet], "inlet", facts))
        if branch.tool.held_by is None:
            key = f"tools.{branch.tool_name}.held_by"
            held = "hand" if branch.tool.kind == "hand lance" else "machine"
            taken.setdefault(key, TakenAs(key, "", held, "held_by"))
    return list(taken.values())
