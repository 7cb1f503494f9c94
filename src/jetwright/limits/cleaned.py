"""What is cleaned withstands the jet, or it is tried on a patch first."""

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
