"""What to put on the machine for a target: bypass first, speed second."""

from dataclasses import dataclass
from typing import Literal

from jetwright.limits.limit import Limit
from jetwright.limits.machine import bypass_range, engine_power, pump_speed
from jetwright.limits.relief import relief_opens
from jetwright.parts.drive import EFFICIENCY
from jetwright.parts.drive import engine_power as power_of_engine
from jetwright.parts.engine import full_load, lowest_speed
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.pump import delivered_per_turn, shaft_power
from jetwright.parts.relief import ACCUMULATION, full_lift, latest_opening, lowest_opening
from jetwright.parts.suction import inlet_pressure
from jetwright.rig.check import CheckedRig
from jetwright.solve.network import full_flow_of
from jetwright.solve.steady import SERVED_TO, Levers, State, reach

SHUT_BELOW = 1e-6
"""A surplus below this share of the pump's flow needs no hole."""

BARELY = 1e3
"""Pressure at which a hole is sized when a tool below the pump draws all it needs: none will be large enough. [Pa]"""


@dataclass(frozen=True, slots=True)
class EngineSetting:
    """Engine speed [rev/s], power [W] and load [-] for a pump speed; None: no engine is described, or none serves.

    short: speed asked of the engine over its last speed where the drive cannot reach the pump speed, else 0. [-]
    """

    speed: float | None
    power: float
    load: float | None
    short: float = 0.0

    @property
    def asked(self) -> float | None:
        """What the limit judges: the load, or how far the drive falls short if that is worse. [-]"""
        return None if self.load is None else max(self.load, self.short)


def relief_set(rig: CheckedRig) -> float:
    """Lowest pressure at which a relief device may open; the lowest rating of pump and kit when none is described. [Pa]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> relief_set(check(JOB))  # none is described: the pump's rating
    130000000.0

    References
    ----------
    `parts.relief.lowest_opening`.
    """
    unit = rig.job.unit
    if unit.relief:
        return min(lowest_opening(device.kind, device.set, device.tolerance) for device in unit.relief)
    return min([unit.pump.rating] + ([unit.kits[unit.pump.kit].rating] if unit.pump.kit is not None else []))


def highest_opening(rig: CheckedRig) -> float | None:
    """Pressure by which a relief device has begun to open for certain; None when none is described. [Pa]

    Of several devices the first to open keeps the others shut.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Relief
    >>> from jetwright.rig.example import JOB
    >>> both = (Relief(1150e5), Relief(1100e5, "disc", tolerance=0.05))
    >>> f"{highest_opening(check(replace(JOB, unit=replace(JOB.unit, relief=both)))) / 1e5:.0f} bar"
    '1150 bar'

    References
    ----------
    `parts.relief.latest_opening`.
    """
    devices = rig.job.unit.relief
    return min((latest_opening(device.kind, device.set, device.tolerance) for device in devices), default=None)


def full_flow_pressure(rig: CheckedRig) -> float | None:
    """Pressure at which the relief passes all that the pump gives at top speed; None when none is described. [Pa]

    A valve whose full flow is given and too small lets it rise further, along the same line.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Relief
    >>> from jetwright.rig.example import JOB
    >>> valve = (Relief(1150e5, accumulation=0.10),)
    >>> f"{full_flow_pressure(check(replace(JOB, unit=replace(JOB.unit, relief=valve)))) / 1e5:.0f} bar"
    '1265 bar'

    References
    ----------
    `parts.relief.full_lift`.
    """
    found = []
    for device in rig.job.unit.relief:
        at = min(device.set, SERVED_TO)
        asked, full_flow = full_flow_of(rig, None, at), full_flow_of(rig, device.full_flow, at)
        rise = device.accumulation or ACCUMULATION
        found.append(full_lift(device.kind, device.set, rise, device.tolerance, full_flow, asked))
    return min(found, default=None)


@dataclass(frozen=True, slots=True)
class Machine:
    """A setting with the state it makes.

    speed [rev/s], None when no speed serves; area of the hole [m²]; opening pressure [Pa]; bypass_flow [kg/s]; inlet
    pressure of the pump [Pa]; hydraulic and shaft power [W].
    """

    state: State
    speed: float | None
    area: float
    opening: float
    bypass_flow: float
    bypass: Literal["closed", "part open", "open", "regulating"]
    inlet: float
    hydraulic: float
    shaft: float
    engine: EngineSetting
    limits: tuple[Limit, ...]

    @property
    def levers(self) -> Levers:
        """Where the hands are in this setting. [-]"""
        return Levers(self.speed or 0.0, self.area, self.opening)

    @property
    def allowed(self) -> bool:
        """Whether no limit refuses it. [-]"""
        return all(limit.verdict != "not_allowed" for limit in self.limits)

    @property
    def too_much(self) -> bool:
        """Whether the bypass cannot get rid of what the pump gives at its lowest speed. [-]"""
        return self.limits[0].verdict == "not_allowed" and self.limits[0].quantity != "pressure"


def target_of(rig: CheckedRig) -> tuple[str, float, int]:
    """A task's target: which kind, its value, the branch it is for. [Pa or m³/s]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> target_of(check(JOB))
    ('nozzle_pressure', 85000000.0, 1)

    References
    ----------
    The job file: exactly one of nozzle_pressure, pump_pressure, flow.
    """
    target = rig.task.target
    if target.nozzle_pressure is not None:
        return "nozzle_pressure", target.nozzle_pressure, target.at
    if target.pump_pressure is not None:
        return "pump_pressure", target.pump_pressure, target.at
    assert target.flow is not None
    return "flow", target.flow, target.at


