"""How a tool covers a surface as it is moved on: tracks, turns, energy, and how much it cleans in a time."""

import math
from collections.abc import Sequence

from jetwright.limits.limit import EDGE
from jetwright.parts.free_jet import jet_power
from jetwright.parts.nozzle import jet_flow
from jetwright.parts.rotor import (
    OffsetJets,
    advance,
    energy_per_area,
    fastest_travel,
    free_turns,
    least_turns,
    production_rate,
    surface_speed,
    torque,
)
from jetwright.plan.answer import Coverage, JetAtTarget, Span
from jetwright.plan.jet import path_of, surface_of
from jetwright.plan.judging.recoil import held_by
from jetwright.rig.check import CheckedBranch, CheckedRig
from jetwright.rig.description import Port, Tool
from jetwright.solve.steady import State
from jetwright.water.state import jet_speed_of

BY_HAND: Span = (0.40, 0.55, 0.70)
"""Share of the time that a tool moves which people feed: low end, middle and high end (common practice)."""
BY_MACHINE: Span = (0.70, 0.78, 0.85)
"""The same where a machine or a carrier moves it (common practice)."""
OVERLAP = 0.2
"""Overlap of tracks where no travel is described, as the job file has it."""
SAME = 1e-6
"""Jets whose radii differ by less run on one circle. [m]"""


def coverage_of(rig: CheckedRig, state: State, jets: Sequence[JetAtTarget]) -> tuple[Coverage, ...]:
    """How each tool covers what it cleans; nothing where neither travel, turns nor a stand-off are given. [-]

    A pass is twice the largest circle on the surface wide, and a track: radius + stand-off·tan(angle); without a
    stand-off the angle is left out, and a skew is always. What works in a pipe has no pass, and cleans the wall all
    round. Jets that strike nothing, or no longer clean by the estimate, do not count. The middle of an estimated track
    is taken. The edges of a pass are cleaned by the outermost jets alone, so those are the tracks of a turn. Where
    stripes stay by a measured track, no rate is told.

    Parameters
    ----------
    rig : CheckedRig
        The rig of the task. [-]
    state : State
        As planned, every tool jetting. [-]
    jets : Sequence of JetAtTarget
        What each jet does where it strikes, of `plan.jet.jets_at_target`. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.plan.jet import jets_at_target
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Free, Travel
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.steady import reach
    >>> task = replace(JOB.task[0], jet=Free(0.1, footprint=0.02), travel=Travel(0.1, 1.0))
    >>> rig = check(replace(JOB, task=(task,)))
    >>> state = reach(rig, "nozzle_pressure", 850e5)
    >>> [cover] = coverage_of(rig, state, jets_at_target(rig, state))
    >>> f"{1000 * cover.width:.0f} mm, {3600 * cover.rate:.2f} m²/h, {cover.energy / 1e6:.0f} MJ/m²"
    '20 mm, 3.17 m²/h, 22 MJ/m²'

    References
    ----------
    `parts.rotor`; the shares of the time at work are common practice.
    """
    task, found = rig.task, []
    for number, branch in enumerate(rig.branches, start=1):
        if task.travel is not None or task.jet is not None or branch.tool.turns is not None:
            found.append(_covers(rig, state, number, branch, [one for one in jets if one.branch == number]))
    return tuple(found)


def at_work_of(tool: Tool) -> Span:
    """Share of the time that a tool moves, where nobody said: low end, middle and high end. [-]

    Parameters
    ----------
    tool : Tool
        The tool. [-]

    Examples
    --------
    >>> at_work_of(Tool("hand lance", 0.006, "dump", ())), at_work_of(Tool("floor head", 0.012, "none", ()))
    ((0.4, 0.55, 0.7), (0.7, 0.78, 0.85))

    References
    ----------
    Common practice: 40 to 70 % by hand, 70 to 85 % automated.
    """
    fed = held_by(tool) in ("hand", "hose") or (tool.kind == "flexible lance" and tool.held_by is None)
    return BY_HAND if fed else BY_MACHINE


