"""A hose hauled through a pipe by its nozzle's jets: pull, drag, bends, and what a plug pushes back with."""

import math

from jetwright.parts.nozzle import recoil, round_area
from jetwright.units import GRAVITY

FRICTION = (0.3, 0.45, 0.6)
"""Hose on a wet pipe, rubber or plastic: low end, middle and high end of what is common (common practice)."""


def pull(mass_flow: float, jet_speed: float, count: int, angle: float, skew: float) -> float:
    """Pull of equal jets on their tool, forward along its axis; jets ahead count against it. [N]

    With the pressure at the nozzle. Neither pressure × area nor what the hose's water brings is added: both are held by
    the hose's wall.

    Parameters
    ----------
    mass_flow : float
        Of one jet. [kg/s]
    jet_speed : float
        Of the jet. [m/s]
    count : int
        Jets, evenly spaced round the axis when more than one. [-]
    angle : float
        Between jet and the tool's forward axis: 150° is 30° back. [rad]
    skew : float
        Tangential angle. [rad]

    Examples
    --------
    >>> f"{pull(3.327, 173.4, 1, math.radians(150.0), 0.0):.0f} N"  # 200 L/min at 150 bar
    '500 N'

    References
    ----------
    Momentum of a free jet: `parts.nozzle.recoil` the other way round.
    """
    return -recoil(mass_flow, jet_speed, count, angle, skew)[0]


def wall_push(mass_flow: float, jet_speed: float, count: int, angle: float, skew: float) -> float:
    """Force of equal jets across the axis, all added up: what works on the wall. [N]

    Parameters
    ----------
    mass_flow : float
        Of one jet. [kg/s]
    jet_speed : float
        Of the jet. [m/s]
    count : int
        Jets, wherever they point round the axis. [-]
    angle : float
        Between jet and the tool's forward axis. [rad]
    skew : float
        Tangential angle. [rad]

    Examples
    --------
    >>> f"{wall_push(0.297, 420.2, 4, math.radians(150.0), 0.0):.0f} N"
    '250 N'

    References
    ----------
    Momentum of a free jet.
    """
    return count * recoil(mass_flow, jet_speed, 1, angle, skew)[1]


def hauled_mass(empty: float, bore: float, density: float, flooded: bool) -> float:
    """Mass that a metre of hose weighs with as it is hauled. [kg/m]

    With the water in it; in a flooded pipe that water floats, and what the hose's wall displaces is left out, on the
    cautious side.

    Parameters
    ----------
    empty : float
        Of a metre of empty hose. [kg/m]
    bore : float
        Of the hose. [m]
    density : float
        Of the water in it. [kg/m³]
    flooded : bool
        The pipe stands full of water. [-]

    Examples
    --------
    >>> [f"{hauled_mass(0.9, 0.0127, 1000.0, flooded):.2f} kg/m" for flooded in (False, True)]
    ['1.03 kg/m', '0.90 kg/m']

    References
    ----------
    Archimedes' principle, by definition of buoyancy.
    """
    return empty if flooded else empty + density * round_area(bore)


def capstan(tension: float, friction: float, bends: float) -> float:
    """Tension ahead of a bend that a rope or hose is hauled round. [N]

    tension·exp(friction·bends).

    Parameters
    ----------
    tension : float
        Behind the bend. [N]
    friction : float
        Hose on pipe. [-]
    bends : float
        Angle of the bend, or of all bends together. [rad]

    Examples
    --------
    >>> f"{1 / capstan(1.0, 0.4, math.pi / 2):.4f}"  # what one square bend leaves of a pull
    '0.5335'

    References
    ----------
    Eytelwein's rope.
    """
    return tension * math.exp(friction * bends)


def drag(line_mass: float, friction: float, incline: float) -> float:
    """Force that each metre of hose costs on a straight. [N/m]

    line_mass·(friction·cos + sin) of the incline; a fall counts as level, on the cautious side.

    Parameters
    ----------
    line_mass : float
        Mass of a metre, of `hauled_mass`. [kg/m]
    friction : float
        Hose on pipe. [-]
    incline : float
        Of the pipe, upward positive. [rad]

    Examples
    --------
    >>> f"{drag(1.2, 0.4, 0.0):.2f} N/m"
    '4.71 N/m'

    References
    ----------
    Coulomb: friction in proportion to the load.
    """
    upward = max(0.0, incline)
    return line_mass * GRAVITY * (friction * math.cos(upward) + math.sin(upward))


def needed_pull(length: float, line_mass: float, friction: float, incline: float, bends: float) -> float:
    """Pull that hauls a length of hose. [N]

    The bends are taken where they cost most: at the far end, with the whole hose behind them.

    Parameters
    ----------
    length : float
        Hauled in. [m]
    line_mass : float
        Mass of a metre, of `hauled_mass`. [kg/m]
    friction : float
        Hose on pipe. [-]
    incline : float
        Of the pipe, upward positive. [rad]
    bends : float
        Angles of all bends together. [rad]

    Examples
    --------
    >>> f"{needed_pull(100.0, 1.2, 0.4, 0.0, math.pi / 2):.0f} N"
    '882 N'

    References
    ----------
    `drag` and `capstan`.
    """
    return capstan(length * drag(line_mass, friction, incline), friction, bends)


def reach(pull: float, line_mass: float, friction: float, incline: float, bends: float) -> float:
    """Length of hose that a pull hauls; 0 for none. [m]

    Parameters
    ----------
    pull : float
        At the nozzle. [N]
    line_mass : float
        Mass of a metre, of `hauled_mass`. [kg/m]
    friction : float
        Hose on pipe; above 0. [-]
    incline : float
        Of the pipe, upward positive. [rad]
    bends : float
        Angles of all bends together. [rad]

    Examples
    --------
    >>> [f"{reach(499.6, 1.2, 0.4, 0.0, bends):.1f} m" for bends in (0.0, math.pi / 2)]
    ['106.1 m', '56.6 m']

    References
    ----------
    The inverse of `needed_pull`.
    """
    return max(0.0, pull) / needed_pull(1.0, line_mass, friction, incline, bends)


def piston_push(pressure: float, bore: float) -> float:
    """Force on what plugs a tube, and back on the lance that plugs it, while water stands behind it. [N]

    Parameters
    ----------
    pressure : float
        Gauge, behind the plug. [Pa]
    bore : float
        Of the tube. [m]

    Examples
    --------
    >>> f"{piston_push(10e5, 0.019):.0f} N"
    '284 N'

    References
    ----------
    Definition of pressure.
    """
    return pressure * round_area(bore)
