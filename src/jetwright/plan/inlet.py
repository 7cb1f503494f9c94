"""The inlet side of a setting: what the pump finds at its inlet, what a tank's outlet needs above it, the hydrant."""

from jetwright.parts.hose import Piece
from jetwright.parts.nozzle import round_area
from jetwright.parts.suction import (
    acceleration_constant,
    acceleration_head,
    hydrant_flow,
    inlet_pressure,
    npsh_available,
    vortex_cover,
)
from jetwright.plan.answer import InletSide
from jetwright.plan.setting import Machine
from jetwright.plan.water import inlet_temperature
from jetwright.rig.check import ROUGHNESS, CheckedRig
from jetwright.rig.description import Suction
from jetwright.units import GRAVITY
from jetwright.water.state import vapour_pressure

FLOODED, BOOSTED = 1.0, 2.0
"""Speeds in a line to the pump that are kept, from an open tank and under pressure (common practice). [m/s]"""
LEAST_GAUGE = 0.5e5
"""Kept at the inlet of a pump that is fed under pressure (common practice). [Pa]"""
LONGEST = 15.0
"""Of a line for which the formula of the acceleration head holds (Hydraulic Institute, from memory). [m]"""
PLUNGERS = 3
"""Taken for a pump that is described by its plate: fewer would draw less evenly (common practice)."""


def inlet_side(rig: CheckedRig, machine: Machine) -> InletSide:
    """What a setting draws, and what the pump finds at its inlet. [-]

    The line to the pump is fed by its booster, else by the unit's open tank, else by the unit's inlet. Water above the
    pump counts for an open tank; ahead of a booster only water below it does, on the cautious side. What the bypass
    lets back to the tank or to the ground is drawn through the line as well; what it lets back to the suction is not,
    but all that the plungers draw in pulses is. No damper is counted, and the water is as warm as the bypass makes it.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Tank
    >>> from jetwright.rig.example import JOB
    >>> unit = replace(JOB.unit, tank=Tank(0.6), suction=Suction(0.05, 2.0, level=0.5, needed=4.0))
    >>> rig = check(replace(JOB, unit=unit))
    >>> side = inlet_side(rig, machine_for(rig, "nozzle_pressure", 850e5, 1))
    >>> f"{side.npsh:.1f} m there, {side.acceleration_head:.2f} m taken off for the pulses"
    '10.4 m there, 0.33 m taken off for the pulses'

    References
    ----------
    `parts.suction`; the hose law for the line's loss.
    """
    supply, suction = rig.job.supply, rig.job.unit.suction
    hydrant = None
    if supply.hydrant is not None:
        tested = supply.hydrant
        hydrant = hydrant_flow(tested.static, tested.pressure, tested.flow, supply.pressure)
    if suction is None:
        return InletSide(pressure=machine.inlet, hydrant=hydrant)
    water, pump = rig.water, rig.job.unit.pump
    delivered = machine.state.mass_flow + machine.bypass_flow
    drawn = machine.state.mass_flow if rig.job.unit.bypass.returns_to == "suction" else delivered
    area = round_area(suction.bore) * water.reference_density
    weight = water.reference_density * GRAVITY
    feed, level = _fed(rig, machine, suction)
    line = Piece(suction.bore, suction.length, ROUGHNESS, suction.loss_k)
    standing = inlet_pressure(water, feed, line, drawn) + weight * level
    constant = acceleration_constant(PLUNGERS if pump.plungers is None else pump.plungers, suction.rod_ratio)
    pulses = acceleration_head(suction.length, delivered / area, machine.speed or 0.0, constant)
    fed_by_tank = rig.job.unit.tank is not None
    outlet = suction.bore if suction.outlet is None else suction.outlet
    return InletSide(
        pressure=standing,
        speed=drawn / area,
        npsh=npsh_available(standing, water, vapour_pressure(inlet_temperature(rig, machine)), 0.0, pulses),
        needed=suction.needed,
        acceleration_head=pulses,
        constant=constant,
        cover=suction.cover,
        cover_needed=vortex_cover(outlet, drawn / water.reference_density) if fed_by_tank else None,
        hydrant=hydrant,
    )


def _fed(rig: CheckedRig, machine: Machine, suction: Suction) -> tuple[float, float]:
    """Gauge pressure where the line begins, and how far the water falls from there to the pump. [Pa, m]"""
    if suction.boost is not None:
        return suction.boost, min(0.0, suction.level)
    return (machine.inlet if rig.job.unit.tank is None else 0.0), suction.level
