"""On the way up: an open hose end that is flushed, the low-pressure hold, and what the proving point proves."""

from dataclasses import replace

from jetwright.limits.limit import Limit, ruled
from jetwright.limits.rules import Bound


def flush_recoil(push: float | None, bound: Bound | None, about: str) -> Limit:
    """Limit "recoil.flush": push of an open hose end at start speed with the bypass shut. [-]

    Parameters
    ----------
    push : float | None
        Of the worst end; None: it lies above all that is served. [N]
    bound : Bound | None
        The most an end may push that is tied down and watched. [-]
    about : str
        Key of the tool whose end it is. [-]

    Examples
    --------
    >>> bound = Bound(150.0, "force", "most", "common practice", "common practice", False)
    >>> [flush_recoil(push, bound, "tools.gun").verdict for push in (9.6, 151.0)]
    ['within', 'look']

    References
    ----------
    Momentum of a free jet, against the rule set's bound.
    """
    return ruled("recoil.flush", push, bound, about=about, remedy="recoil.flush")


def flush_gauge(
    pump_pressure: float | None,
    bound: Bound | None,
    area: float | None,
    kind: str = "hand-set",
    stem_turns: float | None = None,
) -> Limit:
    """Limit "gauge.flush": gauge at start speed while an open hose end is flushed with the bypass shut. [-]

    Parameters
    ----------
    pump_pressure : float | None
        Of the worst end; None: it lies above all that is served. [Pa]
    bound : Bound | None
        The most it may show. [-]
    area : float | None
        Hole of the bypass at which it shows that; None where a hand cannot set one. [m²]
    kind : str
        Of the bypass. [-]
    stem_turns : float | None
        That open it so far; None: nobody gave them, and the gauge alone tells. [-]

    Examples
    --------
    >>> bound = Bound(40e5, "pressure", "most", "common practice", "common practice", False)
    >>> flush_gauge(99e5, bound, 2.6e-6).verdict
    'look'

    References
    ----------
    Common practice: a flush at pressure puts it on a hose that nobody has looked at yet.
    """
    remedy = "gauge.flush"
    if area is None and kind == "regulating":
        remedy = "gauge.flush/valve"
    elif area is None and kind == "unloader":
        remedy = "gauge.flush/unloader"
    elif area is not None and stem_turns is None:
        remedy = "gauge.flush/by_gauge"
    facts = {"opening": area, "stem_turns": stem_turns}
    return ruled("gauge.flush", pump_pressure, bound, remedy=remedy, facts=facts)


def gauge_hold(pump_pressure: float | None, pressure: float, bound: Bound | None) -> Limit:
    """Limit "gauge.hold": gauge at the low-pressure hold, as a share of the target's. [-]

    Parameters
    ----------
    pump_pressure : float | None
        As low as this rig can be held with water running; None: it lies above all that is served. [Pa]
    pressure : float
        Gauge of the target's setting. [Pa]
    bound : Bound | None
        The most at which anyone looks for leaks from near by. [-]

    Examples
    --------
    >>> bound = Bound(0.20, "ratio", "most", "common practice", "common practice", False)
    >>> [gauge_hold(pressure, 906e5, bound).verdict for pressure in (136e5, 748e5)]
    ['within', 'look']

    References
    ----------
    Common practice: leaks are looked for at 10 to 20 % of the target.
    """
    if pressure <= 0.0:
        return ruled("gauge.hold", None, bound, missing="task.target")
    share = None if pump_pressure is None else pump_pressure / pressure
    return ruled("gauge.hold", share, bound, remedy="gauge.hold", facts={"pressure": pump_pressure})


def gauge_proving(
    pump_pressure: float,
    band: tuple[float, float] | None,
    bound: Bound | None,
    again: tuple[float, float] | None = None,
    coarse: bool = False,
    missing: str = "",
    unturned: bool = False,
) -> Limit:
    """Limit "gauge.proving": half of the proving point's band, as a share of what the gauge shows there. [-]

    Where the point is an opening that no hand can find the gauge is set there, and no band is narrow enough to prove
    anything; one that is too wide proves nothing either way.

    Parameters
    ----------
    pump_pressure : float
        Gauge at the proving point. [Pa]
    band : tuple of float or None
        What it may show there. [Pa]
    bound : Bound | None
        The most that still tells a plugged or a worn tip. [-]
    again : tuple of float or None
        What it may show at the first speed at which a comparison tells something; None: there is none. [Pa]
    coarse : bool
        The gauge alone makes the band too wide; else what is not known of the tips and the hose does. [-]
    missing : str
        Key of what is not known of the gauge. [-]
    unturned : bool
        The point is an opening of a stem whose turns nobody gave. [-]

    Examples
    --------
    >>> bound = Bound(0.25, "ratio", "most", "common practice", "common practice", False)
    >>> gauge_proving(653e5, (600e5, 710e5), bound, unturned=True).missing
    'unit.bypass.turns'
    >>> for gauge, band in ((653e5, (600e5, 710e5)), (48e5, (22e5, 74e5))):
    ...     limit = gauge_proving(gauge, band, bound, coarse=True)
    ...     print(f"{limit.value:.2f} {limit.verdict} {limit.remedy}")
    0.08 within
    0.54 look gauge.proving/finer

    References
    ----------
    Common practice: a band of half of the reading passes nearly any rig.
    """
    if missing or band is None:
        return ruled("gauge.proving", None, bound, missing=missing or "unit.gauge")
    value = 0.5 * (band[1] - band[0]) / pump_pressure if pump_pressure > 0.0 else None
    if unturned and bound is not None and value is not None and value <= bound.value:
        nothing = ruled("gauge.proving", None, bound, missing="unit.bypass.turns")
        return replace(nothing, remedy="gauge.proving/turns")
    facts: dict[str, object] = {"gauge": pump_pressure, "low": band[0], "high": band[1]}
    if again is not None:
        facts |= {"low": again[0], "high": again[1]}
        return ruled("gauge.proving", value, bound, remedy="gauge.proving", facts=facts)
    if coarse or value is None:
        return ruled("gauge.proving", value, bound, remedy="gauge.proving/finer", facts=facts)
    return ruled("gauge.proving", value, bound, remedy="gauge.proving/spread", facts=facts)
