"""What the water supply gives, what the pump finds at its inlet, and how warm the water gets that goes round."""

from dataclasses import replace

from jetwright.limits.limit import NOTHING, Facts, Limit, Verdict, judge, ruled
from jetwright.limits.rules import Bound

PULSES = "Hydraulic Institute, from memory"
"""Who says what the plungers' pulses cost."""


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


def supply_npsh(
    available: float, steady: float, head_needed: float | None, rule: Bound | None, facts: Facts = NOTHING
) -> Limit:
    """Limit "supply.npsh": the pump finds the suction head that its plate asks for, and the rule set's margin. [-]

    Not allowed where it falls short even with nothing taken off for the plungers' pulses; where only the pulses make it
    fall short, and within the margin, look first: they are estimated from memory. A plate that asks for nothing is not
    judged, unless the water would boil on its way in.

    Parameters
    ----------
    available : float
        Head above boiling at the pump's inlet, what the plungers' pulses cost taken off. [m]
    steady : float
        The same without the pulses. [m]
    head_needed : float | None
        Asked for by the plate; None: not given. [m]
    rule : Bound | None
        The rule set's "supply.npsh_margin". [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> rule = Bound(1.0, "length", "least", "common practice", "common practice", False)
    >>> [supply_npsh(head - 2.0, head, 4.0, rule).verdict for head in (8.0, 6.5, 5.5, 3.5)]
    ['within', 'look', 'look', 'not_allowed']
    >>> [supply_npsh(head - 2.0, head, None, rule).verdict for head in (6.0, 1.0, -0.5)]
    ['not_judged', 'look', 'not_allowed']

    References
    ----------
    The pump's plate; physics: water boils where nothing is left; what the pulses cost is of the Hydraulic Institute,
    from memory; the margin is common practice.
    """
    asked = 0.0 if head_needed is None else head_needed
    plate = judge(
        "supply.npsh",
        steady,
        asked,
        "length",
        "physics" if head_needed is None else "plate",
        least=True,
        remedy="supply.npsh/boils" if head_needed is None else "supply.npsh",
        facts=facts,
    )
    if plate.verdict == "not_allowed":
        return plate
    pulsed = judge(
        "supply.npsh",
        available,
        asked,
        "length",
        PULSES,
        verified=False,
        over="look",
        least=True,
        remedy="supply.npsh/pulses_boil" if available < 0.0 else "supply.npsh/pulses",
        facts=facts,
    )
    if pulsed.verdict == "look":
        return pulsed
    if head_needed is None:
        return judge("supply.npsh", available, 0.0, "length", "physics", least=True, missing="unit.suction.needed")
    if rule is None:
        return replace(plate, value=available, margin=pulsed.margin)
    with_margin = replace(rule, value=head_needed + rule.value)
    return ruled(
        "supply.npsh",
        available,
        with_margin,
        over="look",
        warns=steady >= with_margin.value,
        remedy="supply.npsh/margin",
        facts=facts,
    )


def supply_vortex(cover: float | None, cover_needed: float, facts: Facts = NOTHING) -> Limit:
    """Limit "supply.vortex": enough water stands over the tank's outlet that no vortex draws air into the pump. [-]

    Parameters
    ----------
    cover : float | None
        Water above the outlet, at its lowest; None: not given. [m]
    cover_needed : float
        Of `parts.suction.vortex_cover`. [m]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> [supply_vortex(cover, 0.134).verdict for cover in (0.20, 0.10, None)]
    ['within', 'look', 'not_judged']

    References
    ----------
    ANSI/HI 9.8, as quoted: a formula of pump sumps; look first, never a refusal.
    """
    missing = "unit.suction.cover" if cover is None else ""
    return judge(
        "supply.vortex",
        cover,
        cover_needed,
        "length",
        "ANSI/HI 9.8",
        verified=False,
        over="look",
        least=True,
        missing=missing,
        remedy="supply.vortex",
        facts=facts,
    )


def supply_hydrant(gives: float, draw: float, facts: Facts = NOTHING) -> Limit:
    """Limit "supply.hydrant": a tested hydrant gives, at the supply's pressure, what leaves the unit. [-]

    Parameters
    ----------
    gives : float
        What its test says it gives at that pressure. [m³/s]
    draw : float
        What leaves the unit. [m³/s]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> [supply_hydrant(gives, 2e-3).verdict for gives in (2.5e-3, 1.5e-3)]
    ['within', 'look']

    References
    ----------
    NFPA 291, as quoted: look first, never a refusal.
    """
    return judge(
        "supply.hydrant",
        gives,
        draw,
        "flow",
        "NFPA 291",
        verified=False,
        over="look",
        least=True,
        remedy="supply.hydrant",
        facts=facts,
    )


def heat_tank(warm: float, written: float, hottest: float | None, rule: Bound | None, facts: Facts = NOTHING) -> Limit:
    """Limit "heat.tank": the water at the pump's inlet stays below what plate and rule set bear. [-]

    The lower of the two is named; only the plate refuses, and not where only a hydrant's test makes it too warm.

    Parameters
    ----------
    warm : float
        Water at the pump's inlet, once it gets no warmer. [K]
    written : float
        The same where the supply gives what is written for it; less warm where its hydrant's test says less. [K]
    hottest : float | None
        Of the plate; None: none is described. [K]
    rule : Bound | None
        The rule set's "heat.water". [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> [heat_tank(warm, 306.0, 323.15, None).verdict for warm in (306.0, 324.0)]
    ['within', 'look']
    >>> heat_tank(324.0, 324.0, 323.15, None).verdict
    'not_allowed'

    References
    ----------
    The unit's plate, else common practice: packings are ruined by hot water.
    """
    if hottest is not None and (rule is None or hottest <= rule.value or warm > hottest):
        over: Verdict = "not_allowed" if written > hottest else "look"
        return judge("heat.tank", warm, hottest, "temperature", "plate", over=over, remedy="heat.tank", facts=facts)
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
