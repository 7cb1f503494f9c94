"""Recoil: as planned, with the bypass, the relief, a jet or another trigger gone wrong, and from the setting before."""

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from jetwright.errors import NotServedError
from jetwright.limits.limit import Facts, Limit
from jetwright.limits.recoil import (
    Grip,
    back_out,
    body,
    bypass_shut,
    cautious,
    fitted,
    hand,
    hands,
    kick,
    left,
    others,
    piston,
    plugged,
    pull,
    rear_plugged,
    relief,
    unless_rested,
    worn,
    worse,
    worse_end,
)
from jetwright.parts.haul import piston_push
from jetwright.parts.nozzle import UNKNOWN_INLET
from jetwright.plan.answer import LeftOver
from jetwright.plan.case import Case
from jetwright.plan.left import held_below, left_over, setting_left
from jetwright.plan.setting import Machine, full_flow_pressure, highest_opening, machine_for, target_of
from jetwright.plan.unknown import both_ways, in_at_most, out_at_most, unknown_tips
from jetwright.rig.check import CheckedRig, check
from jetwright.rig.condition import Condition
from jetwright.rig.description import Tool
from jetwright.solve.balance import GRAVITY
from jetwright.solve.push import length_of, push_of
from jetwright.solve.states import TriggerState, outermost_states, trigger_states
from jetwright.solve.steady import SERVED_TO, Levers, State, reach

FED = ("flexible lance", "pipe nozzle")
"""Tools that people feed by hand as often as a machine does: common practice."""
ROOM = 0.20
"""Share of its bound that a push keeps free before more of it is advised."""


def limits(case: Case) -> list[Limit]:
    """Every limit on recoil that this task's tools come under. [-]

    Tools in the hand and hose-fed nozzles are judged; what a machine or a carrier holds is not.

    Parameters
    ----------
    case : Case
        The task, solved. [-]

    Examples
    --------
    >>> from jetwright.limits.rules import Bound, RuleSet
    >>> from jetwright.plan.answer import Tolerance
    >>> from jetwright.plan.basis import Basis
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for, target_of
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.rig.order import Orders
    >>> import datetime
    >>> bounds = {"recoil.unsupported": Bound(150.0, "force", "most", "NO 20-1", "regulation", True)}
    >>> basis = Basis(RuleSet("", "", "", bounds), Orders("", {}, {}), datetime.date(2026, 3, 2))
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> known = Tolerance((850e5, 940e5), None, (480e5, 520e5), (180.0,), (900e5,))
    >>> case = Case(rig, 0, basis, machine, proving_point(rig, 893e5), known, (), (), None)
    >>> [f"{limit.id}: {limit.value:.0f} N" for limit in limits(case) if limit.value is not None]
    ['recoil.hand: 170 N', 'recoil.cautious: 180 N']

    References
    ----------
    `limits.recoil`.
    """
    found: list[Limit] = []
    ends = [_End(case, _bypass_shut(case)) for case in (case, *_high(case))]
    holders = [held_by(branch.tool) for branch in case.rig.branches]
    for number, holder in enumerate(holders, start=1):
        tool = case.rig.branches[number - 1].tool
        comes_out = holder == "hose" or tool.kind == "flexible lance"
        out = _at_worst(case, number, out_at_most(case.rig, number)) if comes_out else []
        if holder == "hand":
            found += _by_hand(case, number, ends)
        elif holder == "hose":
            found += _hose_fed(case, number, [end.case for end in ends], out)
        elif unheld(tool):
            found.append(hand(length_of(*_planned(case, number)), _grip(case, number, "unsaid")))
        if tool.kind == "flexible lance":
            found.append(back_out(*_along(case, number, out, "hand")))
        if case.rig.task.pipe is not None and (holder == "hand" or unheld(tool)):
            found.append(_plug(case, number, "hand" if holder == "hand" else "unsaid"))
    if len(holders) > 1:
        found.append(hands(holders.count("hand"), case.basis.rules.bound("recoil.hands")))
    return unless_rested(found)


