"""Relief valve or rupture disc at the pump outlet: the last way out, never part of a plan."""

from dataclasses import dataclass

from jetwright.kernel import kernel
from jetwright.parts.bypass import valve_flow

ACCUMULATION = 0.10
"""Rise from its set point to full flow, as a share of it, where a valve's plate does not say (common practice)."""
RESEAT = 0.90
"""Share of its set point at which a valve shuts again, where its certificate does not say (common practice)."""


@dataclass(frozen=True, slots=True)
class Relief:
    """A relief device, as numbers: set [Pa gauge], accumulation [-], full_flow [kg/s]."""

    set: float
    accumulation: float
    full_flow: float


@kernel
def relief_flow(relief: Relief, pressure: float) -> tuple[float, float]:
    """Mass flow over a relief valve, with its slope. [kg/s, kg/(s Pa)]

    Parameters
    ----------
    relief : Relief
        Shut up to its set point, full flow at set·(1 + accumulation). [-]
    pressure : float
        Gauge pressure at the pump's outlet. [Pa]

    Examples
    --------
    >>> relief_flow(Relief(1000e5, 0.10, 2.0), 1100e5)[0]
    2.0

    References
    ----------
    Straight-line lift between set pressure and full flow, common practice.
    """
    return valve_flow(relief.set, relief.accumulation, relief.full_flow, pressure)


def lowest_opening(kind: str, set_pressure: float, tolerance: float) -> float:
    """Lowest gauge pressure at which a relief device may open. [Pa]

    Parameters
    ----------
    kind : str
        "valve" or "disc". [-]
    set_pressure : float
        Gauge. [Pa]
    tolerance : float
        Of a disc's burst pressure, as a share. [-]

    Examples
    --------
    >>> f"{lowest_opening('disc', 1000e5, 0.10) / 1e5:.0f} bar"
    '900 bar'

    References
    ----------
    Common practice: a disc is judged at both ends of its tolerance.
    """
    return set_pressure * (1.0 - tolerance) if kind == "disc" else set_pressure


def latest_opening(kind: str, set_pressure: float, tolerance: float) -> float:
    """Highest gauge pressure at which a relief device has begun to open. [Pa]

    Parameters
    ----------
    kind : str
        "valve" or "disc". [-]
    set_pressure : float
        Gauge. [Pa]
    tolerance : float
        Of a disc's burst pressure, as a share. [-]

    Examples
    --------
    >>> f"{latest_opening('disc', 1000e5, 0.10) / 1e5:.0f} bar"
    '1100 bar'

    References
    ----------
    Common practice: a disc is judged at both ends of its tolerance.
    """
    return set_pressure * (1.0 + tolerance) if kind == "disc" else set_pressure


def full_lift(
    kind: str, set_pressure: float, accumulation: float, tolerance: float, full_flow: float, mass_flow: float
) -> float:
    """Gauge pressure at which a relief device passes all that a pump gives. [Pa]

    A valve: set·(1 + accumulation) at its full flow, above that on along the same line; a disc: its latest burst.

    Parameters
    ----------
    kind : str
        "valve" or "disc". [-]
    set_pressure : float
        Gauge. [Pa]
    accumulation : float
        Of a valve, from set pressure to full flow. [-]
    tolerance : float
        Of a disc's burst pressure, as a share. [-]
    full_flow : float
        Of a valve. [kg/s]
    mass_flow : float
        That must pass. [kg/s]

    Examples
    --------
    >>> [f"{full_lift('valve', 1150e5, 0.10, 0.0, 2.0, flow) / 1e5:.0f} bar" for flow in (1.0, 2.0, 3.0)]
    ['1265 bar', '1265 bar', '1322 bar']

    References
    ----------
    `parts.bypass.valve_flow`; a disc is judged at both ends of its tolerance, common practice.
    """
    if kind == "disc":
        return latest_opening(kind, set_pressure, tolerance)
    return set_pressure * (1.0 + accumulation * max(1.0, mass_flow / full_flow))
