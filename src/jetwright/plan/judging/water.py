"""Water and heat of a task: supply, inlet side, the tank's temperature, and the minutes with nothing flowing."""

from jetwright.limits.limit import Facts, Limit
from jetwright.limits.water import heat_no_flow, heat_tank, supply_hydrant, supply_npsh, supply_vortex, supply_water
from jetwright.parts.pump import shaft_power
from jetwright.plan.case import Case
from jetwright.plan.inlet import LONGEST, inlet_side
from jetwright.plan.water import inlet_temperature, seconds_to_heat, supplied, water_draw, water_stock


def limits(case: Case) -> list[Limit]:
    """Limits on the supply, on heat and, where they are described, on the suction line and the hydrant's test. [-]

    Parameters
    ----------
    case : Case
        The task as far as it is solved. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.assess import assess
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> case = assess(check(JOB), 0, basis_for(JOB)).case
    >>> [(limit.id, limit.verdict) for limit in limits(case)]
    [('supply.water', 'within'), ('heat.tank', 'within')]

    References
    ----------
    docs/rules.md.
    """
    return [_supply(case), *_inlet(case), _tank(case), *_no_flow(case)]


def _supply(case: Case) -> Limit:
    rig, stock = case.rig, water_stock(case.rig, case.machine)
    draw, supply = water_draw(rig, case.machine), supplied(rig.job.supply)
    facts: Facts = {"draw": draw, "supply": supply, "short": stock.short}
    return supply_water(draw, supply, stock.lasts, rig.task.planned_time, facts)


def _inlet(case: Case) -> list[Limit]:
    """Only where a suction line or a test of the hydrant is described."""
    supply, side = case.rig.job.supply, inlet_side(case.rig, case.machine)
    found: list[Limit] = []
    if side.npsh is not None and side.acceleration_head is not None:
        steady = side.npsh + side.acceleration_head
        facts: Facts = {"needed": side.needed, "pulses": side.acceleration_head, "steady": steady, "longest": LONGEST}
        rule = case.basis.rules.bound("supply.npsh_margin")
        found.append(supply_npsh(side.npsh, steady, side.needed, rule, facts))
    if side.cover_needed is not None:
        found.append(supply_vortex(side.cover, side.cover_needed))
    if side.hydrant is not None:
        draw = water_draw(case.rig, case.machine)
        found.append(supply_hydrant(side.hydrant, draw, {"pressure_left": supply.pressure}))
    return found


def _tank(case: Case) -> Limit:
    rig, machine = case.rig, case.machine
    tank = rig.job.unit.tank
    delivered = machine.state.mass_flow + machine.bypass_flow
    facts: Facts = {
        "returns_to": rig.job.unit.bypass.returns_to,
        "supply": rig.job.supply.temperature,
        "spill": machine.bypass_flow / delivered if delivered > 0.0 else 0.0,
    }
    hottest = None if tank is None else tank.hottest
    warm, written = inlet_temperature(rig, machine, supplied(rig.job.supply)), inlet_temperature(rig, machine)
    return heat_tank(warm, written, hottest, case.basis.rules.bound("heat.water"), facts)


def _no_flow(case: Case) -> list[Limit]:
    """Only where every tool shuts off and the bypass or the unloader sends the pump's water round."""
    rig, machine, let_go = case.rig, case.machine, case.states[-1]
    unit, rules = rig.job.unit, case.basis.rules
    goes_round = let_go.unloaded or let_go.bypass_flow > 0.0
    shut = all(branch.tool.release == "dry shut-off" for branch in rig.branches)
    if not (goes_round and shut) or unit.bypass.returns_to == "ground":
        return []
    if machine.speed is None or let_go.pump_pressure is None:
        return []
    heating = shaft_power(rig.water, rig.pump, machine.speed, machine.inlet, let_go.pump_pressure)[0]
    if heating <= 0.0:
        return []
    rule, hot, tank = rules.bound("heat.no_flow"), rules.bound("heat.water"), unit.tank
    borne = [] if hot is None else [hot.value]
    if tank is not None and tank.hottest is not None:
        borne.append(tank.hottest)
    if unit.bypass.returns_to == "suction":
        volume, key = unit.bypass.loop, "unit.bypass.loop"
    else:
        volume, key = (None if tank is None else tank.volume), "unit.tank"
    warm = inlet_temperature(rig, machine)
    facts: Facts = {"power": heating, "pressure": let_go.pump_pressure, "warm": warm}
    if volume is None or not borne:
        return [heat_no_flow(None, rule, key if volume is None else "unit.tank.hottest", facts)]
    lasts = seconds_to_heat(rig.water, volume, heating, warm, min(borne))
    return [heat_no_flow(lasts, rule, facts={**facts, "volume": volume, "hottest": min(borne)})]
