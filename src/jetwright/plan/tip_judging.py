"""Some tips in a task's tool, judged by every limit and by what is wished of them."""

import math
from collections import Counter
from dataclasses import dataclass, replace

from jetwright.errors import JetwrightError
from jetwright.limits.limit import EDGE, Limit, worst
from jetwright.parts.rotor import OffsetJets, torque
from jetwright.plan.assess import Assessed, assess
from jetwright.plan.setting import Machine, machine_for, target_of
from jetwright.plan.task import tool_states
from jetwright.plan.tip_answer import PULL, STARVED, TORQUE, Way
from jetwright.plan.tip_box import Box, Tips
from jetwright.plan.tip_budget import FULL, ROUGH, SETTING, few_states, judging_work
from jetwright.plan.tip_order import Ways, Wish
from jetwright.plan.tip_window import BEYOND
from jetwright.rig.check import CheckedRig, check
from jetwright.rig.description import Job, Port
from jetwright.water.state import vapour_pressure


@dataclass(frozen=True, slots=True)
class Judged:
    """A way as it was judged; way: None where it cannot be set at all.

    refused: by id, the limit where there is one; short: by what share a wish is missed; full: whether at its
    cautious end.
    """

    job: Job
    way: Way | None
    assessed: Assessed | None
    refused: dict[str, Limit | None]
    short: float = 0.0
    full: bool = False

    @property
    def overrun(self) -> tuple[bool, bool, int, float]:
        """How far from being allowed: whether it can be set, then by how many limits, and how far the worst. [-]"""
        shares = [self.short]
        for name, limit in self.refused.items():
            if name not in (PULL, TORQUE):
                shares.append(math.inf if limit is None or limit.margin is None else -limit.margin)
        return self.way is None, self.assessed is None, len(self.refused), max(shares)


Known = dict[Tips, Judged]
"""What the limits say to the ways that were judged so far."""


def judge(ways: Ways, tips: Tips, known: Known) -> Judged:
    """Some tips in the tool, judged by every limit, once, and by what is wished. [-]

    Parameters
    ----------
    ways : Ways
        The tool, its tips, what is judged by and what is left of the budget. [-]
    tips : tuple of tuple of str
        Names of the tips, place by place. [-]
    known : dict
        What was judged before; this is put there. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_box import box_of
    >>> from jetwright.rig.example import JOB
    >>> ways = Ways(box_of(JOB, 0), basis_for(JOB), Wish())
    >>> judge(ways, (("R12",),), {}).refused
    {}

    References
    ----------
    docs/commands.md.
    """
    if tips not in known:
        known[tips] = by_limits(ways, ways.box.filled(tips), tips)
    return wished(ways.wish, known[tips])


def by_limits(ways: Ways, job: Job, tips: Tips, *, full: bool = False) -> Judged:
    """A job judged by every limit; one that is refused at the middle is judged at its cautious end only in full. [-]

    Parameters
    ----------
    ways : Ways
        The tool, its tips, what is judged by and what is left of the budget. [-]
    job : Job
        With tips in the tool. [-]
    tips : tuple of tuple of str
        Their names, place by place. [-]
    full : bool
        Judge it at its cautious end in any case. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_box import box_of
    >>> from jetwright.rig.example import JOB
    >>> ways = Ways(box_of(JOB, 0), basis_for(JOB), Wish())
    >>> by_limits(ways, JOB, (("R12",),)).way.as_now
    True

    References
    ----------
    docs/commands.md.
    """
    box, budget = ways.box, ways.budget
    try:
        rig = check(job, box.index)
        few = few_states(rig)
        budget.work -= SETTING
        assessed = assess(rig, box.index, ways.basis, rough=True) if few else _set(rig)
        if few:
            budget.work -= judging_work(rig)
        if full or not assessed.refused:
            assessed = assess(rig, box.index, ways.basis, steps=False)
            budget.work -= FULL - ROUGH + judging_work(rig)
            full = True
    except JetwrightError:
        return Judged(job, None, None, {BEYOND: None})
    refused: dict[str, Limit | None] = {}
    for limit in assessed.limits:
        if limit.verdict == "not_allowed":
            refused.setdefault(limit.id, limit)
    machine = assessed.machine
    if machine is None:
        return Judged(job, None, assessed, refused, full=full)
    if _starved(rig, machine):
        refused[STARVED] = None
    return Judged(job, _way(box, rig, machine, assessed.limits, tips), assessed, refused, full=full)


def wished(wish: Wish, judged: Judged) -> Judged:
    """A way that the limits have judged, with what it lacks of a wish. [-]

    Parameters
    ----------
    wish : Wish
        What is asked besides the limits. [-]
    judged : Judged
        By the limits. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_box import box_of
    >>> from jetwright.rig.example import JOB
    >>> ways = Ways(box_of(JOB, 0), basis_for(JOB), Wish())
    >>> judged = judge(ways, (("R12",),), {})
    >>> list(wished(Wish(least_pull=50.0), judged).refused)
    ['pull']

    References
    ----------
    docs/commands.md.
    """
    way = judged.way
    if way is None:
        return judged
    refused, short = dict(judged.refused), 0.0
    for name, asked, had in (
        (PULL, wish.least_pull, -way.recoil),
        (TORQUE, wish.least_torque, abs(way.torque)),
    ):
        if asked is not None and had < asked * (1.0 - EDGE):
            refused[name] = None
            short = max(short, 1.0 - had / asked)
    return replace(judged, refused=refused, short=short)


def _set(rig: CheckedRig) -> Assessed:
    """The setting alone: where it cannot be had, many states need not be solved."""
    machine = machine_for(rig, *target_of(rig))
    return Assessed(machine, None, tuple(limit for limit in machine.limits if limit.verdict == "not_allowed"))


def _starved(rig: CheckedRig, machine: Machine) -> bool:
    """Whether the supply hose leaves less than the water needs not to boil."""
    water = rig.water
    return rig.supply_hose is not None and machine.inlet + water.ambient <= vapour_pressure(water.temperature)


def _way(box: Box, rig: CheckedRig, machine: Machine, limits: tuple[Limit, ...], tips: Tips) -> Way:
    tool = tool_states(rig, machine.state)[box.number - 1]
    ports, density = rig.job.tools[box.tool].ports, rig.water.reference_density
    turning = tuple(
        OffsetJets(jet.count, density * jet.flow, jet.speed, port.radius, port.skew)
        for jet, port in zip(tool.jets, ports, strict=True)
    )
    return Way(
        tips=tips,
        ports=ports,
        pump_pressure=machine.state.pump_pressure,
        pump_speed=machine.speed,
        nozzle=tool.nozzle,
        flow=tool.flow,
        jet_speed=tool.jets[0].speed,
        jet_power=tool.jet_power,
        recoil=tool.recoil,
        recoil_side=tool.recoil_side,
        torque=torque(turning, 0.0),
        verdict=worst(limits),
        limits=tuple(limit for limit in limits if limit.verdict != "within"),
        as_now=_pieces(ports) == _pieces(box.job.tools[box.tool].ports),
    )


def _pieces(ports: tuple[Port, ...]) -> Counter[tuple[str, float, float, float]]:
    """How many of each tip point which way."""
    found = Counter[tuple[str, float, float, float]]()
    for port in ports:
        found[port.tip, port.angle, port.radius, port.skew] += port.count
    return found
