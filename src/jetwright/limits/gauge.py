"""The pressure gauge: the planned pressure lies where it can be read, and so does what the relief lets come."""

from dataclasses import replace

from jetwright.limits.limit import Limit, judge, ruled
from jetwright.limits.rules import Bound


def gauge_scale(pump_pressure: float, full_scale: float | None, share: Bound | None) -> Limit:
    """Limit "gauge.scale": planned pump pressure as a share of the gauge's full scale. [-]

    Parameters
    ----------
    pump_pressure : float
        As planned, gauge. [Pa]
    full_scale : float | None
        Of the pressure gauge; None: none is described. [Pa]
    share : Bound | None
        The most that spares the gauge; beyond its full scale it shows nothing. [-]

    Examples
    --------
    >>> share = Bound(0.65, "ratio", "most", "EN 837-2 (memory)", "memory", False)
    >>> [gauge_scale(pressure, 1600e5, share).verdict for pressure in (933e5, 1100e5, 1700e5)]
    ['within', 'look', 'not_allowed']
    >>> none = gauge_scale(933e5, None, share)
    >>> none.verdict, none.remedy
    ('not_judged', 'gauge.scale/none')

    References
    ----------
    The gauge's plate.
    """
    if full_scale is None:
        none = judge("gauge.scale", None, None, "ratio", "plate", missing="unit.gauge")
        return replace(none, remedy="gauge.scale/none")
    part, facts = pump_pressure / full_scale, {"pressure": pump_pressure, "full_scale": full_scale}
    plate = judge("gauge.scale", part, 1.0, "ratio", "plate", remedy="gauge.scale", facts=facts)
    if share is None or plate.verdict == "not_allowed":
        return plate
    return ruled("gauge.scale", part, share, remedy="gauge.scale", facts=facts)


def gauge_error(pump_pressure: float, full_scale: float | None, accuracy: float | None, bound: Bound | None) -> Limit:
    """Limit "gauge.error": what the gauge may be wrong by, as a share of the planned pump pressure. [-]

    Parameters
    ----------
    pump_pressure : float
        As planned, gauge. [Pa]
    full_scale : float | None
        Of the pressure gauge; None: none is described. [Pa]
    accuracy : float | None
        Its class: error in hundredths of full scale. [-]
    bound : Bound | None
        The most that still tells. [-]

    Examples
    --------
    >>> tenth = Bound(0.10, "ratio", "most", "common practice", "common practice", False)
    >>> f"{gauge_error(100e5, 4000e5, 1.6, tenth).value:.2f}"
    '0.64'

    References
    ----------
    Definition of a gauge's accuracy class: error as a share of full scale.
    """
    if full_scale is None:
        return ruled("gauge.error", None, bound, missing="unit.gauge")
    if accuracy is None:
        return ruled("gauge.error", None, bound, missing="unit.gauge.class")
    error = accuracy / 100.0 * full_scale
    facts = {"error": error, "pressure": pump_pressure, "full_scale": full_scale}
    return ruled("gauge.error", error / pump_pressure, bound, remedy="gauge.error", facts=facts)


def gauge_relief(pressure: float | None, full_scale: float | None) -> Limit:
    """Limit "gauge.relief": the pressure with the relief fully open lies on the gauge's scale. [-]

    Parameters
    ----------
    pressure : float | None
        At which the relief passes all that the pump gives, gauge; None: none is described. [Pa]
    full_scale : float | None
        Of the pressure gauge; None: none is described. [Pa]

    Examples
    --------
    >>> gauge_relief(1265e5, 1000e5).verdict
    'look'

    References
    ----------
    Common practice: a needle against its stop tells nothing.
    """
    missing = "unit.gauge" if full_scale is None else "unit.relief" if pressure is None else ""
    return judge(
        "gauge.relief",
        pressure,
        full_scale,
        "pressure",
        "common practice",
        verified=False,
        over="look",
        missing=missing,
        remedy="gauge.relief",
    )
