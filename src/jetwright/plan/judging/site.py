"""The place: what the permit has not cleared, what the cleaned object withstands, what comes off it, and everywhere."""

from collections.abc import Sequence

from jetwright.limits.cleaned import stripes, threshold, withstands
from jetwright.limits.hazard import hazards
from jetwright.limits.limit import Limit
from jetwright.plan.answer import JetAtTarget
from jetwright.plan.case import Case
from jetwright.plan.coverage import coverage_of
from jetwright.plan.jet import jets_at_target
from jetwright.rig.description import Cleaned, Hazards


def limits(case: Case) -> list[Limit]:
    """Every limit on the place and the object of this task. [-]

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
    >>> [(limit.id, limit.verdict) for limit in limits(case)][-1]
    ('object.withstands', 'look')

    References
    ----------
    `limits.hazard`, `limits.cleaned`; docs/rules.md.
    """
    told, cleaned = case.rig.task.hazards or Hazards(), case.rig.task.object
    nozzle = max(case.tolerance.nozzle)
    if cleaned is None:
        judged = withstands(nozzle, None, "", "task.object", {})
    else:
        missing = (
            "task.object.withstands" if cleaned.withstands is None else "" if cleaned.source else "task.object.source"
        )
        judged = withstands(nozzle, cleaned.withstands, cleaned.source or "", missing, {"what": cleaned.what})
    place = hazards(told.ignition, told.confined_space, told.live_electrical, told.product)
    jets = jets_at_target(case.rig, case.machine.state)
    comes_off = [] if cleaned is None else _comes_off(case, cleaned, jets, nozzle)
    return [*place, judged, *comes_off, *_stripes(case, jets)]


def _comes_off(case: Case, cleaned: Cleaned, jets: Sequence[JetAtTarget], cautious: float) -> list[Limit]:
    """Whether the weakest jet is strong enough for what is on the object, where somebody said what that takes."""
    if cleaned.threshold is None:
        return []
    lines, arrives = case.machine.state.lines, None
    nozzle = min(line.nozzle for line in lines)
    if jets:
        weakest = min(jets, key=lambda jet: 0.0 if jet.pressure is None else jet.pressure[1])
        nozzle, arrives = lines[weakest.branch - 1].nozzle, weakest.pressure
    return [
        threshold(
            nozzle,
            arrives,
            cleaned.threshold,
            cleaned.withstands,
            cleaned.source or "",
            struck=bool(jets),
            borne=cleaned.withstands is None or cautious <= cleaned.withstands,
            missing="task.jet.standoff" if case.rig.task.jet is None else _aimed(case),
            facts={"what": cleaned.what},
        )
    ]


def _aimed(case: Case) -> str:
    """Key of what would say where jets strike that strike nothing ahead."""
    return "task.pipe" if case.rig.task.pipe is None else f"tools.{case.rig.branches[0].tool_name}.ports"


def _stripes(case: Case, jets: Sequence[JetAtTarget]) -> list[Limit]:
    """Where turns, travel and a track are known."""
    rig, found = case.rig, []
    for cover in coverage_of(rig, case.machine.state, jets):
        if cover.turns is not None and cover.least_turns is not None:
            name = rig.branches[cover.branch - 1].tool_name
            about = f"branch.{cover.branch}" if len(rig.branches) > 1 else f"tools.{name}"
            measured = rig.task.jet is not None and rig.task.jet.footprint is not None
            facts = {"tool": name, "fastest": cover.fastest}
            found.append(stripes(cover.turns, cover.least_turns, about, measured=measured, facts=facts))
    return found
