"""A rotating head: how it covers a surface as it turns and is moved on, and what turns it."""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OffsetJets:
    """Equal jets of a head that turns: mass_flow of one [kg/s], jet_speed [m/s], radius [m] and skew [rad] as a port's.

    A jet turned the other way has a skew below zero.
    """

    count: int
    mass_flow: float
    jet_speed: float
    radius: float
    skew: float


def advance(travel: float, turns: float) -> float:
    """How far a head is moved on in one turn. [m]

    Parameters
    ----------
    travel : float
        Along the surface. [m/s]
    turns : float
        Of the head; above 0. [rev/s]

    Examples
    --------
    >>> f"{advance(0.1, 1500 / 60) * 1000:.1f} mm"
    '4.0 mm'

    References
    ----------
    Definition.
    """
    return travel / turns


def least_turns(travel: float, tracks: int, width: float, overlap: float) -> float:
    """Turns below which stripes stay between the tracks. [rev/s]

    travel/(tracks·width·(1 - overlap)).

    Parameters
    ----------
    travel : float
        Along the surface. [m/s]
    tracks : int
        Distinct tracks in a turn: jets on one radius count each. [-]
    width : float
        Of the track of one jet. [m]
    overlap : float
        Of a track with the next, as a share of it; below 1. [-]

    Examples
    --------
    >>> f"{60 * least_turns(0.1, 2, 0.003, 0.3):.1f} rpm"
    '1428.6 rpm'

    References
    ----------
    Geometry.
    """
    return travel / (tracks * width * (1.0 - overlap))


def fastest_travel(turns: float, tracks: int, width: float, overlap: float) -> float:
    """Travel above which stripes stay between the tracks. [m/s]

    Parameters
    ----------
    turns : float
        Of the head. [rev/s]
    tracks : int
        Distinct tracks in a turn. [-]
    width : float
        Of the track of one jet. [m]
    overlap : float
        Of a track with the next, as a share of it. [-]

    Examples
    --------
    >>> f"{fastest_travel(1500 / 60, 2, 0.003, 0.3):.3f} m/s"
    '0.105 m/s'

    References
    ----------
    The inverse of `least_turns`.
    """
    return turns * tracks * width * (1.0 - overlap)


def surface_speed(turns: float, radius: float) -> float:
    """Speed of a jet over the surface as its head turns. [m/s]

    Parameters
    ----------
    turns : float
        Of the head. [rev/s]
    radius : float
        Of the jet's circle on the surface. [m]

    Examples
    --------
    >>> f"{surface_speed(1500 / 60, 0.15):.2f} m/s"
    '23.56 m/s'

    References
    ----------
    Geometry.
    """
    return 2.0 * math.pi * radius * turns


def torque(jets: tuple[OffsetJets, ...], turns: float) -> float:
    """Torque of the jets on their head, the stall torque at no turns; what its brake must hold. [N m]

    Σ ṁ·r·(v·sin(skew) - 2π·turns·r).

    Parameters
    ----------
    jets : tuple of OffsetJets
        Of the head. [-]
    turns : float
        Of the head. [rev/s]

    Examples
    --------
    >>> pair = (OffsetJets(2, 0.339, 442.9, 0.015, math.radians(20.0)),)  # 150 N each
    >>> [f"{torque(pair, turns):.2f} N m" for turns in (0.0, 25.0)]
    ['1.54 N m', '1.52 N m']

    References
    ----------
    Moment of momentum: Momentum of a free jet, at its radius.
    """
    return sum(
        jet.count
        * jet.mass_flow
        * jet.radius
        * (jet.jet_speed * math.sin(jet.skew) - 2.0 * math.pi * turns * jet.radius)
        for jet in jets
    )


def free_turns(jets: tuple[OffsetJets, ...]) -> float:
    """Turns at which nothing drives a head on any more; only a brake decides how fast it really turns. [rev/s]

    v·sin(skew)/(2π·r) for jets that are alike: tens of thousands of turns a minute, which no head bears.

    Parameters
    ----------
    jets : tuple of OffsetJets
        Of the head; at least one off the axis. [-]

    Examples
    --------
    >>> f"{60 * free_turns((OffsetJets(2, 0.339, 443.0, 0.015, math.radians(20.0)),)):.0f} rpm"
    '96457 rpm'

    References
    ----------
    `torque` = 0.
    """
    inertia = sum(jet.count * jet.mass_flow * jet.radius * jet.radius for jet in jets)
    return torque(jets, 0.0) / (2.0 * math.pi * inertia)


def energy_per_area(jet_power: float, travel: float, width: float) -> float:
    """Jet energy that each piece of surface gets in one pass. [J/m²]

    Parameters
    ----------
    jet_power : float
        Of all jets. [W]
    travel : float
        Along the surface. [m/s]
    width : float
        Of the pass that counts, its overlap taken off. [m]

    Examples
    --------
    >>> f"{energy_per_area(100e3, 0.1, 0.27) / 1e6:.3f} MJ/m2"
    '3.704 MJ/m2'

    References
    ----------
    Definition; scales a trial patch to another tool.
    """
    return jet_power / (travel * width)


def production_rate(travel: float, width: float, overlap: float, at_work: float) -> float:
    """Surface cleaned in a time. [m²/s]

    Parameters
    ----------
    travel : float
        Along the surface. [m/s]
    width : float
        Of one pass. [m]
    overlap : float
        Of a pass with the next, as a share of it. [-]
    at_work : float
        Share of the time that the tool moves. [-]

    Examples
    --------
    >>> f"{3600 * production_rate(0.1, 0.3, 0.1, 0.6):.2f} m2/h"
    '58.32 m2/h'

    References
    ----------
    Geometry; 40 to 70 % at work by hand, 70 to 85 % automated, common practice.
    """
    return travel * width * (1.0 - overlap) * at_work
