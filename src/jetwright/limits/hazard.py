"""What the job's permit says of the place: present and not cleared blocks the job."""

from jetwright.limits.limit import Limit, judge


def hazards(
    ignition: bool | None, confined_space: bool | None, live_electrical: bool | None, product: bool | None
) -> tuple[Limit, Limit, Limit, Limit]:
    """Limits "hazard.*": nothing is present that the permit has not cleared. [-]

    Parameters
    ----------
    ignition : bool | None
        Vapour or dust that a spark lights; None: nobody said. [-]
    confined_space : bool | None
        Somebody works in one. [-]
    live_electrical : bool | None
        Gear under tension within reach of jet or spray. [-]
    product : bool | None
        What is cleaned off harms or reacts. [-]

    Examples
    --------
    >>> [limit.verdict for limit in hazards(False, True, None, False)]
    ['within', 'not_allowed', 'not_judged', 'within']

    References
    ----------
    Common practice: the permit to work decides.
    """
    return (
        _cleared("hazard.ignition", ignition),
        _cleared("hazard.confined_space", confined_space),
        _cleared("hazard.live_electrical", live_electrical),
        _cleared("hazard.product", product),
    )


def _cleared(identity: str, present: bool | None) -> Limit:
    key = f"task.hazards.{identity.removeprefix('hazard.')}"
    value = None if present is None else float(present)
    missing = key if present is None else ""
    return judge(identity, value, 0.0, "count", "permit", about="task.hazards", missing=missing, remedy=identity)
