"""Water and heat of a setting: how long the stock lasts, how warm it gets, and how fast with nothing flowing."""

from jetwright.limits.limit import EDGE
from jetwright.parts.suction import hydrant_flow
from jetwright.plan.answer import WaterStock
from jetwright.plan.setting import Machine
from jetwright.rig.check import CheckedRig
from jetwright.rig.description import Supply
from jetwright.water.state import Water, pumped_temperature, throttled_temperature

USABLE = 0.75
"""Share of a tank that may be drawn before the pump starves, when none is given (common practice)."""

HEAT_CAPACITY = 4181.0
"""Mean of water at ambient pressure over a warming from 0 °C or above to 40 °C or above, within 0.2 %. [J/(kg K)]"""

BOILS = 373.15
"""No water at the pump's inlet gets hotter: where nearly all of it goes round, it boils. [K]"""
HOTTEST_FITTED = 333.15
"""Water above it is warmed as if it were this warm. [K]"""


def water_draw(rig: CheckedRig, machine: Machine) -> float:
    """Water that leaves the unit: jets, leaks, and a bypass that goes to ground. [m³/s]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> f"{60e3 * water_draw(rig, machine_for(rig, 'nozzle_pressure', 850e5, 1)):.1f} L/min"
    '25.0 L/min'

    References
    ----------
    Continuity.
    """
    lost = machine.bypass_flow if rig.job.unit.bypass.returns_to == "ground" else 0.0
    return (machine.state.mass_flow + lost) / rig.water.reference_density


def supplied(supply: Supply) -> float:
    """What the supply gives: as written, or what the hydrant's test says it gives there, whichever is less. [m³/s]

    Parameters
    ----------
    supply : Supply
        As described. [-]

    Examples
    --------
    >>> from jetwright.rig.description import Hydrant
    >>> supply = Supply(3.5e5, 150e-3 / 60.0, 291.15, hydrant=Hydrant(4e5, 2e5, 120e-3 / 60.0))
    >>> f"{60e3 * supplied(supply):.1f} L/min"
    '56.8 L/min'

    References
    ----------
    `parts.suction.hydrant_flow`.
    """
    tested = supply.hydrant
    if tested is None:
        return supply.flow
    return min(supply.flow, hydrant_flow(tested.static, tested.pressure, tested.flow, supply.pressure))


def water_stock(rig: CheckedRig, machine: Machine) -> WaterStock:
    """How long tank and supply last, and what the supply does not give. [s, m³/s]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)  # it draws 25 L/min of 120
    >>> water_stock(rig, machine_for(rig, "nozzle_pressure", 850e5, 1))
    WaterStock(lasts=None, short=0.0)

    References
    ----------
    Continuity; the usable share of a tank is common practice.
    """
    supply, tank = supplied(rig.job.supply), rig.job.unit.tank
    short = water_draw(rig, machine) - supply
    if short <= EDGE * supply:
        return WaterStock(None, 0.0)
    if tank is None:
        return WaterStock(None, short)
    usable = USABLE * tank.volume if tank.usable is None else tank.usable
    return WaterStock(usable / short, short)


def inlet_temperature(rig: CheckedRig, machine: Machine, supply: float | None = None) -> float:
    """Temperature at which the water at the pump's inlet settles while the task is worked. [K]

    What the bypass lets back has been pumped up and throttled, and mixes with the fresh water that makes up for what
    leaves: fresh·(T - supply) = spilt·warming(T). What goes to ground warms nothing.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]
    supply : float | None
        What the water supply gives; None: what is written. [m³/s]

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> f"{inlet_temperature(rig, machine_for(rig, 'pump_pressure', 300e5, 1)) - 273.15:.1f} °C"  # 23 % spilt
    '17.2 °C'

    References
    ----------
    First law; the supply gives no more fresh water than it has. Heat lost to the air is left out.
    """
    written, returns_to = rig.job.supply, rig.job.unit.bypass.returns_to
    warm = written.temperature
    if machine.bypass_flow <= 0.0 or returns_to == "ground":
        return warm
    gives = written.flow if supply is None else supply
    fresh = min(machine.state.mass_flow, gives * rig.water.reference_density)
    if fresh <= 0.0:
        return BOILS
    inlet = max(machine.inlet, 0.0) + rig.water.ambient
    outlet = max(inlet, machine.state.pump_pressure + rig.water.ambient)  # less, and the pump lifts nothing
    back = inlet if returns_to == "suction" else rig.water.ambient
    for _step in range(8):  # the warming hardly changes with the temperature it starts from
        start = min(warm, HOTTEST_FITTED)
        rise = throttled_temperature(pumped_temperature(start, inlet, outlet), outlet, back) - start
        warm = written.temperature + machine.bypass_flow / fresh * rise
    return min(warm, BOILS)


def seconds_to_heat(water: Water, volume: float, heating: float, warm: float, hottest: float) -> float:
    """How long a power takes to warm a volume of water that goes round. [s]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    volume : float
        Of the water that goes round. [m³]
    heating : float
        Power that all turns into heat in it. [W]
    warm : float
        Its temperature at the start. [K]
    hottest : float
        Its temperature at the end; below the start it takes no time. [K]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> f"{seconds_to_heat(water_at(291.15, 100845.0), 0.6, 45.1e3, 291.15, 313.15) / 60:.1f} min"
    '20.4 min'

    References
    ----------
    First law. Heat lost to the air is left out, on the cautious side.
    """
    return volume * water.reference_density * HEAT_CAPACITY * max(0.0, hottest - warm) / heating