def _covers(rig: CheckedRig, state: State, number: int, branch: CheckedBranch, jets: Sequence[JetAtTarget]) -> Coverage:
    task, tool = rig.task, branch.tool
    struck = _struck(rig, branch, jets)
    cleaning = [one for one in struck if one[2] is None or one[2].width is not None]
    radius = max((circle for _port, circle, _jet in cleaning), default=0.0)
    outer = [one for one in cleaning if one[1] > radius - SAME]
    tracks = sum(port.count for port, _circle, _jet in outer)
    track = min((jet.width[1] for _port, _circle, jet in outer if jet is not None and jet.width), default=None)
    inside = surface_of(tool, task.pipe) == "wall"
    width = None if inside else 2.0 * radius + (track or 0.0) or None
    travel = None if task.travel is None else task.travel.length / task.travel.time
    turns, overlap = tool.turns, OVERLAP if task.travel is None else task.travel.overlap
    power, turning = _turning(rig, state, number, branch, [port for port, _circle, _jet in struck])
    drive = abs(torque(turning, 0.0)) if turning else 0.0
    along = task.extent.width is None if task.extent is not None else task.pipe is not None or width is None
    turned = turns is not None or drive > 0.0
    least = None if travel is None or track is None or not turned else least_turns(travel, tracks, track, overlap)
    measured = task.jet is not None and task.jet.footprint is not None
    striped = measured and turns is not None and least is not None and turns < least * (1.0 - EDGE)
    circle, band, lost = radius, width, overlap
    if inside and task.pipe is not None:
        circle, band, lost = 0.5 * task.pipe.bore, math.pi * task.pipe.bore, 0.0
    rate = None
    if task.travel is not None and travel is not None and cleaning and not striped:
        share = at_work_of(tool)[1] if task.travel.at_work is None else task.travel.at_work
        rate = travel * share if along else None if band is None else production_rate(travel, band, lost, share)
    return Coverage(
        branch=number,
        tracks=tracks,
        width=width,
        travel=travel,
        turns=turns,
        advance=None if travel is None or turns is None else advance(travel, turns),
        least_turns=least,
        fastest=None if turns is None or track is None else fastest_travel(turns, tracks, track, overlap),
        surface_speed=None if turns is None or circle == 0.0 else surface_speed(turns, circle),
        torque=drive or None,
        free_turns=abs(free_turns(turning)) if drive > 0.0 else None,
        energy=None
        if travel is None or width is None or along
        else energy_per_area(power, travel, width * (1.0 - overlap)),
        rate=rate,
        along=along,
        striped=striped,
    )


Struck = tuple[Port, float, JetAtTarget | None]
"""A row of ports that strikes what is cleaned, the radius of its circle there, what its jets do if that is known."""


def _struck(rig: CheckedRig, branch: CheckedBranch, jets: Sequence[JetAtTarget]) -> list[Struck]:
    asked, surface = rig.task.jet, surface_of(branch.tool, rig.task.pipe)
    told, struck = iter(jets), list[Struck]()
    for port in branch.tool.ports:
        path = path_of(1.0 if asked is None else asked.standoff, port.angle, surface)
        if path is not None:
            aside = path * math.sin(port.angle) if surface == "ahead" and asked is not None else 0.0
            struck.append((port, port.radius + aside, None if asked is None else next(told)))
    return struck


def _turning(
    rig: CheckedRig, state: State, number: int, branch: CheckedBranch, struck: Sequence[Port]
) -> tuple[float, tuple[OffsetJets, ...]]:
    """Kinetic power of the jets that strike, and the jets that stand off the axis."""
    line = state.lines[number - 1]
    speed = jet_speed_of(rig.water, line.nozzle + rig.water.ambient)
    power, turning = 0.0, []
    for row, port in zip(branch.rows, branch.tool.ports, strict=True):
        flow = jet_flow(rig.water, row.area, line.nozzle)[0]
        if port in struck:
            power += row.count * jet_power(flow, speed)
        if port.radius > 0.0:
            turning.append(OffsetJets(row.count, flow, speed, port.radius, port.skew))
    return power, tuple(turning)
