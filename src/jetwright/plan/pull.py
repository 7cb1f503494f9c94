"""How far a tool hauls its own hose into a pipe, what its jets do to the wall, and what a plugged tube pushes with."""

import math
from collections.abc import Sequence

from jetwright.errors import NotServedError
from jetwright.parts.haul import FRICTION, hauled_mass, piston_push, reach, wall_push
from jetwright.parts.nozzle import jet_flow
from jetwright.plan.answer import Pull, Span
from jetwright.plan.judging.recoil import hauls, held_by, unheld
from jetwright.plan.setting import target_of
from jetwright.plan.unknown import in_at_most, out_at_most
from jetwright.rig.check import CheckedBranch, CheckedRig
from jetwright.rig.description import Hose, Pipe
from jetwright.solve.push import push_of
from jetwright.solve.steady import State
from jetwright.solve.steady import reach as reach_target
from jetwright.water.state import jet_speed_of

ONE_BAR = 1e5
"""What stands behind a plug where nobody said: the push is then so much for each bar. [Pa]"""


def pulls_of(rig: CheckedRig, state: State) -> tuple[Pull, ...]:
    """What each tool does in the task's pipe; nothing where none is described. [-]

    A tool that its hose feeds, a pipe nozzle or a flexible lance, hauls the last pieces of its run, at most all of
    them; what else is in a pipe has no reach of its own. The bends are taken at the far end, a fall counts as level:
    both on the cautious side. Inlets that nobody knows widen pull and reach.

    Parameters
    ----------
    rig : CheckedRig
        The rig of the task. [-]
    state : State
        As planned, every tool jetting. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.steady import reach as reached
    >>> rig = check(replace(JOB, task=(replace(JOB.task[0], pipe=Pipe(0.019, blocked=10e5)),)))
    >>> [gun] = pulls_of(rig, reached(rig, "nozzle_pressure", 850e5))
    >>> f"{gun.pull:.0f} N, blocked {gun.piston:.0f} N", gun.reach
    ('-170 N, blocked 284 N', None)

    References
    ----------
    `parts.haul`.
    """
    pipe = rig.task.pipe
    if pipe is None:
        return ()
    return tuple(_pulls(rig, state, number, branch, pipe) for number, branch in enumerate(rig.branches, start=1))


def _pulls(rig: CheckedRig, state: State, number: int, branch: CheckedBranch, pipe: Pipe) -> Pull:
    nozzle = state.lines[number - 1].nozzle
    speed = jet_speed_of(rig.water, nozzle + rig.water.ambient)
    wall = 0.0
    for row in branch.rows:
        wall += wall_push(jet_flow(rig.water, row.area, nozzle)[0], speed, row.count, row.angle, row.skew)
    forward = -push_of(rig, number, nozzle)[0]
    ends = _ends(rig, state, number)
    friction = FRICTION if pipe.friction is None else (pipe.friction,) * 3
    hoses = _behind(rig, branch) if hauls(branch.tool) else []
    hose = sum(piece.length for piece in hoses) if hoses else None
    least, most = (forward, forward) if ends is None else ends
    reached = _reach(rig, hoses, pipe, (least, forward, most), friction)
    blocked = ONE_BAR if pipe.blocked is None else pipe.blocked
    by_hand = held_by(branch.tool) == "hand" or unheld(branch.tool)
    return Pull(
        branch=number,
        pull=forward,
        wall=wall,
        friction=friction,
        reach=reached,
        needed=pipe.length,
        enough=None if reached is None or pipe.length is None else reached[0] >= pipe.length,
        piston=piston_push(blocked, pipe.bore),
        blocked=blocked,
        most=piston_push(nozzle, pipe.bore) if by_hand and pipe.blocked is None else None,
        hose=hose,
        ends=ends,
    )


def _ends(rig: CheckedRig, state: State, number: int) -> tuple[float, float] | None:
    """Least and most pull by inlets that nobody knows, the target met again; None where all are known."""
    rigs = (*out_at_most(rig, number), *in_at_most(rig, number))
    if not rigs:
        return None
    pulls = [-push_of(rig, number, state.lines[number - 1].nozzle)[0]]
    for other in rigs:
        try:
            settled = reach_target(other, *target_of(other))
        except NotServedError:
            settled = state
        pulls.append(-push_of(other, number, settled.lines[number - 1].nozzle)[0])
    return min(pulls), max(pulls)


def _reach(rig: CheckedRig, hoses: Sequence[Hose], pipe: Pipe, pulls: Span, friction: Span) -> Span | None:
    """The least pull at the high friction, the planned at the middle, the most at the low, and never more than there is
    hose; None where nothing is hauled, or its mass is not known.
    """
    masses = _hauled(rig, hoses, pipe)
    if not masses or None in masses:
        return None
    heaviest = max(mass for mass in masses if mass is not None)
    incline = 0.0 if pipe.length is None else math.asin(pipe.climb / pipe.length)
    hose, bends = sum(piece.length for piece in hoses), sum(pipe.bends)
    low, middle, high = friction
    near, mean, far = (
        min(hose, reach(force, heaviest, rough, incline, bends))
        for force, rough in zip(pulls, (high, middle, low), strict=True)
    )
    return near, mean, far


def _behind(rig: CheckedRig, branch: CheckedBranch) -> list[Hose]:
    """The pieces that can follow a tool into the pipe, from it back: a fitting stays outside, but for a swivel right
    behind the tool.
    """
    found: list[Hose] = []
    for item in reversed(branch.items):
        hose = rig.job.hoses.get(item.name)
        if hose is not None:
            found.append(hose)
        elif found:
            break
    return found


def _hauled(rig: CheckedRig, hoses: Sequence[Hose], pipe: Pipe) -> list[float | None]:
    """Mass of a metre of each piece that goes in, of all where the pipe has no length; None: a tag says none."""
    masses: list[float | None] = []
    inside = 0.0
    for hose in hoses:
        if pipe.length is not None and inside >= pipe.length:
            break
        inside += hose.length
        empty = None if hose.mass is None else hose.mass / hose.length
        density = rig.water.reference_density
        masses.append(None if empty is None else hauled_mass(empty, hose.bore, density, pipe.flooded))
    return masses
