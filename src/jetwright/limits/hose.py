"""Hoses and the water in them: in test, traceable, not to be swapped unseen, not eaten by speed or by dirt."""

from collections.abc import Iterable

from jetwright.limits.limit import NOTHING, Facts, Limit, judge, ruled
from jetwright.limits.rules import Bound

ALIKE = 0.01
"""Two ratings this close, as a share, are one rating on two tags."""


def age_of_test(name: str, age: float | None, bound: Bound | None, facts: Facts = NOTHING) -> Limit:
    """Limit "hose.test_age": time since a hose was last tested, on the day of the job. [-]

    A test that lies ahead of that day is looked at first: one of the two dates is wrong.

    Parameters
    ----------
    name : str
        Of the hose. [-]
    age : float | None
        None: no test is known. [s]
    bound : Bound | None
        Of the rule set. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> year = Bound(366 * 86400.0, "time", "most", "Norway", "regulation", True)
    >>> [age_of_test("R8-20", 86400.0 * days, year).verdict for days in (366, 367, -1)]
    ['within', 'not_allowed', 'look']

    References
    ----------
    docs/rule-sets.md.
    """
    about = f"hoses.{name}"
    if age is None:
        return ruled("hose.test_age", None, bound, about=about, missing=f"{about}.tested", facts=facts)
    if age < 0.0:
        remedy = "hose.test_age/future"
        return judge(
            "hose.test_age", age, 0.0, "time", "tag", over="look", least=True, about=about, remedy=remedy, facts=facts
        )
    return ruled("hose.test_age", age, bound, about=about, remedy="hose.test_age", facts=facts)


def traceable(untraceable: int, about: str, facts: Facts = NOTHING, unsaid: str = "") -> Limit:
    """Limit "hose.traceable": no piece of the rig is without a tag that leads to its papers. [-]

    Parameters
    ----------
    untraceable : int
        Pieces of the hose runs that are not traceable. [-]
    about : str
        Key of the hose, or of all of them. [-]
    facts : Mapping
        For the words. [-]
    unsaid : str
        A hose of which nobody said whether its tag leads anywhere, "" for none; one without a tag counts before it. [-]

    Examples
    --------
    >>> [traceable(pieces, "hoses").verdict for pieces in (0, 1)]
    ['within', 'not_allowed']
    >>> traceable(0, "hoses", unsaid="R8-20").missing
    'hoses.R8-20.traceable'

    References
    ----------
    Common practice: a hose without its tag has neither a rating nor a test.
    """
    missing = f"hoses.{unsaid}.traceable" if unsaid and not untraceable else ""
    value = None if missing else untraceable
    return judge(
        "hose.traceable", value, 0.0, "count", "tag", about=about, missing=missing, remedy="hose.traceable", facts=facts
    )


def hose_count(used: int, owned: int, about: str, facts: Facts = NOTHING) -> Limit:
    """Limit "hose.count": pieces of one hose in a task against those the crew owns. [-]

    Parameters
    ----------
    used : int
        In every run of the task, the main run once. [-]
    owned : int
        As written in the yard. [-]
    about : str
        Key of the hose. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> [hose_count(used, 2, "hoses.R8-20").verdict for used in (2, 4)]
    ['within', 'look']

    References
    ----------
    Common practice: what is not in the yard is not laid.
    """
    return judge(
        "hose.count", used, owned, "count", "the yard", over="look", about=about, remedy="hose.count", facts=facts
    )


def tip_count(used: int, owned: int, about: str, facts: Facts = NOTHING) -> Limit:
    """Limit "tip.count": tips of one name in a task against those the crew owns. [-]

    Parameters
    ----------
    used : int
        In every tool of the task. [-]
    owned : int
        As written in the yard. [-]
    about : str
        Key of the tip. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> [tip_count(used, 4, "tips.R10").verdict for used in (4, 8)]
    ['within', 'look']

    References
    ----------
    Common practice: what is not in the yard is not fitted.
    """
    return judge(
        "tip.count", used, owned, "count", "the yard", over="look", about=about, remedy="tip.count", facts=facts
    )


def ratings_told_apart(ratings: Iterable[float]) -> int:
    """How many ratings there are among them; two that differ by a hundredth are one. [-]

    Parameters
    ----------
    ratings : Iterable of float
        Of hoses of one bore. [Pa]

    Examples
    --------
    >>> ratings_told_apart([1000e5, 999.7e5, 1400e5])
    2

    References
    ----------
    Our own convention: 14500 psi and 1000 bar are one tag.
    """
    count, last = 0, 0.0
    for rating in sorted(ratings):
        if rating > last * (1.0 + ALIKE):
            count, last = count + 1, rating
    return count


def mixed(ratings: int, about: str, missing: str = "", facts: Facts = NOTHING) -> Limit:
    """Limit "hose.mixed": pieces of one run that look alike have one rating, or they may be swapped unseen. [-]

    Parameters
    ----------
    ratings : int
        Most ratings among pieces of one bore in one run. [-]
    about : str
        The branch. [-]
    missing : str
        Key of a rating that is not known. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> [mixed(ratings, "").verdict for ratings in (1, 2)]
    ['within', 'look']

    References
    ----------
    Common practice.
    """
    return judge(
        "hose.mixed",
        ratings,
        1.0,
        "count",
        "common practice",
        verified=False,
        over="look",
        about=about,
        missing="" if ratings > 1 else missing,
        remedy="hose.mixed",
        facts=facts,
    )


def water_speed_in(name: str, water_speed: float, bound: Bound | None, facts: Facts = NOTHING) -> Limit:
    """Limit "hose.speed": speed of the water in the hose where it is fastest. [-]

    Parameters
    ----------
    name : str
        Of the hose. [-]
    water_speed : float
        In it, with every trigger held. [m/s]
    bound : Bound | None
        Of the rule set. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> habit = Bound(20.0, "velocity", "most", "common practice", "common practice", False)
    >>> [water_speed_in("R8-20", speed, habit).verdict for speed in (20.0, 20.1)]
    ['within', 'look']

    References
    ----------
    Common practice: docs/rule-sets.md.
    """
    return ruled("hose.speed", water_speed, bound, about=f"hoses.{name}", remedy="hose.speed", facts=facts)


def filter_of(mesh: float | None, bore: float, tip: str, bound: Bound | None) -> Limit:
    """Limit "supply.filter": opening of the finest filter over the bore of the smallest tip. [-]

    Parameters
    ----------
    mesh : float | None
        Opening of the filter; None: none is described. [m]
    bore : float
        Of the smallest tip. [m]
    tip : str
        Its name. [-]
    bound : Bound | None
        Of the rule set. [-]

    Examples
    --------
    >>> habit = Bound(0.05, "ratio", "most", "common practice", "common practice", False)
    >>> [filter_of(mesh, 1e-3, "R10", habit).verdict for mesh in (25e-6, 100e-6, None)]
    ['within', 'look', 'not_judged']

    References
    ----------
    Common practice: docs/rule-sets.md.
    """
    facts: Facts = {"filter": mesh, "bore": bore, "tip": tip}
    return ruled(
        "supply.filter",
        None if mesh is None else mesh / bore,
        bound,
        about=f"tips.{tip}",
        missing="supply.filter" if mesh is None else "",
        remedy="supply.filter",
        facts=facts,
    )