def held_by(tool: Tool) -> Literal["hand", "carrier", "machine", "hose"]:
    """Who or what holds a tool, as told or as is usual for its kind. [-]

    Parameters
    ----------
    tool : Tool
        As described. [-]

    Examples
    --------
    >>> held_by(Tool("floor head", 0.012, "none", ()))
    'machine'

    References
    ----------
    docs/job-file.md.
    """
    return tool.held_by or ("hand" if tool.kind == "hand lance" else "machine")


def unheld(tool: Tool) -> bool:
    """Whether nobody said who or what holds a tool that people feed by hand as often as not. [-]

    Parameters
    ----------
    tool : Tool
        As described. [-]

    Examples
    --------
    >>> [unheld(Tool(kind, 0.006, "none", ())) for kind in ("flexible lance", "floor head")]
    [True, False]

    References
    ----------
    Common practice.
    """
    return tool.held_by is None and tool.kind in FED


def hauls(tool: Tool) -> bool:
    """Whether a tool goes into a pipe with its hose behind it. [-]

    Parameters
    ----------
    tool : Tool
        As described. [-]

    Examples
    --------
    >>> [hauls(Tool(kind, 0.006, "none", ())) for kind in ("flexible lance", "hand lance")]
    [True, False]

    References
    ----------
    Common practice.
    """
    return held_by(tool) == "hose" or tool.kind in FED


def braced(case: Case) -> bool:
    """Whether a tool in a hand has less than a fifth of its bound left at the cautious end. [-]

    Parameters
    ----------
    case : Case
        The task, solved. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.assess import assess
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> braced(assess(check(JOB), 0, basis_for(JOB)).case)  # 170 N where 150 N is the bound
    True

    References
    ----------
    Our own convention.
    """
    for number, branch in enumerate(case.rig.branches, start=1):
        bound = _grip(case, number, "hand").own
        most = math.inf if bound is None else (1.0 - ROOM) * bound.value
        if held_by(branch.tool) == "hand" and case.tolerance.recoil[number - 1] > most:
            return True
    return False


@dataclass(frozen=True, slots=True)
class _Knocked:
    """The bypass shut at the planned speed: where it stands (None: nothing described holds it), the relief lifted."""

    stands: State | None
    lifted: State | None


@dataclass(frozen=True, slots=True)
class _End:
    """A task at one end of what is not known, and its bypass knocked shut there."""

    case: Case
    knocked: _Knocked | None


def _high(case: Case) -> list[Case]:
    """The task set again with every unknown inlet at the end that pushes hardest; none where all are known.

    What is planned stays planned: only what goes wrong is judged at this end as well.
    """
    job = case.rig.job
    unknown = unknown_tips(case.rig)
    if not unknown:
        return []
    most = {name: replace(job.tips[name], cd=UNKNOWN_INLET[1]) for name in unknown}
    rig = check(replace(job, tips=dict(job.tips) | most), case.index)
    machine = _set_for(rig)
    if machine is None:
        return []
    found = case.left
    before = None if found is None else check(rig.job, case.index - 1)
    setting = None if before is None else setting_left(before, case.basis.day)
    if before is not None and setting is not None:
        found = left_over(rig, before.task.name, *setting)
    states = trigger_states(rig, machine.levers)
    return [replace(case, rig=rig, machine=machine, states=states, left=found)]


def _at_worst(case: Case, number: int, rigs: Iterable[CheckedRig]) -> list[Case]:
    """The task set again on each rig, with the states that bear on one tool; where it cannot be set its jets are at
    what is planned.
    """
    found = []
    for rig in rigs:
        machine = _set_for(rig) or case.machine
        found.append(replace(case, rig=rig, machine=machine, states=outermost_states(rig, machine.levers, number)))
    return found


def _set_for(rig: CheckedRig) -> Machine | None:
    try:
        machine = machine_for(rig, *target_of(rig))
    except NotServedError:
        return None
    return None if machine.speed is None else machine


def _along(case: Case, number: int, out: list[Case], by: Literal["hand", "hose"]) -> tuple[float, Grip, float]:
    """How hard a tool is pushed out of the pipe with its unknown inlets at their worst, and as planned. [N, N]"""
    pushes = [_planned(one, number)[0] for one in (case, *out)]
    return max(pushes), _grip(case, number, by), pushes[0]


