"""Plunger pump: what it delivers at a pressure, what that asks of its shaft, and what measured points say of it."""

from dataclasses import dataclass

from jetwright.kernel import kernel
from jetwright.parts.nozzle import round_area
from jetwright.water.state import Water, enthalpy_rise_of, volume_of

CLEARANCE = 1.2
SLIP = 0.02
EFFICIENCY = 0.90


@dataclass(frozen=True, slots=True)
class Pump:
    """A plunger pump, as numbers: swept volume of a turn [m³], slip, clearance and efficiency [-], strength [-].

    `strength` is the share of its sound delivery that a worn pump still gives.
    """

    swept_volume: float
    slip: float
    clearance: float
    efficiency: float
    strength: float = 1.0


def swept_volume(plungers: int, diameter: float, stroke: float) -> float:
    """Volume the plungers sweep in one turn of the shaft. [m³]

    Parameters
    ----------
    plungers : int
        Single-acting. [-]
    diameter : float
        Of a plunger. [m]
    stroke : float
        Of a plunger. [m]

    Examples
    --------
    >>> f"{swept_volume(3, 0.022, 0.080) * 600 * 1000:.2f} L/min at 600 rpm"
    '54.74 L/min at 600 rpm'

    References
    ----------
    Geometry.
    """
    return plungers * round_area(diameter) * stroke


@kernel
def volumetric_efficiency(water: Water, pump: Pump, pressure: float) -> float:
    """Delivered mass over the mass the plungers sweep, on the suction side's density. [-]

    1 - slip - clearance·(ρ/ρ0 - 1): what stays compressed in the clearance must expand before the suction valve opens.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        Slip and clearance. [-]
    pressure : float
        Gauge pressure at the pump's outlet. [Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> f"{volumetric_efficiency(water_at(293.15, 1e5), Pump(1e-3, 0.0, 1.0, 0.9), 1000e5):.4f}"
    '0.9585'

    References
    ----------
    Mass balance of a cylinder; discharge density taken at the supply temperature, as everywhere in a plan.
    """
    ratio = 1.0 / (water.reference_density * volume_of(water, pressure + water.ambient))
    return pump.strength * (1.0 - pump.slip - pump.clearance * (ratio - 1.0))


@kernel
def delivered_per_turn(water: Water, pump: Pump, pressure: float) -> float:
    """Mass the pump delivers in one turn. [kg]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        Swept volume, slip, clearance, strength. [-]
    pressure : float
        Gauge pressure at the pump's outlet. [Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> pump = Pump(swept_volume(3, 0.032, 0.110), 0.02, 1.2, 0.9)
    >>> f"{delivered_per_turn(water_at(291.15, 100845.0), pump, 933.1e5) / 0.9986 * 120:.2f} L/min at 120 rpm"
    '29.71 L/min at 120 rpm'

    References
    ----------
    `volumetric_efficiency`.
    """
    return water.reference_density * pump.swept_volume * volumetric_efficiency(water, pump, pressure)


def shaft_power(water: Water, pump: Pump, speed: float, inlet: float, pressure: float) -> tuple[float, float]:
    """Power in the water and at the pump's shaft. [W, W]

    Hydraulic: delivered mass × isentropic rise of enthalpy; shaft: (delivered + slipped mass) × that rise / efficiency.
    Compression in the clearance gives its work back.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        Any. [-]
    speed : float
        Of the pump's shaft. [rev/s]
    inlet : float
        Gauge pressure at the pump's inlet. [Pa]
    pressure : float
        Gauge pressure at the pump's outlet. [Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> pump = Pump(swept_volume(3, 0.032, 0.110), 0.02, 1.2, 0.9)
    >>> hydraulic, shaft = shaft_power(water_at(291.15, 100845.0), pump, 2.0, 3.5e5, 933.1e5)
    >>> f"{hydraulic / 1000:.1f} kW, {shaft / 1000:.1f} kW"
    '45.1 kW, 51.2 kW'

    References
    ----------
    First law for an adiabatic pump; IAPWS R6-95(2018) enthalpy.
    """
    if pressure <= inlet:
        return 0.0, 0.0
    rise = enthalpy_rise_of(water, inlet + water.ambient, pressure + water.ambient)
    delivered = max(0.0, speed * delivered_per_turn(water, pump, pressure))
    slipped = max(0.0, speed * water.reference_density * pump.swept_volume * pump.slip)
    return delivered * rise, (delivered + slipped) * rise / pump.efficiency


def fit_slip(
    water: Water, swept: float, clearance: float, points: tuple[tuple[float, float, float], ...]
) -> tuple[float, float]:
    """Slip and clearance that measured points ask for. [-, -]

    One point gives the slip at the clearance taken; two or more at different pressures give both, by least squares.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    swept : float
        Volume of a turn. [m³]
    clearance : float
        Taken when the points cannot give it. [-]
    points : tuple of (float, float, float)
        Speed, gauge pressure, flow. [rev/s, Pa, m³/s]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> water = water_at(291.15, 100845.0)
    >>> slip, clearance = fit_slip(water, 2.654e-4, 1.2, ((5.0, 600e5, 0.94 * 5.0 * 2.654e-4),))
    >>> f"slip {slip:.4f}, clearance {clearance:.1f}"
    'slip 0.0287, clearance 1.2'

    References
    ----------
    Least squares on `volumetric_efficiency`.
    """
    squeeze = [1.0 / (water.reference_density * volume_of(water, p + water.ambient)) - 1.0 for _, p, _ in points]
    share = [flow / (swept * speed) for speed, _, flow in points]
    count = len(points)
    mean_squeeze = sum(squeeze) / count
    mean_share = sum(share) / count
    spread = sum((s - mean_squeeze) ** 2 for s in squeeze)
    if count > 1 and spread > 1e-8:
        together = sum((s - mean_squeeze) * (e - mean_share) for s, e in zip(squeeze, share, strict=True))
        clearance = -together / spread
    return 1.0 - mean_share - clearance * mean_squeeze, clearance
