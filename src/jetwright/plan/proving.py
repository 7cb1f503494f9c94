"""The proving point: start speed, bypass shut or at a solved opening, and where the gauge must then stand."""

from dataclasses import replace

from jetwright.errors import NotServedError
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.answer import ProvingPoint
from jetwright.plan.setting import relief_set
from jetwright.rig.check import CheckedRig
from jetwright.solve.steady import Levers, reach, solve

SHARE = 0.70
"""Of the relief's set point: the most the gauge shows at the proving point (common practice)."""

LEAST = 1e5
"""Least gauge pressure a crew can tell from none. [Pa]"""


def proving_point(rig: CheckedRig, pump_pressure: float) -> ProvingPoint:
    """Where a crew proves the rig before it goes up to a target. [-]

    Bypass shut at start speed when the gauge then stays at or below the target's and 70 % of the relief's set point;
    otherwise the part opening at which it shows 70 % of the set point or of the target, whichever is lower.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    pump_pressure : float
        Gauge pressure of the target's setting; infinite when there is none. [Pa]

    Raises
    ------
    NotServedError
        When no opening brings the gauge into what is served.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{proving_point(check(JOB), 893e5).gauge / 1e5:.0f} bar"
    '501 bar'

    References
    ----------
    Run-up of a hand-set bypass on a variable speed, common practice; see docs/proving-point.md.
    """
    ceiling = SHARE * relief_set(rig)
    try:
        shut = solve(rig, Levers(rig.start_speed)).pump_pressure
    except NotServedError:
        shut = float("inf")
    if shut <= min(ceiling, pump_pressure):
        return ProvingPoint(rig.start_speed, 0.0, shut)
    gauge = max(min(ceiling, SHARE * pump_pressure), LEAST)
    state = reach(rig, "pump_pressure", gauge)
    surplus = rig.start_speed * delivered_per_turn(rig.water, rig.pump, gauge) - state.mass_flow
    area = max(0.0, surplus / jet_flow(rig.water, HOLE_DISCHARGE, gauge)[0])
    full_open = rig.job.unit.bypass.full_open_area
    if full_open is not None and area > full_open:
        return ProvingPoint(rig.start_speed, full_open, solve(rig, Levers(rig.start_speed, full_open)).pump_pressure)
    return ProvingPoint(rig.start_speed, area, gauge)


def banded(point: ProvingPoint, band: tuple[float, float], pump_pressure: float) -> ProvingPoint:
    """A proving point with the band that its gauge must stand in, no higher than the target's gauge. [-]

    A tip whose inlet nobody knows may carry the band past the target: above it nobody has agreed to be, whatever the
    reason.

    Parameters
    ----------
    point : ProvingPoint
        Solved. [-]
    band : tuple of float
        What the rig as described may show there. [Pa]
    pump_pressure : float
        Gauge pressure of the target's setting. [Pa]

    Examples
    --------
    >>> tuple(end / 1e5 for end in banded(ProvingPoint(2.0, 1e-6, 653e5), (550e5, 980e5), 933e5).band)
    (550.0, 933.0)

    References
    ----------
    Our own convention: docs/proving-point.md.
    """
    low, high = band
    return replace(point, band=(low, max(point.gauge, min(high, pump_pressure))))
