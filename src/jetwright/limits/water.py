"""What the water supply gives, and how warm the water gets that goes round over the bypass."""

from jetwright.limits.limit import NOTHING, Facts, Limit, judge, ruled
from jetwright.limits.rules import Bound


def supply_water(
    draw: float, supply: float, lasts: float | None, planned_time: float | None, facts: Facts = NOTHING
) -> Limit:
    """Limit "supply.water": the supply gives what leaves the unit, or the tank lasts for the planned time. [-]

    Never a refusal: running short is said in minutes. Short without a planned time is look first.

    Parameters
    ----------
    draw : float
        What leaves the unit. [m³/s]
    supply : float
        What the supply gives. [m³/s]
    lasts : float | None
        Time until the tank is drawn down where the supply is short; None: no tank is described, look first. [s]
    planned_time : float | None
        Of the task, trigger held. [s]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> supply_water(1.8e-3, 1.4e-3, 1218.0, None).verdict
    'look'
    >>> supply_water(1.8e-3, 1.4e-3, 1218.0, 900.0).verdict
    'within'

    References
    ----------
    Physics: what leaves the unit and does not come in is taken from the tank.
    """
    covered = judge("supply.water", draw, supply, "flow", "physics", facts=facts)
    if covered.verdict == "within":
        return covered
    if lasts is None:
        return judge(
            "supply.water", draw, supply, "flow", "physics", over="look", remedy="supply.water/tank", facts=facts
        )
    if planned_time is None:
        return Limit(
            "supply.water",
            "look",
            lasts,
            None,
            "time",
            None,
            "physics",
            verified=True,
            least=True,
            remedy="supply.water",
            facts=facts,
        )
    return judge(
        "supply.water",
        lasts,
        planned_time,
        "time",
        "physics",
        over="look",
        least=True,
        remedy="supply.water",
        facts=facts,
    )


def heat_tank(warm: float, hottest: float | None, rule: Bound | None, facts: Facts = NOTHING) -> Limit:
    """Limit "heat.tank": the water at the pump's inlet stays below what plate and rule set bear. [-]

    The lower of the two is named; only the plate refuses.

    Parameters
    ----------
    warm : float
        Water at the pump's inlet, once it gets no warmer. [K]
    hottest : float | None
        Of the plate; None: none is described. [K]
    rule : Bound | None
        The rule set's "heat.water". [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> [heat_tank(warm, 323.15, None).verdict for warm in (306.0, 324.0)]
    ['within', 'not_allowed']

    References
    ----------
    The unit's plate, else common practice: packings are ruined by hot water.
    """
    if hottest is not None and (rule is None or hottest <= rule.value or warm > hottest):
        return judge("heat.tank", warm, hottest, "temperature", "plate", remedy="heat.tank", facts=facts)
    return ruled("heat.tank", warm, rule, over="look", remedy="heat.tank", facts=facts)


def heat_no_flow(lasts: float | None, rule: Bound | None, missing: str = "", facts: Facts = NOTHING) -> Limit:
    """Limit "heat.no_flow": every trigger let go, there is time before the water that goes round is too hot. [-]

    Parameters
    ----------
    lasts : float | None
        Until it is as hot as it may be. [s]
    rule : Bound | None
        The rule set's "heat.no_flow". [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> rule = Bound(120.0, "time", "least", "common practice", "common practice", False)
    >>> [heat_no_flow(lasts, rule).verdict for lasts in (1222.0, 10.0)]
    ['within', 'look']

    References
    ----------
    Common practice: a minute or two without flow.
    """
    return ruled("heat.no_flow", lasts, rule, over="look", missing=missing, remedy="heat.no_flow", facts=facts)
