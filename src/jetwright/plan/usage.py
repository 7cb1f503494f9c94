"""What a task uses: time, water, waste, fuel, DEF, CO2, hours of the crew, tips."""

from jetwright.parts.engine import DEF_SHARE, FUEL_DENSITY, FUEL_RATE, fuel_flow, full_load
from jetwright.plan.answer import Usage, Use, WaterStock
from jetwright.plan.coverage import coverage_of
from jetwright.plan.jet import jets_at_target, surface_of
from jetwright.plan.setting import Machine
from jetwright.rig.check import CheckedRig
from jetwright.rig.description import Extent

IDLE_SHARE = 0.10
"""Fuel that an engine burns without load, as a share of its full load's at the same speed; 8 to 12 % is usual (common
practice)."""

DIESEL_HEAT = 43.0e6
"""Net heat of diesel. [J/kg]"""
DIESEL_CO2 = 74.1e-9
"""CO2 of diesel for its net heat. [kg/J]"""
CO2_OF_DIESEL = FUEL_DENSITY * DIESEL_HEAT * DIESEL_CO2
"""CO2 of diesel that is burnt, 2.66 kg a litre (IPCC 2006 Guidelines, defaults from memory). [kg/m³]"""


def usage_of(rig: CheckedRig, machine: Machine, use: Use, stock: WaterStock) -> Usage:
    """What a task uses in all, as far as it is known; run-up and flushes are left out. [-]

    Water is what leaves the unit while the trigger is held. Fuel is burnt at the setting's load for that time, and
    without load during set-up, change and standby, at the engine's working speed: an engine brought down to its idle,
    or off, burns less.

    Parameters
    ----------
    rig : CheckedRig
        The rig of the task. [-]
    machine : Machine
        Its setting. [-]
    use : Use
        What leaves the unit and is burnt in each second of trigger. [-]
    stock : WaterStock
        How long tank and supply last. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.plan.answer import Use, WaterStock
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Times
    >>> from jetwright.rig.example import JOB
    >>> task = replace(JOB.task[0], planned_time=7200.0, times=Times(setup=1800.0, crew=3))
    >>> rig = check(replace(JOB, task=(task,)))
    >>> machine = machine_for(rig, "nozzle_pressure", 850e5, 1)
    >>> used = usage_of(rig, machine, Use(4e-4, 5e-6, 0.0, None), WaterStock(None, 0.0))
    >>> f"{used.water:.2f} m³, {1e3 * used.fuel:.1f} L, {used.co2:.0f} kg, {used.crew / 3600:.1f} h"
    '2.88 m³, 37.5 L, 100 kg, 7.5 h'

    References
    ----------
    Continuity; the Willans line of an engine without load, common practice; CO2 by the defaults of the IPCC 2006
    Guidelines (from memory).
    """
    job, engine, times = rig.job, rig.job.unit.engine, rig.task.times
    by_extent = time_of_extent(rig, machine)
    trigger = by_extent if rig.task.planned_time is None else rig.task.planned_time
    beside = None if times is None else times.setup + times.change + times.standby
    total = None if trigger is None or beside is None else trigger + beside
    water = None if trigger is None else use.water * trigger
    waste = None if water is None or job.waste is None else job.waste.share * water
    tank = None if job.waste is None else job.waste.volume
    fuel = def_fluid = None
    if engine is not None and use.fuel is not None and trigger is not None:
        idle = _idle_fuel(rig, machine) * (beside or 0.0)
        fuel = use.fuel * trigger + idle
        if use.def_fluid is not None:
            def_fluid = use.def_fluid * trigger + (DEF_SHARE * idle if engine.def_tank is not None else 0.0)
    return Usage(
        trigger=trigger,
        total=total,
        water=water,
        waste=waste,
        waste_fills=None if waste is None or tank is None else waste / tank,
        fuel=fuel,
        def_fluid=def_fluid,
        co2=None if fuel is None else CO2_OF_DIESEL * fuel,
        crew=None if total is None or times is None or times.crew is None else times.crew * total,
        fuel_lasts=_lasts(None if engine is None else engine.fuel_tank, use.fuel),
        def_lasts=_lasts(None if engine is None else engine.def_tank, use.def_fluid),
        water_lasts=stock.lasts,
        worn=() if trigger is None else _worn(rig, trigger),
        by_extent=by_extent,
        missing=_missing(rig) if trigger is None else (),
    )


