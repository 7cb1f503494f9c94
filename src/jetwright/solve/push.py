"""How hard a tool pushes back, jet by jet, also with some of its jets plugged."""

import math
from collections.abc import Mapping

from jetwright.parts.nozzle import jet_flow, recoil
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND, Condition
from jetwright.solve.network import row_area
from jetwright.water.state import jet_speed_of


def push_of(
    rig: CheckedRig,
    number: int,
    nozzle: float,
    condition: Condition = SOUND,
    plugged: Mapping[int, int] | None = None,
) -> tuple[float, float]:
    """Push of a tool's jets at a pressure behind its tips, along its axis and across it. [N, N]

    The jets of a row stand evenly round the axis: whole rows cancel across it, and with neighbours plugged what is left
    is a sum of vectors over their azimuths. Single jets at an angle and the unbalanced parts of several rows are taken
    to point the same way, on the cautious side.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    number : int
        Branch, from 1. [-]
    nozzle : float
        Gauge pressure right behind the tips; at or below zero nothing pushes. [Pa]
    condition : Condition
        Wear of the tips; sound when not given. [-]
    plugged : Mapping | None
        By port row, from 0: how many of its jets are plugged, neighbours; their area is not taken off twice. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> along, across = push_of(check(JOB), 1, 850e5)
    >>> f"{along:.0f} N along, {across:.0f} N across"
    '170 N along, 0 N across'
    >>> push_of(check(JOB), 1, 850e5, plugged={0: 1})[0]
    0.0

    References
    ----------
    `parts.nozzle.recoil`; the across parts of evenly spaced jets are the chords of a regular polygon.
    """
    along = across = 0.0
    if nozzle <= 0.0:
        return along, across
    speed = jet_speed_of(rig.water, nozzle + rig.water.ambient)
    for row, jets in enumerate(rig.branches[number - 1].rows):
        blind = 0 if plugged is None else min(plugged.get(row, 0), jets.count)
        flow = jet_flow(rig.water, row_area(rig.branches[number - 1], number, row, condition), nozzle)[0]
        back, aside = recoil(flow, speed, 1, jets.angle, jets.skew)
        along += (jets.count - blind) * back
        across += aside * _unbalanced(jets.count, blind)
    return along, across


def length_of(along: float, across: float) -> float:
    """Length of a push: what a person or a holder has to bear. [N]

    Parameters
    ----------
    along : float
        Part along the tool's axis, positive when it pushes the tool back. [N]
    across : float
        Part across it. [N]

    Examples
    --------
    >>> length_of(-30.0, 40.0)
    50.0

    References
    ----------
    Geometry.
    """
    return math.hypot(along, across)


def _unbalanced(count: int, blind: int) -> float:
    """Across part of a row as a multiple of one jet's: n unit vectors evenly round, k neighbours of them missing."""
    if count == 1:
        return 1.0 - blind
    if blind in (0, count):
        return 0.0
    return math.sin(math.pi * blind / count) / math.sin(math.pi / count)
