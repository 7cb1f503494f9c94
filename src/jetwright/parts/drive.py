"""Drive between engine and pump: what it loses, and which engine speed a pump speed needs."""

EFFICIENCY = {"hydrostatic": 0.80, "direct": 0.95}
"""Efficiency taken when none is given (common practice)."""


def engine_power(shaft: float, efficiency: float, auxiliary: float) -> float:
    """Power asked of the engine. [W]

    Parameters
    ----------
    shaft : float
        At the pump's shaft. [W]
    efficiency : float
        Of the drive. [-]
    auxiliary : float
        Fan, charge pump, alternator. [W]

    Examples
    --------
    >>> f"{engine_power(92.59e3, 0.80, 0.0) / 1000:.2f} kW"
    '115.74 kW'

    References
    ----------
    Definition of efficiency.
    """
    return shaft / efficiency + auxiliary
