"""The free jet: what of a jet's pressure arrives where it strikes, and how wide. Estimates with their spread.

Published figures differ tenfold, by nozzle and by how the water comes to it. None of them is a distance to a person.
"""

import math

SPREAD = 0.40
"""Share by which an estimate of pressure or width may be off either way (common practice)."""
STRAIGHT = (100.0, 0.553)
"""Core in bores, and exponent of the decay, of a good nozzle behind a straight approach: half is left at 350 bores."""
ORDINARY = (20.0, 1.0)
"""The same of a drilled tip, or behind a bend: the middle of what is common."""
ORDINARY_LEAST = (10.0, 1.2)
ORDINARY_MOST = (30.0, 0.8)
"""Ends of what is common for a drilled tip, or behind a bend (common practice)."""


def jet_power(mass_flow: float, jet_speed: float) -> float:
    """Kinetic power of a jet. [W]

    Parameters
    ----------
    mass_flow : float
        Of the jet. [kg/s]
    jet_speed : float
        As it leaves its tip. [m/s]

    Examples
    --------
    >>> f"{jet_power(0.2970, 420.2) / 1000:.1f} kW"
    '26.2 kW'

    References
    ----------
    Definition of kinetic energy.
    """
    return 0.5 * mass_flow * jet_speed * jet_speed


def jet_force(mass_flow: float, jet_speed: float) -> float:
    """Force of a jet on what it strikes squarely; it holds far longer than the pressure does. [N]

    Parameters
    ----------
    mass_flow : float
        Of the jet. [kg/s]
    jet_speed : float
        As it leaves its tip. [m/s]

    Examples
    --------
    >>> f"{jet_force(0.2970, 420.2):.0f} N"
    '125 N'

    References
    ----------
    Momentum of a free jet that turns off sideways.
    """
    return mass_flow * jet_speed


def jet_diameter(bore: float, contraction: float) -> float:
    """Diameter of a jet behind its tip. [m]

    Parameters
    ----------
    bore : float
        Of the tip. [m]
    contraction : float
        Area of the jet over that of the hole; the discharge coefficient where the jet loses no speed. [-]

    Examples
    --------
    >>> f"{jet_diameter(0.001, 0.65) * 1000:.2f} mm"
    '0.81 mm'

    References
    ----------
    Definition of the contraction coefficient.
    """
    return bore * math.sqrt(contraction)


def decay(bores: float, core: float, exponent: float) -> float:
    """Share of the nozzle pressure that strikes a surface on the jet's axis. [-]

    min(1, (core/bores)^exponent).

    Parameters
    ----------
    bores : float
        Distance over the tip's bore. [-]
    core : float
        Bores up to which all of it arrives. [-]
    exponent : float
        Of the decay beyond. [-]

    Examples
    --------
    >>> [f"{decay(bores, *STRAIGHT):.3f}" for bores in (50.0, 200.0, 350.0)]
    ['1.000', '0.682', '0.500']

    References
    ----------
    Leach & Walker for the straight approach: half at about 350 nozzle diameters.
    """
    return 1.0 if bores <= core else math.pow(core / bores, exponent)


def pressure_at(nozzle: float, bore: float, standoff: float, straight: bool | None) -> tuple[float, float, float]:
    """Pressure on a surface on the jet's axis: low, middle and high estimate. [Pa, Pa, Pa]

    40 % either way, and for an ordinary tip at least what its common cores and exponents span; never above the nozzle
    pressure. An approach that nobody described takes the low and middle of an ordinary one, the high of a straight one.

    Parameters
    ----------
    nozzle : float
        Gauge pressure right behind the tip. [Pa]
    bore : float
        Of the tip. [m]
    standoff : float
        Tip to surface. [m]
    straight : bool | None
        The water comes straight to a good nozzle; False: a drilled tip, or a bend just ahead of it; None: not said. [-]

    Examples
    --------
    >>> [f"{p / 1e5:.0f} bar" for p in pressure_at(1000e5, 0.001, 0.2, True)]
    ['409 bar', '682 bar', '954 bar']
    >>> [f"{p / 1e5:.0f} bar" for p in pressure_at(1000e5, 0.001, 0.2, False)]
    ['27 bar', '100 bar', '219 bar']

    References
    ----------
    Leach & Walker for the straight approach; the ordinary one and the 40 % are common practice.
    """
    bores = standoff / bore
    good = decay(bores, *STRAIGHT)
    poor = decay(bores, *ORDINARY)
    least = min((1.0 - SPREAD) * poor, decay(bores, *ORDINARY_LEAST))
    most = max((1.0 + SPREAD) * poor, decay(bores, *ORDINARY_MOST))
    if straight:
        return (1.0 - SPREAD) * good * nozzle, good * nozzle, min(1.0, (1.0 + SPREAD) * good) * nozzle
    high = most if straight is not None else max(most, (1.0 + SPREAD) * good)
    return least * nozzle, poor * nozzle, min(1.0, high) * nozzle


def width_at(diameter: float, bore: float, standoff: float, straight: bool | None) -> tuple[float, float, float]:
    """Width of the track that a jet cleans: low, middle and high estimate. [m, m, m]

    The jet's diameter as far as its core reaches, then growing with the square root of the distance; 40 % either way,
    and for an ordinary tip at least what its common cores span. A measured track is better than any of the three.

    Parameters
    ----------
    diameter : float
        Of the jet, of `jet_diameter`. [m]
    bore : float
        Of the tip. [m]
    standoff : float
        Tip to surface. [m]
    straight : bool | None
        As for `pressure_at`. [-]

    Examples
    --------
    >>> [f"{1000 * width:.2f} mm" for width in width_at(0.00095, 0.001, 0.2, False)]
    ['1.80 mm', '3.00 mm', '4.25 mm']

    References
    ----------
    Common practice: growth with the square root of the distance in the droplet region; the 40 % likewise.
    """
    cores = STRAIGHT[0], ORDINARY[0], ORDINARY_LEAST[0]
    good, poor, most = (math.sqrt(max(1.0, standoff / bore / core)) * diameter for core in cores)
    if straight:
        return (1.0 - SPREAD) * good, good, (1.0 + SPREAD) * good
    low = (1.0 - SPREAD) * (poor if straight is not None else good)
    return low, poor, max((1.0 + SPREAD) * poor, most)


def profile(share: float) -> float:
    """Pressure on a surface off the jet's axis, over that on the axis. [-]

    1 - 3x² + 2x³ with x = distance from the axis / radius at which nothing is left.

    Parameters
    ----------
    share : float
        x; at 1 and beyond nothing is left. [-]

    Examples
    --------
    >>> [profile(share) for share in (0.0, 0.5, 1.0, 1.5)]
    [1.0, 0.5, 0.0, 0.0]

    References
    ----------
    Leach & Walker, from memory.
    """
    x = min(1.0, share)
    return 1.0 - 3.0 * x * x + 2.0 * x * x * x
