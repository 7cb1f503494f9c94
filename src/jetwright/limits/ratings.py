"""Every part against its plate or tag: in the plan, when the relief opens, and with the relief fully open."""

from dataclasses import replace

from jetwright.limits.limit import EDGE, Limit, judge
from jetwright.limits.rules import Bound


def rating_working(inlet: float, rating: float | None, source: str, about: str) -> Limit:
    """Limit "rating.working": a part sees no more than its rating in the planned setting. [-]

    Parameters
    ----------
    inlet : float
        Highest gauge pressure at the part. [Pa]
    rating : float | None
        As its plate or tag gives it. [Pa]
    source : str
        "plate" or "tag". [-]
    about : str
        The part's key. [-]

    Examples
    --------
    >>> rating_working(933e5, 900e5, "tag", "hoses.H").verdict
    'not_allowed'
    >>> rating_working(933e5, None, "tag", "hoses.H").missing
    'hoses.H.rating'

    References
    ----------
    The part's plate or tag.
    """
    missing = f"{about}.rating" if rating is None else ""
    return judge(
        "rating.working", inlet, rating, "pressure", source, about=about, missing=missing, remedy="rating.working"
    )


def rating_relief_set(
    opening: float | None,
    rating: float | None,
    source: str,
    about: str,
    over: Bound | None = None,
    needs: float | None = None,
) -> Limit:
    """Limit "rating.relief_set": the relief has begun to open before a part sees more than it may. [-]

    Parameters
    ----------
    opening : float | None
        By which a relief device has begun to open for certain; None: none is described. [Pa]
    rating : float | None
        As the part's plate or tag gives it. [Pa]
    source : str
        "plate" or "tag". [-]
    about : str
        The part's key. [-]
    over : Bound | None
        Share of the rating by which it may be passed while the relief opens; None: not at all. [-]
    needs : float | None
        Rating that both limits on the relief ask of the part, for the words. [Pa]

    Examples
    --------
    >>> rating_relief_set(1150e5, 1050e5, "tag", "hoses.H").verdict
    'not_allowed'
    >>> share = Bound(0.15, "ratio", "most", "EN 1829-1:2010 5.2.2", "standard", True)
    >>> f"{rating_relief_set(1150e5, 1100e5, 'plate', 'unit.pump', share).bound / 1e5:.0f} bar"
    '1265 bar'

    References
    ----------
    The part's plate or tag; for the pump EN 1829-1:2010 5.2.2.
    """
    return _relieved("rating.relief_set", opening, rating, source, about, over, needs)


def rating_relief_full(
    pressure: float | None,
    rating: float | None,
    source: str,
    about: str,
    over: Bound | None,
    needs: float | None = None,
    sized: float | None = None,
) -> Limit:
    """Limit "rating.relief_full": with the relief fully open a part's rating is passed by no more than is allowed. [-]

    Parameters
    ----------
    pressure : float | None
        At which the relief passes all that the pump gives, gauge; None: none is described. [Pa]
    rating : float | None
        As the part's plate or tag gives it. [Pa]
    source : str
        "plate" or "tag". [-]
    about : str
        The part's key. [-]
    over : Bound | None
        Share of the rating by which it may then be passed; None: not at all. [-]
    needs : float | None
        Rating that both limits on the relief ask of the part, for the words. [Pa]
    sized : float | None
        Where it would stand if a device too small for the pump's flow passed all of it; None: it is not too small.
        [Pa]

    Examples
    --------
    >>> share = Bound(0.15, "ratio", "most", "EN 1829-1:2010 5.2.2", "standard", True)
    >>> rating_relief_full(1.10 * 1150e5, 1100e5, "plate", "unit.pump", share).verdict
    'within'

    References
    ----------
    EN 1829-1:2010 5.2.2.
    """
    judged = _relieved("rating.relief_full", pressure, rating, source, about, over, needs)
    if judged.remedy and sized is not None and judged.bound is not None and sized <= judged.bound * (1.0 + EDGE):
        return replace(judged, remedy="rating.relief_full/capacity")
    return judged


def _relieved(
    identity: str,
    value: float | None,
    rating: float | None,
    source: str,
    about: str,
    over: Bound | None,
    needs: float | None,
) -> Limit:
    """What lies above the rating itself the plate refuses; a share only adds to it, so its standing does not count."""
    if value is None:
        return judge(identity, None, None, "pressure", source, missing="unit.relief")
    if rating is None:
        return judge(identity, value, None, "pressure", source, about=about, missing=f"{about}.rating")
    share = 0.0 if over is None else over.value
    return judge(
        identity,
        value,
        rating * (1.0 + share),
        "pressure",
        source if over is None else over.source,
        verified=over is None or over.verified,
        about=about,
        remedy=identity,
        facts={"rating": rating, "over": share, "needs": value / (1.0 + share) if needs is None else needs},
    )
