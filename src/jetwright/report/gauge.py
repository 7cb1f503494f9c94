"""What a gauge can show: no figure that a crew is asked to see is finer than half of what its scale is divided into."""

import math

from jetwright import units
from jetwright.plan.answer import Tolerance
from jetwright.report.figures import printed
from jetwright.report.wording import _
from jetwright.rig.description import Gauge

PARTS = (5.0, 2.0, 1.0)
"""First digits of the steps that people count in."""
ALIKE = 1e-6
"""A band narrower than this share of its middle is none."""
READ = 0.5
"""Share of a division that an eye tells apart."""
DIVIDED = 50.0
"""Divisions of a scale that nobody described (our own convention)."""
COARSE = {"si": 10.0, "us": 100.0}
"""The step where no gauge is described. [bar, psi]"""


def gauge_step(gauge: Gauge | None, system: str = "si") -> float:
    """The step in which a gauge is read: the largest 1, 2 or 5 in half a division; coarse without one. [the unit]

    Parameters
    ----------
    gauge : Gauge or None
        As described. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> gauge_step(Gauge(1600e5, 1.6, 20e5)), gauge_step(Gauge(1600e5, 1.6, 20e5), "us"), gauge_step(None)
    (10.0, 100.0, 10.0)

    References
    ----------
    Our own convention.
    """
    if gauge is None:
        return COARSE[system]
    division = gauge.full_scale / DIVIDED if gauge.division is None else gauge.division
    half = READ * units.to(division, units.shown("bar", system))
    decade = 10.0 ** math.floor(math.log10(half) + 1e-9)
    return float(next(part * decade for part in PARTS if part * decade <= half * (1.0 + 1e-9)))


def gauge_number(value: float, gauge: Gauge | None, system: str = "si") -> str:
    """A pressure as its gauge can show it, without the unit. [the unit]

    Parameters
    ----------
    value : float
        Gauge pressure. [Pa]
    gauge : Gauge or None
        The gauge it is read on. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> gauge_number(933.1e5, Gauge(1600e5, 1.6, 10e5)), gauge_number(933.1e5, None)
    ('935', '930')

    References
    ----------
    Our own convention.
    """
    step = gauge_step(gauge, system)
    return _stepped(round(units.to(value, units.shown("bar", system)) / step), step)


def gauge_figure(value: float, gauge: Gauge | None, system: str = "si") -> str:
    """A pressure as its gauge can show it; below the first step it says so. [-]

    Parameters
    ----------
    value : float
        Gauge pressure. [Pa]
    gauge : Gauge or None
        The gauge it is read on. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> gauge_figure(933.1e5, Gauge(1600e5, 1.6, 20e5)), gauge_figure(4e5, Gauge(1600e5, 1.6, 20e5))
    ('930 bar', 'under 10 bar')

    References
    ----------
    Our own convention.
    """
    unit = printed("bar", system)
    step = gauge_step(gauge, system)
    if 0.0 < units.to(value, units.shown("bar", system)) < step:
        return _("under {pressure}").format(pressure=f"{_stepped(1, step)} {unit}")
    return f"{gauge_number(value, gauge, system)} {unit}"


def gauge_band(low: float, high: float, gauge: Gauge | None, system: str = "si") -> str:
    """Two pressures as a gauge can show them, rounded outward; one figure where they are the same. [-]

    Parameters
    ----------
    low : float
        Gauge pressure. [Pa]
    high : float
        Gauge pressure. [Pa]
    gauge : Gauge or None
        The gauge they are read on. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> gauge_band(622e5, 698e5, Gauge(1600e5, 1.6, 20e5)), gauge_band(76e5, 76e5, None)
    ('620 to 700 bar', '80 bar')

    References
    ----------
    Our own convention.
    """
    if high - low <= 1e-6 * abs(high):
        return gauge_figure(low, gauge, system)
    unit, step = printed("bar", system), gauge_step(gauge, system)
    first, last = (units.to(value, units.shown("bar", system)) / step for value in (low, high))
    down, up = max(0, math.floor(first + 1e-6)), math.ceil(last - 1e-6)
    if down == 0:
        return _("under {pressure}").format(pressure=f"{_stepped(max(1, up), step)} {unit}")
    return _("{low} to {high} {unit}").format(low=_stepped(down, step), high=_stepped(up, step), unit=unit)


def gauge_ends(value: float, tolerance: Tolerance) -> tuple[float, float] | None:
    """Between which readings the gauge stands when a crew has put it on a pressure. [Pa]

    What is put on the machine is the gauge, as well as it can be read; without its class it is as near as the plan
    knows. None: a target at the gauge itself, and nothing is said about the gauge.

    Parameters
    ----------
    value : float
        Gauge pressure put on. [Pa]
    tolerance : Tolerance
        Of the plan. [-]

    Examples
    --------
    >>> gauge_ends(9e7, Tolerance((8.8e7, 9.2e7), None, (0.0, 0.0), (), (), 2.56e6))
    (87440000.0, 92560000.0)

    References
    ----------
    Our own convention.
    """
    error = tolerance.gauge_error
    low, high = tolerance.pump_pressure if error is None else (value - error, value + error)
    return None if high - low <= ALIKE * value else (low, high)


def gauge_tolerance(value: float, low: float, high: float, gauge: Gauge | None, system: str = "si") -> str:
    """How far a gauge may stand from a figure, both ways alike: the wider side, rounded up. [-]

    Parameters
    ----------
    value : float
        The figure. [Pa]
    low : float
        Lowest. [Pa]
    high : float
        Highest. [Pa]
    gauge : Gauge or None
        The gauge it is read on. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> gauge_tolerance(933e5, 908e5, 957e5, Gauge(1600e5, 1.6, 20e5))
    '± 30 bar'

    References
    ----------
    Our own convention.
    """
    unit = printed("bar", system)
    apart = units.to(max(value - low, high - value, 0.0), units.shown("bar", system))
    step = gauge_step(gauge, system)
    return f"± {_stepped(max(1, math.ceil(apart / step - 1e-6)), step)} {unit}"


def gauge_down(value: float, gauge: Gauge | None, system: str = "si", *, up: bool = False) -> str:
    """A pressure as its gauge can show it, never above it; with `up` never below. [-]

    Parameters
    ----------
    value : float
        Gauge pressure. [Pa]
    gauge : Gauge or None
        The gauge it is read on. [-]
    system : str
        "si" or "us". [-]
    up : bool
        The step above and not the one below. [-]

    Examples
    --------
    >>> gauge_down(1035.4e5, Gauge(1600e5, 1.6, 20e5)), gauge_down(4e4, Gauge(1600e5, 1.6, 20e5), up=True)
    ('1030 bar', '10 bar')

    References
    ----------
    Our own convention: a most is rounded down, a least up.
    """
    step = gauge_step(gauge, system)
    steps = units.to(value, units.shown("bar", system)) / step
    whole = math.ceil(steps - ALIKE) if up else math.floor(steps + ALIKE)
    return f"{_stepped(whole, step)} {printed('bar', system)}"


def _stepped(steps: int, step: float) -> str:
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    return f"{steps * step:.{places}f}"
