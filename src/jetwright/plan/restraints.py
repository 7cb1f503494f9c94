"""What a rig's joints need against whipping hoses, counted from its pieces."""

from jetwright.plan.answer import RestraintsNeeded
from jetwright.plan.judging.recoil import held_by
from jetwright.rig.check import CheckedRig, Item
from jetwright.rig.description import Tool


def restraints_of(rig: CheckedRig) -> RestraintsNeeded:
    """Whip checks and shrouds that a rig needs. [-]

    A whip check at each fixed joint with a hose on either side, from the unit to the tool; none at a tool that travels
    on its hose, where it does not work or adds a hazard. A hose right behind a dump pedal that ends at such a tool
    travels with it, as a flexible lance that is written as one piece does: pedal and hose have no fixed joint either.
    A shroud where a hose meets a tool in a hand.

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> restraints_of(check(JOB))  # unit, two hoses, gun
    RestraintsNeeded(whip_checks=3, shrouds=1)

    References
    ----------
    Common practice; European Water Jetting Institute, hose installation.
    """
    main = [item.name in rig.job.hoses for item in rig.main]
    joints = _joints([False, *main])
    shrouds = 0
    for branch in rig.branches:
        own = [item.name in rig.job.hoses for item in branch.items]
        run = [main[-1] if main else False, *own]
        joints += _joints(run) - (travels(branch.tool) and run[-1] and _behind_pedal((*rig.main, *branch.items)))
        if run[-1] and not travels(branch.tool):
            joints += 1
            shrouds += held_by(branch.tool) == "hand"
    return RestraintsNeeded(joints, shrouds)


def travels(tool: Tool) -> bool:
    """Whether a tool moves through what it cleans on its hose, with no fixed joint behind it. [-]

    Parameters
    ----------
    tool : Tool
        As described. [-]

    Examples
    --------
    >>> travels(Tool("flexible lance", 0.006, "none", ()))
    True

    References
    ----------
    Common practice.
    """
    return tool.kind == "flexible lance" or held_by(tool) == "hose"


def _behind_pedal(items: tuple[Item, ...]) -> bool:
    """Whether the last piece of a run stands right behind a fitting that dumps."""
    return len(items) > 1 and items[-2].dump_area > 0.0


def _joints(hoses: list[bool]) -> int:
    """Joints in a row of pieces with a hose on either side."""
    return sum(before or after for before, after in zip(hoses, hoses[1:], strict=False))
