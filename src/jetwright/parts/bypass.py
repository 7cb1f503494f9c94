"""Bypass at the pump outlet: a hole the crew sets, a valve that regulates, or an unloader."""

from dataclasses import dataclass

from jetwright.kernel import kernel
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.water.state import Water


@dataclass(frozen=True, slots=True)
class Bypass:
    """A way past the tool, as numbers.

    opening [Pa], accumulation [-] and full_flow [kg/s] of a valve that regulates (full_flow 0: none); seat: a worn
    seat's hole that never shuts [m²]. How far a hand-set hole stands open belongs to the setting.
    """

    opening: float = 0.0
    accumulation: float = 0.0
    full_flow: float = 0.0
    seat: float = 0.0


@kernel
def valve_flow(opening: float, accumulation: float, full_flow: float, pressure: float) -> tuple[float, float]:
    """Mass flow through a spring valve that opens by itself, with its slope. [kg/s, kg/(s Pa)]

    Zero up to the opening pressure, then full_flow·(p - opening)/(accumulation·opening).

    Parameters
    ----------
    opening : float
        Gauge pressure at which it opens. [Pa]
    accumulation : float
        Rise from opening to full flow as a share of the opening pressure. [-]
    full_flow : float
        Mass flow at full lift; 0: there is no valve. [kg/s]
    pressure : float
        Gauge. [Pa]

    Examples
    --------
    >>> f"{valve_flow(1000e5, 0.10, 2.0, 1050e5)[0]:.3f} kg/s"
    '1.000 kg/s'

    References
    ----------
    Straight-line lift, common practice for relief and regulating valves.
    """
    if full_flow <= 0.0 or pressure <= opening:
        return 0.0, 0.0
    steepness = full_flow / max(accumulation * opening, 1.0)
    return steepness * (pressure - opening), steepness


@kernel
def bypass_flow(water: Water, bypass: Bypass, area: float, pressure: float) -> tuple[float, float]:
    """Mass flow past the tool, with its slope. [kg/s, kg/(s Pa)]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    bypass : Bypass
        A regulating valve passes what its opening pressure lets through. [-]
    area : float
        Hole that is open, 0 when shut. [m²]
    pressure : float
        Gauge pressure at the pump's outlet. [Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> water = water_at(291.15, 100845.0)
    >>> f"{bypass_flow(water, Bypass(), 0.660e-6, 933.1e5)[0] / water.reference_density * 60000:.2f} L/min"
    '11.87 L/min'

    References
    ----------
    `parts.nozzle.jet_flow` with a discharge coefficient of 0.7 (common practice).
    """
    hole, steep = jet_flow(water, HOLE_DISCHARGE * (area + bypass.seat), pressure)
    spill, rise = valve_flow(bypass.opening, bypass.accumulation, bypass.full_flow, pressure)
    return hole + spill, steep + rise
