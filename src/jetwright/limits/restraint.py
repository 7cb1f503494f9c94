"""What holds a hose that comes off its joint: whip checks, and shrouds where it meets a person."""

from jetwright.limits.limit import Limit, judge

HOSE_NOTE = "European Water Jetting Institute, hose installation"


def whip_checks(at_hand: int | None, needed: int) -> Limit:
    """Limit "restraint.whip_checks": as many whip checks as the rig has fixed joints with a hose. [-]

    Parameters
    ----------
    at_hand : int | None
        None: nobody said. [-]
    needed : int
        Counted from the rig's pieces. [-]

    Examples
    --------
    >>> [whip_checks(at_hand, 4).verdict for at_hand in (4, 3, None)]
    ['within', 'look', 'not_judged']

    References
    ----------
    Common practice: one at each fixed joint, none where the hose travels or turns.
    """
    return judge(
        "restraint.whip_checks",
        at_hand if at_hand is not None or needed else 0,
        needed,
        "count",
        "common practice",
        verified=False,
        over="look",
        least=True,
        about="restraints",
        missing="restraints.whip_checks" if at_hand is None and needed else "",
        remedy="restraint.whip_checks",
    )


def shrouds(at_hand: int | None, needed: int) -> Limit:
    """Limit "restraint.shrouds": a shroud over the hose at each tool in a hand. [-]

    Parameters
    ----------
    at_hand : int | None
        None: nobody said. [-]
    needed : int
        Counted from the rig's pieces. [-]

    Examples
    --------
    >>> [shrouds(at_hand, 1).verdict for at_hand in (1, 0, None)]
    ['within', 'look', 'not_judged']

    References
    ----------
    European Water Jetting Institute, hose installation: at least 1.8 m where a hose meets a hand-held tool.
    """
    return judge(
        "restraint.shrouds",
        at_hand if at_hand is not None or needed else 0,
        needed,
        "count",
        HOSE_NOTE,
        over="look",
        least=True,
        about="restraints",
        missing="restraints.shrouds" if at_hand is None and needed else "",
        remedy="restraint.shrouds",
    )
