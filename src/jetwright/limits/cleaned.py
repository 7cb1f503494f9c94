"""What is cleaned withstands the jet, or it is tried first; what is on it comes off, everywhere, or it is looked at."""

from dataclasses import replace

from jetwright.limits.limit import Facts, Limit, Verdict, judge


def withstands(nozzle: float, withstood: float | None, told_by: str, missing: str, facts: Facts) -> Limit:
    """Limit "object.withstands": pressure behind the tips against what the object withstands. [-]

    Where nobody says what it withstands it is looked at first: a trial patch. A figure that nobody stands for is
    hearsay and makes "look", never more.

    Parameters
    ----------
    nozzle : float
        Highest behind any tip, at the cautious end, gauge. [Pa]
    withstood : float | None
        None: nobody said. [Pa]
    told_by : str
        Who said so; "" is hearsay. [-]
    missing : str
        Key of what nobody said. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> [withstands(nozzle, 900e5, "client", "", {}).verdict for nozzle in (900e5, 901e5)]
    ['within', 'not_allowed']
    >>> withstands(901e5, 900e5, "", "task.object.source", {}).verdict
    'look'
    >>> trial = withstands(900e5, None, "client", "task.object", {})
    >>> trial.verdict, trial.remedy, trial.missing
    ('look', 'object.withstands/trial', 'task.object')

    References
    ----------
    The client's word; without it, common practice.
    """
    if withstood is None:
        return Limit(
            "object.withstands",
            "look",
            nozzle,
            None,
            "pressure",
            None,
            "common practice",
            verified=False,
            missing=missing,
            about="task.object",
            remedy="object.withstands/trial",
            facts=facts,
        )
    verdict: Verdict = "not_allowed" if told_by else "look"
    judged = judge(
        "object.withstands",
        nozzle,
        withstood,
        "pressure",
        told_by or "hearsay",
        verified=bool(told_by),
        over=verdict,
        about="task.object",
        remedy="object.withstands" if told_by else "object.withstands/hearsay",
        facts=facts,
    )
    return replace(judged, missing=missing) if judged.verdict == "look" else judged


def threshold(
    nozzle: float,
    arrives: tuple[float, float, float] | None,
    needed: float,
    withstood: float | None,
    told_by: str,
    *,
    struck: bool,
    borne: bool,
    missing: str,
    facts: Facts,
) -> Limit:
    """Limit "object.threshold": pressure on the deposit, as estimated, against what it begins to come off at. [-]

    Within limits only where even the low end of the estimate is enough. Never a refusal: below it the work takes long,
    or is not done at all. Where nobody said how far the surface stands, no more is known than that the pressure behind
    the tip may not be enough. What comes off at no less than the object withstands contradicts it.

    Parameters
    ----------
    nozzle : float
        Right behind the tips of the weakest jet. [Pa]
    arrives : tuple of float | None
        Of the weakest jet on the surface: low, middle and high estimate; None: it no longer cleans there. [Pa, Pa, Pa]
    needed : float
        At which the deposit begins to come off. [Pa]
    withstood : float | None
        By the object; None: nobody said. [Pa]
    told_by : str
        Who said so; "" is hearsay. [-]
    struck : bool
        The jets' way to the surface is known. [-]
    borne : bool
        The object withstands the pressure behind the tips, as far as anybody said. [-]
    missing : str
        Key of what is lacking where it is not. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> estimate = 240e5, 400e5, 560e5
    >>> [
    ...     threshold(700e5, estimate, needed, None, "client", struck=True, borne=True, missing="", facts={}).verdict
    ...     for needed in (240e5, 250e5, 600e5)
    ... ]
    ['within', 'look', 'look']

    References
    ----------
    Common practice: below its threshold next to nothing comes off. The figure is the client's; else hearsay.
    """
    told: dict[str, object] = {**facts, "behind": nozzle, "withstands": withstood}
    value: float | None = nozzle
    if struck:
        value = None if arrives is None else arrives[0]
        if arrives is not None:
            told |= {"least": arrives[0], "greatest": arrives[2]}
    contrary = withstood is not None and needed >= withstood
    unknown = not struck and nozzle >= needed and not contrary
    if contrary:
        remedy = "object.threshold/contrary"
    elif nozzle < needed:
        remedy = "object.threshold/tip_unknown" if withstood is None else "object.threshold/tip"
    else:
        remedy = "object.threshold" if borne else "object.threshold/other"
    judged = judge(
        "object.threshold",
        value,
        needed,
        "pressure",
        told_by or "hearsay",
        verified=bool(told_by),
        over="look",
        least=True,
        about="task.object",
        missing=missing if unknown else "",
        remedy=remedy,
        facts=told,
    )
    return replace(judged, verdict="look", remedy=remedy) if contrary else judged


def stripes(turns: float, turns_needed: float, about: str, *, measured: bool, facts: Facts) -> Limit:
    """Limit "coverage.stripes": a head turns fast enough for its travel that no stripes stay between its tracks. [-]

    Never a refusal: what stays is done again.

    Parameters
    ----------
    turns : float
        As planned. [rev/s]
    turns_needed : float
        At the planned travel. [rev/s]
    about : str
        Key of the tool. [-]
    measured : bool
        The track was measured, not estimated. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> [stripes(turns, 20.0, "tools.head", measured=True, facts={}).verdict for turns in (19.0, 20.0)]
    ['look', 'within']

    References
    ----------
    Geometry: physics where the track was measured; the estimate of a track is common practice.
    """
    return judge(
        "coverage.stripes",
        turns,
        turns_needed,
        "speed",
        "physics" if measured else "common practice",
        verified=measured,
        over="look",
        least=True,
        about=about,
        remedy="coverage.stripes" if measured else "coverage.stripes/estimated",
        facts=facts,
    )
