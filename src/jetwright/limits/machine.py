"""What the machine can be set to: the bypass's range, the pump's speed and rods, the engine's power."""

from jetwright.limits.limit import Limit, Verdict, judge, ruled
from jetwright.limits.rules import Bound


def bypass_range(kind: str, asked: float, bound: float) -> Limit:
    """Limit "bypass.range": what is asked of the bypass against what it can do. [-]

    Parameters
    ----------
    kind : str
        "hand-set" (hole asked, fully open hole), "regulating" (spill asked over full flow, 1), "unloader" (pump speed
        asked, start speed: it cannot spill part of the flow) or "unloader set" (pump pressure, set). [-]
    asked : float
        As above. [m², -, rev/s or Pa]
    bound : float
        As above. [m², -, rev/s or Pa]

    Examples
    --------
    >>> bypass_range("hand-set", 3e-5, 2e-5).verdict
    'not_allowed'

    References
    ----------
    Physics: what the opening can pass.
    """
    if kind == "unloader set":
        return opens("bypass.range", asked, bound, remedy="bypass.range/unloader_set")
    quantity = {"hand-set": "area", "regulating": "ratio", "unloader": "speed"}[kind]
    remedy = "bypass.range" if kind == "hand-set" else f"bypass.range/{kind}"
    return judge("bypass.range", asked, bound, quantity, "physics", least=kind == "unloader", remedy=remedy)


def opens(identity: str, pump_pressure: float, bound: float, *, remedy: str = "") -> Limit:
    """A pressure at or above the one at which a valve opens by itself: never within limits. [-]

    Parameters
    ----------
    identity : str
        The limit's id. [-]
    pump_pressure : float
        Gauge. [Pa]
    bound : float
        At which the valve opens. [SI]
    remedy : str
        Code of what to do about it; the id when not given. [-]

    Examples
    --------
    >>> opens("relief.set", 1150e5, 1150e5).verdict
    'not_allowed'

    References
    ----------
    Physics: at that pressure the valve leaves its seat.
    """
    refused = pump_pressure >= bound
    verdict: Verdict = "not_allowed" if refused else "within"
    margin = (bound - pump_pressure) / bound
    said = (remedy or identity) if refused else ""
    return Limit(identity, verdict, pump_pressure, bound, "pressure", margin, "physics", verified=True, remedy=said)


def pump_speed(asked: float | None, top: float) -> Limit:
    """Limit "pump.speed": the speed asked against the plate's top speed. [-]

    Parameters
    ----------
    asked : float | None
        None: no speed reaches the target. [rev/s]
    top : float
        Of the plate. [rev/s]

    Examples
    --------
    >>> pump_speed(11.0, 8.0).verdict
    'not_allowed'

    References
    ----------
    The unit's plate.
    """
    return judge("pump.speed", asked, top, "speed", "plate", remedy="pump.speed")


def pump_rod_load(pump_pressure: float, plunger: float | None, bound: float | None) -> Limit:
    """Limit "pump.rod_load": what the planned pump pressure puts on a plunger rod. [-]

    Parameters
    ----------
    pump_pressure : float
        As planned, gauge. [Pa]
    plunger : float | None
        Cross-section of one plunger; None: the pump's size is not described. [m²]
    bound : float | None
        As the plate gives it, or the rating on that cross-section. [SI]

    Examples
    --------
    >>> limit = pump_rod_load(933e5, 8.042e-4, 90e3)
    >>> f"{limit.value / 1e3:.1f} kN, {limit.verdict}"
    '75.0 kN, within'

    References
    ----------
    The pump's plate.
    """
    if plunger is None or bound is None:
        return judge("pump.rod_load", None, bound, "force", "plate", missing="unit.pump.plunger_diameter")
    return judge("pump.rod_load", pump_pressure * plunger, bound, "force", "plate", remedy="pump.rod_load")


