"""Inlet side: what is left of the supply pressure at the pump."""

from jetwright.parts.hose import Piece, piece_inlet
from jetwright.water.state import Water


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
