"""Jets: what leaves a tip, a dump port, a leak or a bypass hole, and how hard it pushes back."""

import math

from jetwright.kernel import kernel
from jetwright.water.state import Water, jet_density_of, jet_speed_of, volume_of

DISCHARGE = {"sharp": 0.65, "rounded": 0.90, "cone": 0.95, "unknown": 0.90}
"""Discharge coefficient taken for each inlet shape (common practice; ranges in docs/sources.md)."""
UNKNOWN_INLET = (0.60, 0.97)
"""Ends between which an unknown inlet is judged."""
HOLE_DISCHARGE = 0.70
"""Discharge coefficient of a part-open bypass and of a dump port that gives none (common practice)."""


@kernel
def jet_flow(water: Water, area: float, pressure: float) -> tuple[float, float]:
    """Mass flow out of holes into the open, with its slope against pressure. [kg/s, kg/(s Pa)]

    Cd·A·ρ·v with speed and density at the cold end of the isentrope from (pressure, supply temperature) to ambient.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    area : float
        Sum of discharge coefficient × area of the holes. [m²]
    pressure : float
        Gauge pressure ahead of them; at or below zero nothing flows. [Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> water = water_at(291.15, 100845.0)
    >>> f"{jet_flow(water, 0.9 * 0.7854e-6, 900e5)[0] / water.reference_density * 60000:.2f} L/min"
    '17.84 L/min'

    References
    ----------
    Bernoulli along an isentrope of IAPWS R6-95(2018) water.
    """
    absolute = pressure + water.ambient
    if absolute <= water.ambient or area <= 0.0:
        return 0.0, 0.0
    speed = jet_speed_of(water, absolute)
    flow = area * jet_density_of(water, absolute) * speed
    return flow, flow * volume_of(water, absolute) / (speed * speed)


def jet_area(water: Water, flow: float, pressure: float) -> float:
    """Discharge coefficient × area that passes a flow at a pressure, as a rated pair gives them. [m²]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    flow : float
        Volume at the reference density. [m³/s]
    pressure : float
        Gauge, above 0. [Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> f"{jet_area(water_at(291.15, 100845.0), 17.84 / 60000, 900e5) / 0.9 * 1e6:.3f} mm2"
    '0.786 mm2'

    References
    ----------
    The inverse of `jet_flow`.
    """
    return flow * water.reference_density / jet_flow(water, 1.0, pressure)[0]


def round_area(diameter: float) -> float:
    """Area of a round hole. [m²]

    Parameters
    ----------
    diameter : float
        Of the hole. [m]

    Examples
    --------
    >>> f"{round_area(0.001) * 1e6:.4f} mm2"
    '0.7854 mm2'

    References
    ----------
    Geometry.
    """
    return 0.25 * math.pi * diameter * diameter


def recoil(mass_flow: float, jet_speed: float, count: int, angle: float, skew: float) -> tuple[float, float]:
    """Push of equal jets on their tool, along its axis and across it. [N, N]

    Along: mass flow × speed × cos(angle)·cos(skew), positive when it pushes the tool back at its holder. Across: what
    is left of a single jet; jets evenly spaced round the axis cancel.

    Parameters
    ----------
    mass_flow : float
        Of one jet. [kg/s]
    jet_speed : float
        Of the jet; a velocity coefficient of 1, on the cautious side. [m/s]
    count : int
        Jets, evenly spaced round the axis when more than one. [-]
    angle : float
        Between jet and the tool's forward axis. [rad]
    skew : float
        Tangential angle of a rotating head's jet. [rad]

    Examples
    --------
    >>> along, across = recoil(0.2970, 420.2, 1, math.radians(45.0), 0.0)
    >>> f"{along:.0f} N along, {across:.0f} N across"
    '88 N along, 88 N across'

    References
    ----------
    Momentum of a free jet at ambient pressure.
    """
    force = mass_flow * jet_speed
    share = math.cos(angle) * math.cos(skew)
    along = count * force * share
    across = force * math.sqrt(max(0.0, 1.0 - share * share)) if count == 1 else 0.0
    return along, across