def machine_for(rig: CheckedRig, kind: str, value: float, at: int) -> Machine:
    """The setting that meets a target, also when a limit refuses it. [-]

    Hand-set bypass: at start speed it is closed until the target is met; if it is shut and the target is not met, the
    speed is raised. Regulating: the speed at which `spill` of the pump's flow goes over the valve, never below start
    speed. Unloader: shut, the speed for the demand.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    kind : str
        Of the target, as `solve.steady.reach` takes it. [-]
    value : float
        Of the target. [Pa or m³/s]
    at : int
        Branch, from 1. [-]

    Raises
    ------
    NotServedError
        When it needs more than 4000 bar.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> machine = machine_for(check(JOB), "nozzle_pressure", 850e5, 1)
    >>> machine.bypass, f"{60 * machine.speed:.0f} rpm, gauge {machine.state.pump_pressure / 1e5:.0f} bar"
    ('closed', '177 rpm, gauge 893 bar')

    References
    ----------
    docs/job-file.md, "What is set".
    """
    state = reach(rig, kind, value, at)
    water, described = rig.water, rig.job.unit.bypass
    pressure, demand = state.pump_pressure, state.mass_flow
    per_turn = delivered_per_turn(water, rig.pump, pressure)
    speed: float | None = demand / per_turn if per_turn > 0.0 else None
    area = opening = past = 0.0
    bypass: Literal["closed", "part open", "open", "regulating"] = "closed"
    full_open = described.full_open_area or 0.0
    limit = bypass_untouched(rig)
    if described.kind == "regulating" and per_turn > 0.0:
        speed = max(rig.start_speed, demand / ((1.0 - described.spill) * per_turn))
        past = max(0.0, speed * per_turn - demand)
        full = full_flow_of(rig, described.full_flow, pressure)
        opening = pressure / (1.0 + described.accumulation * past / full)
        bypass, limit = "regulating", bypass_range("regulating", past / full, 1.0)
    elif described.kind == "unloader" and speed is not None:
        limit = bypass_range("unloader", speed, rig.start_speed)
        if described.set is not None and pressure >= described.set:
            limit = bypass_range("unloader set", pressure, described.set)
    elif described.kind == "hand-set" and speed is not None and speed < rig.start_speed:
        speed = rig.start_speed
        surplus = speed * per_turn - demand
        if surplus > SHUT_BELOW * speed * per_turn:
            past = surplus
            area = surplus / jet_flow(water, HOLE_DISCHARGE, max(pressure, BARELY))[0]
            bypass = "part open" if area < full_open else "open"
            limit = bypass_range("hand-set", area, full_open)
    drawn = demand + past if described.returns_to == "ground" else demand
    inlet = inlet_pressure(water, rig.job.supply.pressure, rig.supply_hose, drawn)
    hydraulic = shaft = 0.0
    if speed is not None:
        hydraulic, shaft = shaft_power(water, rig.pump, speed, inlet, pressure)
    engine = engine_for(rig, speed, shaft)
    judged = engine_power(engine.asked, described=rig.job.unit.engine is not None)
    limits: tuple[Limit, ...] = (limit, pump_speed(speed, rig.top_speed), judged)
    if rig.job.unit.relief and pressure >= relief_set(rig):
        limits += (relief_opens(pressure, relief_set(rig)),)
    return Machine(state, speed, area, opening, past, bypass, inlet, hydraulic, shaft, engine, limits)


def bypass_untouched(rig: CheckedRig) -> Limit:
    """Limit "bypass.range" while nothing is asked of the bypass; not judged where only a setting could tell. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> bypass_untouched(check(JOB)).verdict
    'within'

    References
    ----------
    `limits.machine.bypass_range`.
    """
    described = rig.job.unit.bypass
    if described.kind == "hand-set":
        return bypass_range("hand-set", 0.0, described.full_open_area or 0.0)
    return Limit("bypass.range", "not_judged", None, None, "ratio", None, "physics", True, missing="task.target")


def engine_for(rig: CheckedRig, speed: float | None, shaft: float) -> EngineSetting:
    """Engine speed, power and load for a pump speed and the power at its shaft. [rev/s, W, -]

    Hydrostatic: the lowest speed at which the derated curve covers the power and the drive reaches the pump speed;
    direct: pump speed × ratio. When no speed serves it is the curve's last point, with a load or a `short` above 1.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    speed : float | None
        Of the pump. [rev/s]
    shaft : float
        Power at its shaft. [W]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> engine = engine_for(check(JOB), 3.0, 41.2e3)
    >>> f"{60 * engine.speed:.0f} rpm, {engine.power / 1e3:.1f} kW"
    '1400 rpm, 51.5 kW'

    References
    ----------
    `parts.engine`.
    """
    unit, drive = rig.job.unit, rig.job.unit.drive
    efficiency = EFFICIENCY[drive.kind] if drive.efficiency is None else drive.efficiency
    power = power_of_engine(shaft, efficiency, 0.0 if unit.engine is None else unit.engine.auxiliary)
    if speed is None:
        return EngineSetting(None, power, None)
    if unit.engine is None:
        return EngineSetting(speed * drive.ratio if drive.ratio is not None else None, power, None)
    curve, factor = unit.engine.power, rig.engine_factor
    last = curve[-1][0]
    if drive.kind == "direct":
        assert drive.ratio is not None
        turns = speed * drive.ratio
        load = power / (factor * full_load(curve, turns))
        return EngineSetting(turns, power, load, turns / last if turns > last * (1.0 + 1e-9) else 0.0)
    assert drive.top_ratio is not None
    needed = speed / drive.top_ratio
    serving = lowest_speed(curve, factor, power, needed)
    turns = last if serving is None else serving
    load = power / (factor * full_load(curve, turns))
    return EngineSetting(turns, power, load, needed / last if needed > last * (1.0 + 1e-9) else 0.0)