def _plug(case: Case, number: int, by: Literal["hand", "unsaid"]) -> Limit:
    pipe, nozzle = case.rig.task.pipe, case.machine.state.lines[number - 1].nozzle
    assert pipe is not None
    facts = {"blocked": pipe.blocked, "nozzle": nozzle, "whole": piston_push(nozzle, pipe.bore)}
    push = None if pipe.blocked is None else piston_push(pipe.blocked, pipe.bore)
    return piston(push, _grip(case, number, by), facts)


def _by_hand(case: Case, number: int, ends: list[_End]) -> list[Limit]:
    grip = _grip(case, number, "hand")
    if both_ways(case.rig.branches[number - 1]):  # what pulls forward may be less, and what pushes back more
        rigs = (*out_at_most(case.rig, number), *in_at_most(case.rig, number))
        ends = [*ends, *(_End(one, _bypass_shut(one)) for one in _at_worst(case, number, rigs))]
    planned = _planned(case, number)
    push = length_of(*planned)
    found = [hand(push, grip, {"along": planned[0], "across": planned[1]})]
    found.append(cautious(case.tolerance.recoil[number - 1], grip, {"planned": push}))
    if case.fit is not None and case.fit.adopted:
        told = {"planned": push, "day": case.fit.day.isoformat()}
        found.append(fitted(case.fit.recoil[number - 1], grip, told))
    found += _worse_ends([_gone_wrong(end, number, grip, len(ends) > 1) for end in ends])
    operator = case.rig.task.operator
    if operator is not None and operator.lightest is not None:
        found.append(body(push, grip, case.basis.rules.bound("recoil.body_share"), operator.lightest))
    return found


def _gone_wrong(end: _End, number: int, grip: Grip, unknown: bool) -> list[Limit]:
    """Every limit on a fault of a tool in a hand; `unknown`: an inlet of the task is."""
    case, knocked = end.case, end.knocked
    push = length_of(*_planned(case, number))
    found = _kick(case, number, grip, push)
    if knocked is not None:
        relieved = highest_opening(case.rig) is not None
        found.append(bypass_shut(*_at(case, number, knocked.stands, grip, {"planned": push}), relieved=relieved))
    if knocked is not None and knocked.lifted is not None:
        found.append(relief(*_at(case, number, knocked.lifted, grip, {"planned": push})))
    found += _plugged(case, number, grip)
    if len(case.rig.branches) > 1:
        found += _others(case, number, grip, push)
    if case.left is not None:
        before = case.left
        facts = {"gauge": before.gauge, "relief_opens": before.relief_opens, "task": before.task}
        found.append(_as_held(left(before.recoil[number - 1], grip, facts), before))
    return [*found, _worn(case, number, grip, case.tolerance.recoil[number - 1] if unknown else 0.0)]


def _as_held(limit: Limit, before: LeftOver) -> Limit:
    """The limit on what was left on; where nothing holds that, a push within its bound says nothing."""
    if before.held or limit.verdict not in ("within", "not_judged"):
        return limit
    return replace(limit, value=None, verdict="not_judged", missing="unit.relief")


def _worse_ends(ends: list[list[Limit]]) -> list[Limit]:
    """Each limit once, as it is at its worse end."""
    alike: dict[str, list[Limit]] = {}
    for limit in itertools.chain(*ends):
        alike.setdefault(limit.id, []).append(limit)
    return [worse_end(limits) for limits in alike.values()]


def _hose_fed(case: Case, number: int, ends: list[Case], out: list[Case]) -> list[Limit]:
    """`out`: the task where the tool is pushed out of the pipe the hardest."""
    along = _along(case, number, out, "hose")
    return [pull(*along), *_worse_ends([_plugged(one, number, along[1]) for one in (*ends, *out)])]


def _grip(case: Case, number: int, by: Literal["hand", "hose", "unsaid"]) -> Grip:
    branch, rules = case.rig.branches[number - 1], case.basis.rules
    about = f"branch.{number}" if len(case.rig.branches) > 1 else f"tools.{branch.tool_name}"
    bounds = rules.bound("recoil.unsupported"), rules.bound("recoil.supported")
    return Grip(branch.tool_name, about, by, branch.tool.support, *bounds)


