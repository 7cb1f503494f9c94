"""What a task asks of bypass, pump and engine."""

from jetwright.limits.engine import engine_step
from jetwright.limits.limit import Limit
from jetwright.limits.machine import bypass_spill, engine_power, pump_rod_load, pump_rod_load_relief
from jetwright.parts.engine import full_load
from jetwright.parts.nozzle import round_area
from jetwright.parts.pump import shaft_power
from jetwright.plan.case import Case
from jetwright.plan.judging.ratings import over_bound
from jetwright.plan.judging.recoil import braced
from jetwright.plan.setting import engine_for, highest_opening


def limits(case: Case) -> list[Limit]:
    """Every limit on what the machine is set to. [-]

    Parameters
    ----------
    case : Case
        The task. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.assess import assess
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> [limit.id for limit in limits(assess(check(JOB), 0, basis_for(JOB)).case) if limit.verdict == "within"]
    ['bypass.range', 'pump.speed', 'engine.power', 'engine.step', 'pump.rod_load']

    References
    ----------
    docs/rules.md.
    """
    rig, machine, rules = case.rig, case.machine, case.basis.rules
    described = rig.job.unit.engine is not None
    asked, speed = machine.limits[:2]
    judged = [asked, speed, engine_power(machine.engine.asked, rules.bound("engine.load"), described=described)]
    if any(branch.tool.release == "dump" for branch in rig.branches):
        judged.append(_step(case))
    if machine.bypass != "closed":
        density, pressure = rig.water.reference_density, machine.state.pump_pressure
        spilt, flow = machine.bypass_flow / density, (machine.state.mass_flow + machine.bypass_flow) / density
        judged.append(bypass_spill(spilt, flow, pressure, rules.bound("bypass.spill"), braced=braced(case)))
    return judged + _rods(case)


def _step(case: Case) -> Limit:
    """From every trigger let go to every trigger held, levers where they are."""
    rig, machine, bound = case.rig, case.machine, case.basis.rules.bound("engine.step")
    engine, released = rig.job.unit.engine, case.states[-1].pump_pressure
    if engine is None or machine.engine.speed is None or machine.speed is None:
        return engine_step(None, None, bound)
    power = rig.engine_factor * full_load(engine.power, machine.engine.speed)
    if released is None:
        return engine_step(None, power, bound)
    shaft = shaft_power(rig.water, rig.pump, machine.speed, machine.inlet, released)[1]
    return engine_step(machine.engine.power - engine_for(rig, machine.speed, shaft).power, power, bound)


def _rods(case: Case) -> list[Limit]:
    """A plunger of known size bears its rod load, else its rating; a rod load alone tells nothing without the size."""
    rig, pressure = case.rig, case.machine.state.pump_pressure
    unit, pump = rig.job.unit, rig.job.unit.pump
    kit = None if pump.kit is None else unit.kits[pump.kit]
    diameter = pump.plunger_diameter if kit is None else kit.plunger_diameter
    if diameter is None and pump.rod_load is None:
        return []
    plunger = None if diameter is None else round_area(diameter)
    rating = pump.rating if kit is None else min(pump.rating, kit.rating)
    bound = pump.rod_load
    if bound is None and plunger is not None:
        bound = rating * plunger
    return [
        pump_rod_load(pressure, plunger, bound),
        pump_rod_load_relief(highest_opening(rig), plunger, bound, over_bound(case)),
    ]
