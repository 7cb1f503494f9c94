"""A task's pressure gauge against what it must show."""

from jetwright.limits.gauge import gauge_error, gauge_relief, gauge_scale
from jetwright.limits.limit import Limit
from jetwright.plan.case import Case
from jetwright.plan.setting import full_flow_pressure


def limits(case: Case) -> list[Limit]:
    """Every limit on the gauge. [-]

    Parameters
    ----------
    case : Case
        The task. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.assess import assess
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> [(limit.id, limit.missing) for limit in limits(assess(check(JOB), 0, basis_for(JOB)).case)]
    [('gauge.scale', 'unit.gauge'), ('gauge.error', 'unit.gauge'), ('gauge.relief', 'unit.gauge')]

    References
    ----------
    docs/rules.md.
    """
    unit, rules, pressure = case.rig.job.unit, case.basis.rules, case.machine.state.pump_pressure
    full_scale = None if unit.gauge is None else unit.gauge.full_scale
    accuracy = None if unit.gauge is None else unit.gauge.accuracy
    return [
        gauge_scale(pressure, full_scale, rules.bound("gauge.steady" if unit.damper else "gauge.pulsating")),
        gauge_error(pressure, full_scale, accuracy, rules.bound("gauge.error")),
        gauge_relief(full_flow_pressure(case.rig), full_scale),
    ]