def _planned(case: Case, number: int) -> tuple[float, float]:
    return push_of(case.rig, number, case.machine.state.lines[number - 1].nozzle)


def _at(
    case: Case, number: int, state: State | None, grip: Grip, facts: Facts
) -> tuple[float | None, Grip, str, Facts]:
    """What a limit on a fault takes, in a state; without one nothing but a relief device could tell."""
    if state is None:
        return None, grip, "unit.relief", facts
    push = length_of(*push_of(case.rig, number, state.lines[number - 1].nozzle))
    return push, grip, "", {"pump_pressure": state.pump_pressure, **facts}


def _bypass_shut(case: Case) -> _Knocked | None:
    """None where the bypass is shut as planned: a hand-set one, or an unloader."""
    rig, machine = case.rig, case.machine
    kind = rig.job.unit.bypass.kind
    if kind == "unloader" or (kind == "hand-set" and machine.area == 0.0):
        return None
    opens, full = highest_opening(rig), full_flow_pressure(rig)
    state = held_below(rig, Levers(machine.levers.speed), opens)
    lifted = None
    if state is not None and opens is not None and full is not None and state.pump_pressure >= opens < full:
        lifted = reach(rig, "pump_pressure", min(full, SERVED_TO))
    return _Knocked(state, lifted)


def _kick(case: Case, number: int, grip: Grip, planned: float) -> list[Limit]:
    """The line stands without flow, so nothing is lost on the way to the tips until the jet has formed."""
    branch = case.rig.branches[number - 1]
    released = [state for state in case.states if not state.held[number - 1]]
    if branch.tool.release == "none" or not released:
        return []
    standing = [_standing(case, number, state) for state in released]
    known = [pressure for pressure in standing if pressure is not None]
    nozzle = max(known, default=0.0)
    push = length_of(*push_of(case.rig, number, nozzle))
    if branch.tool.release == "dump" and push <= planned:
        return []  # a dumped line has to fill before it kicks
    missing = "unit.relief" if len(known) < len(standing) else ""
    return [kick(push, grip, missing, {"nozzle": nozzle, "planned": planned})]


def _standing(case: Case, number: int, state: TriggerState) -> float | None:
    """Pressure at a tool whose trigger is let go; None: nothing described holds it."""
    rig, bypass, opens = case.rig, case.rig.job.unit.bypass, highest_opening(case.rig)
    branch = rig.branches[number - 1]
    if branch.tool.release == "dump":
        return state.tools[number - 1].inlet if state.pump_pressure is not None else 0.0
    stands = bypass.set if bypass.kind == "unloader" else state.pump_pressure  # an unloader: just before it opened
    if stands is None or (opens is not None and opens < stands):
        stands = opens
    return None if stands is None else stands - rig.water.reference_density * GRAVITY * branch.rise


def _plugged(case: Case, number: int, grip: Grip) -> list[Limit]:
    rows = case.rig.branches[number - 1].rows
    found = []
    if sum(jets.count for jets in rows) > 1:
        single = [_blind(case, number, grip, {row: 1}) for row in range(len(rows))]
        found.append(plugged(*max(single, key=lambda told: told[0])))
    rear = {row: jets.count for row, jets in enumerate(rows) if jets.angle > 0.5 * math.pi}
    if 0 < len(rear) < len(rows):
        found.append(rear_plugged(*_blind(case, number, grip, rear)))
    return found


