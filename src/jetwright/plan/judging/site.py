"""The place: what the permit has not cleared, and what the cleaned object withstands."""

from jetwright.limits.cleaned import withstands
from jetwright.limits.hazard import hazards
from jetwright.limits.limit import Limit
from jetwright.plan.case import Case
from jetwright.rig.description import Hazards


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
    return [*hazards(told.ignition, told.confined_space, told.live_electrical, told.product), judged]
