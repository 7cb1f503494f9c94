"""People: the length of their lance or nozzle, their ways to stop the jet, the place they stand in, their remote."""

from jetwright.limits.limit import Limit
from jetwright.limits.person import lance, rail, remote, stops, turn
from jetwright.plan.case import Case
from jetwright.plan.judging.recoil import hauls, held_by


def limits(case: Case) -> list[Limit]:
    """Every limit on how this task's people hold and stop the jet. [-]

    Parameters
    ----------
    case : Case
        The task, solved. [-]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.files.rules import rule_set
    >>> from jetwright.plan.answer import Tolerance
    >>> from jetwright.plan.basis import Basis
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for, target_of
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.rig.order import Orders
    >>> basis = Basis(rule_set("eu-generic"), Orders("", {}, {}), datetime.date(2026, 5, 12))
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> known = Tolerance((850e5, 940e5), None, (480e5, 520e5), (180.0,), (900e5,))
    >>> case = Case(rig, 0, basis, machine, proving_point(rig, 893e5), known, (), (), None)
    >>> [f"{limit.id}: {limit.missing}" for limit in limits(case)]
    ['person.lance: tools.gun.length', 'person.stops: task.stops']

    References
    ----------
    `limits.person`; docs/rules.md.
    """
    task, rules = case.rig.task, case.basis.rules
    nozzles: dict[str, float] = {}
    lengths: dict[str, float | None] = {}
    for branch, line in zip(case.rig.branches, case.machine.state.lines, strict=True):
        if branch.tool.kind == "hand lance" and held_by(branch.tool) == "hand":
            nozzles[branch.tool_name] = max(line.nozzle, nozzles.get(branch.tool_name, 0.0))
            lengths[branch.tool_name] = branch.tool.length
    low, high = rules.bound("person.lance"), rules.bound("person.lance_high")
    found = [lance(lengths[name], nozzle, low, high, f"tools.{name}") for name, nozzle in nozzles.items()]
    if task.pipe is not None:
        stiff = {branch.tool_name: branch.tool.length for branch in case.rig.branches if hauls(branch.tool)}
        share = rules.bound("person.turn")
        found += [turn(length, task.pipe.bore, share, f"tools.{name}") for name, length in stiff.items()]
    named = list({way.strip().casefold(): way for way in task.stops}.values())
    found.append(stops(len(named), rules.bound("person.stops"), {"stops": named}))
    operator = task.operator
    if operator is not None and operator.place is not None:
        found.append(rail(operator.place, operator.guard_rail, rules.bound("person.rail")))
    if case.rig.job.unit.remote or task.remote_tested is not None:
        found.append(remote(task.remote_tested))
    return found