def _blind(case: Case, number: int, grip: Grip, blind: Mapping[int, int]) -> tuple[float, Grip, str, Facts]:
    """The worse of two: the planned pressure held behind the tips, and the pressure that then stands.

    By hand the relief's full lift bounds it. Of a hose-fed nozzle only the direction is judged, which pressure does not
    change; its push is told at the relief's set point.
    """
    rig, unit = case.rig, case.rig.job.unit
    rows = rig.branches[number - 1].rows
    held = push_of(rig, number, case.machine.state.lines[number - 1].nozzle, plugged=blind)
    area = {(number, row): 1.0 - count / rows[row].count for row, count in blind.items()}
    ceiling = highest_opening(rig) if grip.by == "hose" else full_flow_pressure(rig)
    if unit.bypass.kind == "unloader" and unit.bypass.set is not None:
        ceiling = unit.bypass.set if ceiling is None else min(ceiling, unit.bypass.set)
    state = held_below(rig, case.machine.levers, ceiling, Condition(port_area=area))
    facts: dict[str, object] = {"tip": rows[next(iter(blind))].tip, "count": sum(blind.values()), "held": held}
    stands = held
    if state is not None:
        stands = push_of(rig, number, state.lines[number - 1].nozzle, plugged=blind)
        facts |= {"stands": stands, "pump_pressure": state.pump_pressure}
    if grip.by == "hose":
        return max(held[0], stands[0]), grip, "", facts
    return max(length_of(*held), length_of(*stands)), grip, "" if state is not None else "unit.relief", facts


def _others(case: Case, number: int, grip: Grip, planned: float) -> list[Limit]:
    """The worst over the states in which this trigger stays held and another does not.

    The lowest and the highest push of them tell all, and where the relief lifts, its full flow.
    """

    def push_in(state: TriggerState) -> float:
        return length_of(state.tools[number - 1].along, state.tools[number - 1].across)

    states = [state for state in case.states if state.held[number - 1] and not all(state.held)]
    if not states:
        return []
    states.sort(key=push_in)
    stands = [state for state in states if state.pump_pressure is not None]
    found: list[tuple[float | None, dict[str, object]]] = [
        (push_in(state), _facts_of(state)) for state in stands[:1] + stands[-1:]
    ]
    lifting = [state for state in states if state.pump_pressure is None or state.relief_flow > 0.0]
    if lifting:
        found.append(_lifted(case, number, _let_go(lifting[-1])))
    found.sort(key=lambda one: -math.inf if one[0] is None else -abs(one[0] - planned))
    change = case.basis.rules.bound("recoil.change")
    return [
        worse(
            others(push, planned, grip, change, "" if push is not None else "unit.relief", facts)
            for push, facts in found
        )
    ]


def _facts_of(state: TriggerState) -> dict[str, object]:
    return {"pump_pressure": state.pump_pressure, "relief_opens": state.relief_flow > 0.0, "let_go": _let_go(state)}


def _let_go(state: TriggerState) -> tuple[int, ...]:
    return tuple(number for number, held in enumerate(state.held, start=1) if not held)


def _lifted(case: Case, number: int, let_go: tuple[int, ...]) -> tuple[float | None, dict[str, object]]:
    """Recoil with the relief fully lifted and other tools silent; None: no relief device is described."""
    rig, opens, full = case.rig, highest_opening(case.rig), full_flow_pressure(case.rig)
    if opens is None or full is None:
        return None, {"relief_opens": False, "let_go": let_go}
    rows = [(other, row) for other in let_go for row in range(len(rig.branches[other - 1].rows))]
    silent = Condition(port_area=dict.fromkeys(rows, 0.0))
    at_set, at_full = (
        length_of(*push_of(rig, number, reach(rig, "pump_pressure", end, condition=silent).lines[number - 1].nozzle))
        for end in (min(opens, SERVED_TO), min(full, SERVED_TO))
    )
    return at_full, {"pump_pressure": full, "relief_opens": True, "at_set": at_set, "let_go": let_go}


def _worn(case: Case, number: int, grip: Grip, least: float) -> Limit:
    """The pressure behind the tips is the target's again, and so the push grows as their area does.

    A tip that is worn pushes no less than one that is only not known may: `least`.
    """
    wear = case.basis.rules.bound("recoil.wear")
    if wear is None:
        return worn(None, grip, "rule_set")
    tips = {jets.tip: 1.0 + wear.value for jets in case.rig.branches[number - 1].rows}
    nozzle = case.machine.state.lines[number - 1].nozzle
    push = length_of(*push_of(case.rig, number, nozzle, Condition(tip_area=tips)))
    return worn(max(push, least), grip, "", {"wear": wear.value})
