"""What the machine can be set to: the bypass's range, the pump's speed, the engine's power."""

from jetwright.limits.limit import Limit, Verdict

ENGINE_RESERVE = 0.85
"""Load above which little is left for a load step (common practice)."""
EDGE = 1e-9
"""A value this close to its bound, as a share, counts as on it: the bound itself is within limits."""


def judge(
    identity: str, value: float | None, bound: float, quantity: str, source: str, *, least: bool = False
) -> Limit:
    """Judge a value against the most, or the least, it may be. [-]

    Parameters
    ----------
    identity : str
        The limit's id. [-]
    value : float | None
        What the rig asks; None: more than can be had at all. [SI]
    bound : float
        What it may be. [SI]
    quantity : str
        Kind of both. [-]
    source : str
        Where the bound comes from. [-]
    least : bool
        The value must not fall below the bound. [-]

    Examples
    --------
    >>> judge("pump.speed", 8.0, 8.5, "speed", "plate").verdict
    'within'

    References
    ----------
    Our own convention: margin = room left / bound.
    """
    if value is None:
        return Limit(identity, "not_allowed", None, bound, quantity, None, source, verified=True)
    margin = (value - bound) / bound if least else (bound - value) / bound
    verdict: Verdict = "within" if margin >= -EDGE else "not_allowed"
    return Limit(identity, verdict, value, bound, quantity, margin, source, verified=True)


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
        return opens("bypass.range", asked, bound)
    quantity = {"hand-set": "area", "regulating": "ratio", "unloader": "speed"}[kind]
    return judge("bypass.range", asked, bound, quantity, "physics", least=kind == "unloader")


def opens(identity: str, pump_pressure: float, bound: float) -> Limit:
    """A pressure at or above the one at which a valve opens by itself: never within limits. [-]

    Parameters
    ----------
    identity : str
        The limit's id. [-]
    pump_pressure : float
        Gauge. [Pa]
    bound : float
        At which the valve opens. [SI]

    Examples
    --------
    >>> opens("relief.set", 1150e5, 1150e5).verdict
    'not_allowed'

    References
    ----------
    Physics: at that pressure the valve leaves its seat.
    """
    verdict: Verdict = "not_allowed" if pump_pressure >= bound else "within"
    margin = (bound - pump_pressure) / bound
    return Limit(identity, verdict, pump_pressure, bound, "pressure", margin, "physics", verified=True)


def relief_opens(pressure: float, bound: float) -> Limit:
    """Limit "relief.set": a planned pump pressure stays below the relief's set point. [-]

    Judged, until all of relief is, only where it is passed.

    Parameters
    ----------
    pressure : float
        At the pump, gauge. [Pa]
    bound : float
        Lowest pressure at which a relief device may open. [SI]

    Examples
    --------
    >>> relief_opens(1160e5, 1150e5).verdict
    'not_allowed'

    References
    ----------
    Physics: a relief that lifts is not part of a plan.
    """
    return opens("relief.set", pressure, bound)


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
    return judge("pump.speed", asked, top, "speed", "plate")


def engine_power(load: float | None, *, described: bool) -> Limit:
    """Limit "engine.power": power asked over the derated full-load power at the engine's speed. [-]

    Above 0.85 it is "look first" (common practice: little is left for a load step), above 1 not allowed.

    Parameters
    ----------
    load : float | None
        None: no engine speed serves. [-]
    described : bool
        Whether the job describes an engine; without one the limit is not judged. [-]

    Examples
    --------
    >>> [engine_power(load, described=True).verdict for load in (0.5, 0.9, 1.1)]
    ['within', 'look', 'not_allowed']

    References
    ----------
    The engine's full-load curve, derated as in `parts.engine`; the reserve is common practice.
    """
    if not described:
        return Limit(
            "engine.power", "not_judged", None, None, "ratio", None, "plate", verified=True, missing="unit.engine"
        )
    limit = judge("engine.power", load, 1.0, "ratio", "plate")
    if load is not None and ENGINE_RESERVE + EDGE < load <= 1.0 + EDGE:
        margin = (ENGINE_RESERVE - load) / ENGINE_RESERVE
        return Limit("engine.power", "look", load, ENGINE_RESERVE, "ratio", margin, "common practice", verified=False)
    return limit
