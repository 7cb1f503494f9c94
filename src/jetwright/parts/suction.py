"""Inlet side: what is left of the supply pressure at the pump, what its plungers draw on, what a hydrant gives."""

import math

from jetwright.parts.hose import Piece, piece_inlet
from jetwright.parts.nozzle import round_area
from jetwright.units import GRAVITY
from jetwright.water.state import Water

WATER_FACTOR = 1.5
"""K of the acceleration head for water (Hydraulic Institute, from memory)."""
CRANK_STEPS = 90
"""Steps between two takeovers of the plungers, in which the steepest slope is looked for."""


def inlet_pressure(water: Water, source: float, hose: Piece | None, mass_flow: float) -> float:
    """Gauge pressure at the pump unit's inlet. [Pa]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    source : float
        Gauge pressure at the source. [Pa]
    hose : Piece | None
        Between source and unit; None when the source pressure is that at the inlet. [-]
    mass_flow : float
        Drawn from the source. [kg/s]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> water = water_at(291.15, 101325.0)
    >>> f"{inlet_pressure(water, 3.5e5, Piece(0.038, 20.0, 1e-5), 107.0 / 60000 * 998.6) / 1e5:.2f} bar"
    '3.36 bar'

    References
    ----------
    Darcy-Weisbach, as every hose.
    """
    if hose is None:
        return source
    loss = piece_inlet(water, hose, source, mass_flow)[0] - source
    return source - loss


def acceleration_constant(plungers: int, rod_ratio: float) -> float:
    """Constant C of the acceleration head, by exact slider-crank motion, within 1e-4 of itself. [-]

    (2π/60)·max|dq/dθ|/mean q: plungers evenly spaced round the crank, each drawing half a turn. It goes with a speed in
    turns a minute. The usual table is read at a rod ratio of 0.2.

    Parameters
    ----------
    plungers : int
        Single-acting. [-]
    rod_ratio : float
        Crank radius over rod length, 0 to 0.5. [-]

    Examples
    --------
    >>> [f"{acceleration_constant(plungers, 0.2):.4f}" for plungers in (2, 3, 5, 7, 9)]
    ['0.1974', '0.0658', '0.0395', '0.0282', '0.0219']
    >>> f"{acceleration_constant(3, 1 / 6):.4f}"
    '0.0640'

    References
    ----------
    Hydraulic Institute: constants 0.200, 0.066, 0.040, 0.028 and 0.022, from memory; geometry of the slider-crank.
    """
    part = math.pi / plungers  # plungers take over from each other at multiples of it
    steepest = 0.0
    for step in range(CRANK_STEPS + 1):
        angle = part * (1e-9 + (1.0 - 2e-9) * step / CRANK_STEPS)  # just inside: the slope jumps where one takes over
        for half in (angle, angle + part):
            slope = sum(_slope_of_draw(half + 2.0 * part * each, rod_ratio) for each in range(plungers))
            steepest = max(steepest, abs(slope))
    return 2.0 * math.pi / 60.0 * steepest * math.pi / plungers


def _slope_of_draw(angle: float, rod_ratio: float) -> float:
    """d/dθ of a plunger's speed over crank speed × crank radius while it draws, else 0. [-]"""
    angle = math.fmod(angle, 2.0 * math.pi)
    if angle >= math.pi:
        return 0.0
    sine, cosine = math.sin(angle), math.cos(angle)
    rod = math.sqrt(1.0 - (rod_ratio * sine) ** 2)
    along = cosine * cosine - sine * sine + (rod_ratio * sine * cosine / rod) ** 2
    return cosine + rod_ratio / rod * along


def acceleration_head(
    length: float,
    water_speed: float,
    speed: float,
    constant: float,
    liquid_factor: float = WATER_FACTOR,
    gravity: float = GRAVITY,
) -> float:
    """Head that the water in a suction line costs while the plungers speed it up. [m]

    L·V·N·C/(K·g), N in turns a minute. For short and stiff lines, up to some 15 m; a soft hose costs less.

    Parameters
    ----------
    length : float
        Of the line. [m]
    water_speed : float
        Mean, in the line. [m/s]
    speed : float
        Of the pump's shaft. [rev/s]
    constant : float
        C, of `acceleration_constant`. [-]
    liquid_factor : float
        K: 1.5 for water, 1.4 for a liquid that hardly gives way. [-]
    gravity : float
        Of the place. [m/s²]

    Examples
    --------
    >>> f"{acceleration_head(5.0, 1.0, 600 / 60, 0.066):.2f} m"
    '13.46 m'

    References
    ----------
    Hydraulic Institute, from memory.
    """
    return length * water_speed * 60.0 * speed * constant / (liquid_factor * gravity)


def npsh_available(
    inlet: float, water: Water, vapour: float, loss: float, acceleration: float, water_speed: float = 0.0
) -> float:
    """Head above boiling that the pump's inlet finds (NPSH available). [m]

    (inlet + ambient - vapour)/(ρ0·g) + V²/(2g) - loss - acceleration.

    Parameters
    ----------
    inlet : float
        Gauge pressure where the line begins. [Pa]
    water : Water
        At the supply temperature. [-]
    vapour : float
        Pressure at which this water boils, absolute. [Pa]
    loss : float
        Head lost in the line, less the height the water falls to the pump. [m]
    acceleration : float
        Of `acceleration_head`. [m]
    water_speed : float
        Where the pressure is taken; 0 for water at rest. [m/s]

    Examples
    --------
    >>> from jetwright.water.state import vapour_pressure, water_at
    >>> water = water_at(288.15, 101325.0)
    >>> f"{npsh_available(2e5, water, vapour_pressure(288.15), 1.5, 13.46, 1.0):.2f} m"
    '15.67 m'

    References
    ----------
    Definition of the net positive suction head.
    """
    weight = water.reference_density * GRAVITY
    standing = (inlet + water.ambient - vapour) / weight + water_speed * water_speed / (2.0 * GRAVITY)
    return standing - loss - acceleration


def vortex_cover(bore: float, flow: float) -> float:
    """Water needed above an outlet so that no vortex draws air into it. [m]

    D·(1 + 2.3·Fr) with Fr = V/√(g·D).

    Parameters
    ----------
    bore : float
        Of the outlet. [m]
    flow : float
        Drawn through it. [m³/s]

    Examples
    --------
    >>> f"{vortex_cover(0.050, 60 / 60e3) * 1000:.0f} mm"
    '134 mm'

    References
    ----------
    ANSI/HI 9.8, as quoted: minimum submergence.
    """
    froude = flow / round_area(bore) / math.sqrt(GRAVITY * bore)
    return bore * (1.0 + 2.3 * froude)


def hydrant_flow(static: float, pressure: float, flow: float, residual: float) -> float:
    """Flow that a tested hydrant gives down to a pressure; 0 where that is not below its static pressure. [m³/s]

    Q·((static - residual)/(static - pressure))^0.54.

    Parameters
    ----------
    static : float
        Gauge pressure with nothing drawn; above `pressure`. [Pa]
    pressure : float
        Gauge pressure that the test left at its flow. [Pa]
    flow : float
        Of the test. [m³/s]
    residual : float
        Gauge pressure that is to be left. [Pa]

    Examples
    --------
    >>> [f"{60e3 * hydrant_flow(5e5, 4e5, 500 / 60e3, left):.0f} L/min" for left in (4e5, 2e5, 6e5)]
    ['500 L/min', '905 L/min', '0 L/min']

    References
    ----------
    NFPA 291, as quoted: exponent 0.54.
    """
    if residual >= static:
        return 0.0
    return flow * math.pow((static - residual) / (static - pressure), 0.54)
