"""Diesel engine: its full-load curve, what altitude and warm air take off it, fuel and DEF."""

import math

FUEL_RATE = 210.0 / 3.6e9  # kg/J, 210 g/kWh
FUEL_DENSITY = 835.0  # kg/m³
DEF_SHARE = 0.04
STANDARD_PRESSURE = 101325.0


def ambient_pressure(altitude: float) -> float:
    """Pressure of the standard atmosphere. [Pa]

    Parameters
    ----------
    altitude : float
        Above sea level, -500 to 11 000. [m]

    Examples
    --------
    >>> f"{ambient_pressure(1500.0):.0f}"
    '84556'

    References
    ----------
    ISO 2533:1975, standard atmosphere, troposphere.
    """
    return STANDARD_PRESSURE * math.pow(1.0 - 0.0065 * altitude / 288.15, 5.255879)


def derating(ambient: float, air_temperature: float) -> float:
    """Full-load power on site as a share of the power on the plate. [-]

    k = (ambient/100 kPa)^0.7·(298.15 K/air)^1.2, power factor k - 0.7(1 - k)(1/0.8 - 1), never above 1.

    Parameters
    ----------
    ambient : float
        Pressure of the air. [Pa]
    air_temperature : float
        At the engine's intake. [K]

    Examples
    --------
    >>> f"{derating(ambient_pressure(1500.0), 308.15):.3f}"
    '0.829'
    >>> derating(101325.0, 288.15)
    1.0

    References
    ----------
    Form of ISO 3046-1 for turbocharged, charge-cooled engines (from memory).
    """
    k = math.pow(ambient / 100e3, 0.7) * math.pow(298.15 / air_temperature, 1.2)
    return min(1.0, k - 0.7 * (1.0 - k) * (1.0 / 0.8 - 1.0))


def full_load(curve: tuple[tuple[float, float], ...], speed: float) -> float:
    """Power on the full-load curve, straight between its points and flat beyond its ends. [W]

    Parameters
    ----------
    curve : tuple of (float, float)
        Speed and power, in order of speed. [rev/s, W]
    speed : float
        Of the engine. [rev/s]

    Examples
    --------
    >>> full_load(((25.0, 235e3), (30.0, 290e3)), 27.5)
    262500.0

    References
    ----------
    Linear interpolation.
    """
    if speed <= curve[0][0]:
        return curve[0][1]
    for (n0, p0), (n1, p1) in zip(curve, curve[1:], strict=False):
        if speed <= n1:
            return p0 + (p1 - p0) * (speed - n0) / (n1 - n0)
    return curve[-1][1]


def lowest_speed(curve: tuple[tuple[float, float], ...], factor: float, power: float, at_least: float) -> float | None:
    """Lowest engine speed at which the derated curve covers a power, or None. [rev/s]

    Parameters
    ----------
    curve : tuple of (float, float)
        Speed and power, in order of speed. [rev/s, W]
    factor : float
        Share of the curve that is left on site. [-]
    power : float
        Asked of the engine. [W]
    at_least : float
        Speed below which the drive cannot reach the pump speed. [rev/s]

    Examples
    --------
    >>> lowest_speed(((25.0, 200e3), (30.0, 300e3)), 1.0, 250e3, 0.0)
    27.5

    References
    ----------
    Linear interpolation.
    """
    start = max(at_least, curve[0][0])
    if start > curve[-1][0] * (1.0 + 1e-12):
        return None
    if factor * full_load(curve, start) >= power:
        return start
    for (n0, p0), (n1, p1) in zip(curve, curve[1:], strict=False):
        if n1 > start and factor * p1 >= power:
            return max(start, n0 + (power / factor - p0) * (n1 - n0) / (p1 - p0))
    return None


def fuel_flow(power: float, fuel_rate: float) -> float:
    """Volume of diesel an engine burns, DEF being 4 % of it where it is used. [m³/s]

    Parameters
    ----------
    power : float
        Of the engine. [W]
    fuel_rate : float
        Mass for a unit of work. [kg/J]

    Examples
    --------
    >>> f"{fuel_flow(200e3, FUEL_RATE) * 3.6e6:.1f} L/h"
    '50.3 L/h'

    References
    ----------
    Diesel of 0.835 kg/L, within the 0.820 to 0.845 kg/L of EN 590 (from memory).
    """
    return power * fuel_rate / FUEL_DENSITY