def pump_rod_load_relief(
    opening: float | None, plunger: float | None, bound: float | None, over: Bound | None
) -> Limit:
    """Limit "pump.rod_load_relief": what a plunger rod bears by the time the relief has begun to open. [-]

    Parameters
    ----------
    opening : float | None
        By which a relief device has begun to open for certain; None: none is described. [Pa]
    plunger : float | None
        Cross-section of one plunger; None: the pump's size is not described. [m²]
    bound : float | None
        As the plate gives it, or the rating on that cross-section. [SI]
    over : Bound | None
        Share by which it may be passed while the relief opens; None: not at all. [-]

    Examples
    --------
    >>> limit = pump_rod_load_relief(1500e5, 8.042e-4, 88.5e3, None)
    >>> f"{limit.value / 1e3:.1f} kN, {limit.verdict}"
    '120.6 kN, not_allowed'

    References
    ----------
    The pump's plate; the share is that of EN 1829-1:2010 5.2.2.
    """
    source, verified = ("plate", True) if over is None else (over.source, over.verified)
    missing = "unit.relief" if opening is None else "unit.pump.plunger_diameter" if plunger is None else ""
    if opening is None or plunger is None or bound is None:
        return judge("pump.rod_load_relief", None, None, "force", source, verified=verified, missing=missing)
    share = 0.0 if over is None else over.value
    return judge(
        "pump.rod_load_relief",
        opening * plunger,
        bound * (1.0 + share),
        "force",
        source,
        verified=verified,
        remedy="pump.rod_load_relief",
        facts={"rated": bound, "over": share, "opening": opening},
    )


def bypass_spill(
    spilt: float, flow: float, pump_pressure: float, bound: Bound | None, *, braced: bool = False
) -> Limit:
    """Limit "bypass.spill": share of the pump's flow that goes over the bypass all the time. [-]

    Parameters
    ----------
    spilt : float
        Over the bypass. [m³/s]
    flow : float
        Of the pump, before the bypass. [m³/s]
    pump_pressure : float
        As planned, gauge. [Pa]
    bound : Bound | None
        The most that is not wasteful of seat and fuel. [-]
    braced : bool
        A hand that has no room left for the push of a larger tip. [-]

    Examples
    --------
    >>> fifth = Bound(0.20, "ratio", "most", "common practice", "common practice", False)
    >>> bypass_spill(11.87e-3 / 60.0, 29.71e-3 / 60.0, 933.1e5, fifth).verdict
    'look'

    References
    ----------
    Common practice; all the power that goes over a bypass ends as heat.
    """
    remedy = "bypass.spill/hand" if braced else "bypass.spill"
    return ruled("bypass.spill", spilt / flow, bound, remedy=remedy, facts={"heat": pump_pressure * spilt})


def engine_power(load: float | None, reserve: Bound | None = None, *, described: bool) -> Limit:
    """Limit "engine.power": power asked over the derated full-load power at the engine's speed. [-]

    Above 1 it is not allowed; above the rule set's reserve little is left for a load step.

    Parameters
    ----------
    load : float | None
        None: no engine speed serves. [-]
    reserve : Bound | None
        Load above which little is left; None: only what the engine cannot give is refused. [-]
    described : bool
        Whether the job describes an engine; without one the limit is not judged. [-]

    Examples
    --------
    >>> share = Bound(0.85, "ratio", "most", "common practice", "common practice", False)
    >>> [engine_power(load, share, described=True).verdict for load in (0.5, 0.9, 1.1)]
    ['within', 'look', 'not_allowed']

    References
    ----------
    The engine's full-load curve, derated as in `parts.engine`; the reserve is common practice.
    """
    if not described:
        return judge("engine.power", None, None, "ratio", "plate", missing="unit.engine")
    plate = judge("engine.power", load, 1.0, "ratio", "plate", remedy="engine.power")
    if reserve is None or plate.verdict == "not_allowed":
        return plate
    habit = ruled("engine.power", load, reserve, remedy="engine.power/reserve")
    return plate if habit.verdict == "within" else habit
