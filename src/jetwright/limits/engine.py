"""What comes over the engine all at once when a trigger is pressed."""

from jetwright.limits.limit import Limit, ruled
from jetwright.limits.rules import Bound


def engine_step(step: float | None, full_load: float | None, bound: Bound | None) -> Limit:
    """Limit "engine.step": power that comes at once when the triggers are pressed, of the engine's full load. [-]

    Parameters
    ----------
    step : float | None
        Engine power held less engine power let go, with nothing else moved; None: letting go has no state. [W]
    full_load : float | None
        What the engine gives at its speed, derated for the site; None: no engine is described. [W]
    bound : Bound | None
        The most that comes at once. [-]

    Examples
    --------
    >>> half = Bound(0.5, "ratio", "most", "common practice", "common practice", False)
    >>> [engine_step(step, 235e3, half).verdict for step in (63e3, 150e3)]
    ['within', 'look']

    References
    ----------
    Common practice: an engine takes a part of its load at once, and the rest as it picks up.
    """
    if full_load is None:
        return ruled("engine.step", None, bound, missing="unit.engine")
    if step is None:
        return ruled("engine.step", None, bound, missing="unit.bypass")
    return ruled(
        "engine.step", step / full_load, bound, remedy="engine.step", facts={"step": step, "full_load": full_load}
    )
