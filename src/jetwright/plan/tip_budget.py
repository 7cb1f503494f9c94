"""What a choice of tips may take, counted in work done, so that it ends in time and alike on every machine."""

from dataclasses import dataclass

from jetwright.plan.judging.recoil import held_by
from jetwright.plan.unknown import unknown_tips
from jetwright.rig.check import CheckedRig

LOOKS = 2_000_000
"""Looks of all searches together: one to two millionths of a second each in plain Python."""
WORK = 1500.0
"""Work of all judging together, each about a millisecond of plain Python."""
SETTING = 0.5
"""Work of a setting alone."""
ROUGH, FULL = 1.0, 3.0
"""Work of judging a rig of one state, at the middle alone and at its cautious end as well."""
OPENED = 0.5
"""Work of a tool that is flushed, for each tool beside it."""
A_STATE = 0.07
"""Work of a state of triggers, for each hose on the way to the tools, or for each tool."""
FEW_STATES = 16
"""Up to so many states it is cheaper to judge at the middle first, and at the cautious end what is not refused."""
LEAST_SHARE = 0.1
"""Share of a whole budget that each task of many has at least."""


@dataclass(slots=True)
class Budget:
    """What is left: looks of the search, and work of judging. Below zero it is overdrawn, and nothing more is begun."""

    looks: int = LOOKS
    work: float = WORK

    def part(self, share: float) -> "Budget":
        """A budget of its own, of a share of what is left. [-]"""
        return Budget(round(share * max(0, self.looks)), share * max(0.0, self.work))


def states_of(rig: CheckedRig) -> int:
    """How many states of triggers a rig has. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> states_of(check(JOB))
    2

    References
    ----------
    `solve.states.trigger_states`.
    """
    return 1 << sum(branch.tool.release != "none" for branch in rig.branches)


def few_states(rig: CheckedRig) -> bool:
    """Whether a rig has so few states of triggers that one judgement costs next to nothing. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> few_states(check(JOB))
    True

    References
    ----------
    Our own convention.
    """
    return states_of(rig) <= FEW_STATES


def judging_work(rig: CheckedRig, *, push: bool = True) -> float:
    """About what the states of one judgement cost; each tool in a hand with unknown inlets is solved again. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    push : bool
        Whether its recoil is judged. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{judging_work(check(JOB)):.1f} for a gun with a trigger"
    '1.3 for a gun with a trigger'

    References
    ----------
    Our own convention, fitted to what was measured: eight triggers take some 0.15 s.
    """
    pieces = len(rig.main) + sum(len(branch.items) for branch in rig.branches)
    held = sum(held_by(branch.tool) == "hand" for branch in rig.branches)
    ends = 2 + 4 * held if push and unknown_tips(rig) else 1
    return (
        ROUGH + OPENED * (len(rig.branches) ** 2 - 1) + A_STATE * states_of(rig) * max(pieces, len(rig.branches)) * ends
    )
