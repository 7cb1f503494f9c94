"""The relief device against what is planned: it stays shut, stands clear, shuts again and takes the whole flow."""

from dataclasses import replace

from jetwright.limits.limit import NOTHING, WORST_LAST, Facts, Limit, Verdict, judge, ruled
from jetwright.limits.machine import opens
from jetwright.limits.rules import Bound


def relief_opens(pump_pressure: float, opening: float | None) -> Limit:
    """Limit "relief.set": a planned pump pressure stays below the relief's set point. [-]

    Parameters
    ----------
    pump_pressure : float
        As planned, gauge. [Pa]
    opening : float | None
        Lowest pressure at which a relief device may open; None: none is described. [Pa]

    Examples
    --------
    >>> relief_opens(1160e5, 1150e5).verdict
    'not_allowed'

    References
    ----------
    Physics: a relief that lifts is not part of a plan.
    """
    if opening is None:
        return judge("relief.set", pump_pressure, None, "pressure", "physics", missing="unit.relief")
    return opens("relief.set", pump_pressure, opening)


def relief_clear(pump_pressure: float, opening: float, clear: Bound | None, least: Bound | None) -> Limit:
    """Limit "relief.clear": room from the planned pump pressure up to the relief's set point, as a share of that. [-]

    Parameters
    ----------
    pump_pressure : float
        As planned, gauge. [Pa]
    opening : float
        Lowest pressure at which a relief device may open. [Pa]
    clear : Bound | None
        Comfortable room. [-]
    least : Bound | None
        Below it it is too close. [-]

    Examples
    --------
    >>> tenth = Bound(0.10, "ratio", "least", "common practice", "common practice", False)
    >>> [relief_clear(pressure, 1000e5, tenth, None).verdict for pressure in (900e5, 930e5)]
    ['within', 'look']

    References
    ----------
    Common practice.
    """
    room = (opening - pump_pressure) / opening
    facts = {"pressure": pump_pressure, "opening": opening}
    comfort = ruled("relief.clear", room, clear, remedy="relief.clear", facts=facts)
    if least is None:
        return comfort
    close = ruled("relief.clear", room, least, remedy="relief.clear/close", facts=facts)
    if close.verdict == "within":
        return comfort
    return max(close, comfort, key=lambda limit: WORST_LAST.index(limit.verdict))


def relief_reseats(pump_pressure: float, bound: float, *, given: bool = True) -> Limit:
    """Limit "relief.reseat": a relief valve that has once lifted shuts again at the planned pump pressure. [-]

    Parameters
    ----------
    pump_pressure : float
        As planned, gauge. [Pa]
    bound : float
        Lowest pressure at which a relief valve shuts again. [SI]
    given : bool
        Whether a certificate gives it; what is only taken makes "look", never more. [-]

    Examples
    --------
    >>> relief_reseats(933e5, 0.9 * 1000e5).verdict
    'not_allowed'

    References
    ----------
    Physics: held above the pressure at which it shuts, a valve that has lifted stays open.
    """
    judged = opens("relief.reseat", pump_pressure, bound)
    if given:
        return judged
    verdict: Verdict = "look" if judged.verdict == "not_allowed" else judged.verdict
    return replace(judged, verdict=verdict, source="common practice", verified=False)


def relief_test_age(age: float | None, bound: Bound | None, facts: Facts = NOTHING) -> Limit:
    """Limit "relief.test_age": time since a relief device was last tested, on the day of the job. [-]

    One that lies ahead of that day is looked at first: one of the two dates is wrong.

    Parameters
    ----------
    age : float | None
        Below zero where the test lies ahead; None: nobody said when it was. [s]
    bound : Bound | None
        Of the rule set, the one for hoses. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> year = Bound(366 * 86400.0, "time", "most", "Norway", "regulation", True)
    >>> [relief_test_age(86400.0 * days, year).verdict for days in (366, 367, -1)]
    ['within', 'not_allowed', 'look']
    >>> relief_test_age(None, year).missing
    'unit.relief.tested'

    References
    ----------
    docs/rule-sets.md.
    """
    about = "unit.relief"
    if age is None:
        return ruled("relief.test_age", None, bound, about=about, missing="unit.relief.tested", facts=facts)
    if age < 0.0:
        remedy = "relief.test_age/future"
        return judge(
            "relief.test_age", age, 0.0, "time", "tag", over="look", least=True, about=about, remedy=remedy, facts=facts
        )
    return ruled("relief.test_age", age, bound, about=about, remedy="relief.test_age", facts=facts)


def relief_full_flow(given: float | None, flow: float) -> Limit:
    """Limit "relief.full_flow": the relief passes all that the pump gives at top speed. [-]

    Parameters
    ----------
    given : float | None
        Full flow as its certificate gives it. [m³/s]
    flow : float
        Of the pump at top speed, with the relief fully open. [m³/s]

    Examples
    --------
    >>> relief_full_flow(100e-3 / 60.0, 120e-3 / 60.0).verdict
    'not_allowed'

    References
    ----------
    Physics: what the relief cannot pass raises the pressure further.
    """
    missing = "unit.relief.full_flow" if given is None else ""
    return judge(
        "relief.full_flow", given, flow, "flow", "physics", least=True, missing=missing, remedy="relief.full_flow"
    )
