"""What keeps the jet off the person who holds it, and lets somebody stop it."""

from dataclasses import replace

from jetwright.limits.limit import NOTHING, Facts, Limit, judge, ruled
from jetwright.limits.rules import Bound

LOW = 250e5
"""Pressure behind the tips up to which the shorter lance is enough, Dutch guidance. [Pa]"""
RAILED = ("platform", "scaffold")


def lance(length: float | None, nozzle: float, low: Bound | None, high: Bound | None, about: str) -> Limit:
    """Limit "person.lance": a hand lance is too long to be turned on oneself. [-]

    Parameters
    ----------
    length : float | None
        Of the lance; None: nobody said. [m]
    nozzle : float
        Pressure behind its tips, gauge, as planned. [Pa]
    low : Bound | None
        Of the rule set, up to 250 bar. [-]
    high : Bound | None
        Above it. [-]
    about : str
        Key of the tool. [-]

    Examples
    --------
    >>> short = Bound(0.75, "length", "least", "Netherlands", "guidance", True)
    >>> long = Bound(1.22, "length", "least", "memory", "memory", False)
    >>> [lance(0.9, nozzle, short, long, "tools.gun").verdict for nozzle in (250e5, 900e5)]
    ['within', 'look']

    References
    ----------
    docs/rule-sets.md.
    """
    missing = f"{about}.length" if length is None else ""
    facts: Facts = {"nozzle": nozzle, "edge": LOW}
    bound = low if nozzle <= LOW else high
    return ruled("person.lance", length, bound, about=about, missing=missing, remedy="person.lance", facts=facts)


def turn(length: float | None, bore: float, share: Bound | None, about: str) -> Limit:
    """Limit "person.turn": what its hose carries into a pipe is too long to turn round in it and come back. [-]

    Parameters
    ----------
    length : float | None
        Of the stiff end, from the tip to where the hose begins; None: nobody said. [m]
    bore : float
        Of the pipe. [m]
    share : Bound | None
        Of the rule set: length over bore. [-]
    about : str
        Key of the tool. [-]

    Examples
    --------
    >>> share = Bound(1.5, "ratio", "least", "trade press", "guidance", True)
    >>> [turn(length, 0.150, share, "tools.mole").verdict for length in (0.225, 0.200, None)]
    ['within', 'look', 'not_judged']

    References
    ----------
    Tennessee Public Works; US Mine Safety and Health Administration, MAI-2009-03.
    """
    missing = f"{about}.length" if length is None else ""
    least = None if share is None else replace(share, value=share.value * bore, quantity="length")
    facts: Facts = {"bore": bore}
    return ruled("person.turn", length, least, about=about, missing=missing, remedy="person.turn", facts=facts)


def stops(count: int, bound: Bound | None, facts: Facts = NOTHING) -> Limit:
    """Limit "person.stops": independent ways to stop the jet, each named. [-]

    Parameters
    ----------
    count : int
        Named; none is not judged. [-]
    bound : Bound | None
        Of the rule set. [-]
    facts : Mapping
        For the words. [-]

    Examples
    --------
    >>> two = Bound(2.0, "count", "least", "association", "guidance", True)
    >>> [stops(count, two).verdict for count in (0, 1, 2)]
    ['not_judged', 'look', 'within']

    References
    ----------
    docs/rule-sets.md.
    """
    missing = "" if count else "task.stops"
    value = float(count) if count else None
    return ruled("person.stops", value, bound, missing=missing, remedy="person.stops", facts=facts)


def rail(place: str, guard_rail: bool | None, bound: Bound | None) -> Limit:
    """Limit "person.rail": a guard rail where the push of the jet may throw a person off. [-]

    Nobody falls off the ground; no ladder has a rail, so none is stood on.

    Parameters
    ----------
    place : str
        Where the operator stands: "ground", "platform", "scaffold" or "ladder". [-]
    guard_rail : bool | None
        None: nobody said. [-]
    bound : Bound | None
        Of the rule set: 1 asks for a rail. [-]

    Examples
    --------
    >>> asked = Bound(1.0, "count", "least", "Norway 20-6", "regulation", True)
    >>> [rail("scaffold", there, asked).verdict for there in (True, False, None)]
    ['within', 'not_allowed', 'not_judged']
    >>> rail("ladder", None, asked).remedy
    'person.rail/ladder'

    References
    ----------
    docs/rule-sets.md.
    """
    facts: Facts = {"place": place}
    if place == "ground":
        return ruled("person.rail", 1.0, bound, about="task.operator", facts=facts)
    if place not in RAILED:
        return ruled("person.rail", 0.0, bound, about="task.operator", remedy="person.rail/ladder", facts=facts)
    missing = "task.operator.guard_rail" if guard_rail is None else ""
    value = None if guard_rail is None else float(guard_rail)
    return ruled("person.rail", value, bound, about="task.operator", missing=missing, remedy="person.rail", facts=facts)


def remote(tested: bool | None) -> Limit:
    """Limit "person.remote": a radio remote was tried at the farthest work point that day. [-]

    Never judged by metres: steel and water decide how far radio carries.

    Parameters
    ----------
    tested : bool | None
        With the tool in its place; loss of the link stops the jet. None: nobody said. [-]

    Examples
    --------
    >>> [remote(tested).verdict for tested in (True, False, None)]
    ['within', 'look', 'not_judged']

    References
    ----------
    Common practice.
    """
    return judge(
        "person.remote",
        None if tested is None else float(tested),
        1.0,
        "count",
        "common practice",
        verified=False,
        over="look",
        least=True,
        about="unit.remote",
        missing="task.remote_tested" if tested is None else "",
        remedy="person.remote",
    )