def time_of_extent(rig: CheckedRig, machine: Machine) -> float | None:
    """Time with the jets on that the extent takes at its rate; None where either is not known. [s]

    Every tool works on the extent, and the trigger counts as held also for the share of the time in which a tool is not
    moved on.

    Parameters
    ----------
    rig : CheckedRig
        The rig of the task. [-]
    machine : Machine
        Its setting. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Travel
    >>> from jetwright.rig.example import JOB
    >>> task = replace(JOB.task[0], extent=Extent(60.0), travel=Travel(5.0, 60.0, at_work=0.5))
    >>> rig = check(replace(JOB, task=(task,)))
    >>> f"{time_of_extent(rig, machine_for(rig, 'nozzle_pressure', 850e5, 1)) / 60.0:.0f} min"
    '24 min'

    References
    ----------
    `plan.coverage.coverage_of`; definition of a rate.
    """
    task = rig.task
    if task.extent is None or task.travel is None:
        return None
    rates = [each.rate for each in coverage_of(rig, machine.state, jets_at_target(rig, machine.state))]
    known = [rate for rate in rates if rate is not None]
    return amount_of(task.extent) / sum(known) if known and len(known) == len(rates) else None


def amount_of(extent: Extent) -> float:
    """How much there is to clean: an area, or a length where no width is given. [m² or m]

    Parameters
    ----------
    extent : Extent
        As described. [-]

    Examples
    --------
    >>> amount_of(Extent(6.0, count=40)), amount_of(Extent(12.0, 2.5))
    (240.0, 30.0)

    References
    ----------
    Geometry.
    """
    return extent.length * (1.0 if extent.width is None else extent.width) * extent.count


def _missing(rig: CheckedRig) -> tuple[str, ...]:
    """Keys for want of which an extent gives no time: how fast, and for an area how wide."""
    task, missing = rig.task, dict[str, None]()
    if task.extent is None:
        return ()
    if task.travel is None:
        missing["task.travel"] = None
    for tool in (branch.tool for branch in rig.branches if task.extent.width is not None):
        if surface_of(tool, task.pipe) == "wall":
            if task.pipe is None:
                missing["task.pipe"] = None
        elif task.jet is None and not any(port.radius > 0.0 for port in tool.ports):
            missing["task.jet"] = None
    return tuple(missing)


def _idle_fuel(rig: CheckedRig, machine: Machine) -> float:
    """Fuel without load at the engine speed of the setting. [m³/s]"""
    engine = rig.job.unit.engine
    assert engine is not None and machine.engine.speed is not None
    fuel_rate = FUEL_RATE if engine.fuel_rate is None else engine.fuel_rate
    return IDLE_SHARE * fuel_flow(full_load(engine.power, machine.engine.speed), fuel_rate)


def _lasts(tank: float | None, flow: float | None) -> float | None:
    """How long a full tank lasts. [s]"""
    return None if tank is None or not flow else tank / flow


def _worn(rig: CheckedRig, trigger: float) -> tuple[tuple[str, float], ...]:
    """Tips by name, and how many lives of each the trigger time takes."""
    worn: dict[str, float] = {}
    for branch in rig.branches:
        for row in branch.rows:
            life = rig.job.tips[row.tip].life
            if life is not None:
                worn[row.tip] = worn.get(row.tip, 0.0) + row.count * trigger / life
    return tuple(worn.items())
