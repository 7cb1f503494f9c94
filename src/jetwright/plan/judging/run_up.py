"""A task's way up: its flush, its low-pressure hold and its proving point."""

from jetwright.limits.limit import Limit
from jetwright.limits.run_up import flush_gauge, flush_recoil, gauge_hold, gauge_proving
from jetwright.plan.case import Case
from jetwright.plan.flush import flush_of, flush_opening
from jetwright.plan.run_up import hold_gauge, prove_again, stem_turns


def limits(case: Case) -> list[Limit]:
    """Every limit on the way up. [-]

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
    >>> for limit in limits(assess(check(JOB), 0, basis_for(JOB)).case):
    ...     print(limit.id, limit.verdict)
    recoil.flush within
    gauge.flush within
    gauge.hold within
    gauge.proving not_judged

    References
    ----------
    docs/rules.md.
    """
    flush, rules, target = flush_of(case.rig), case.basis.rules, case.machine.state.pump_pressure
    most = rules.bound("gauge.flush")
    area = None if most is None else flush_opening(case.rig, most.value)
    return [
        flush_recoil(flush.push, rules.bound("recoil.flush"), f"tools.{flush.tool}"),
        flush_gauge(flush.shut, most, area, case.rig.job.unit.bypass.kind, stem_turns(case.rig, area)),
        gauge_hold(hold_gauge(case.rig, target), target, rules.bound("gauge.hold")),
        _proving(case),
    ]


def _proving(case: Case) -> Limit:
    """A gauge whose error nobody knows has no band to be judged by; an opening that no hand can find proves nothing."""
    point, bound, described = case.proving, case.basis.rules.bound("gauge.proving"), case.rig.job.unit.gauge
    error = case.tolerance.gauge_error
    if error is None:
        missing = "unit.gauge" if described is None else "unit.gauge.class"
        return gauge_proving(point.gauge, point.band, bound, missing=missing)
    again = prove_again(case.rig, case.machine, point, case.tolerance, bound)
    coarse = bound is None or error > bound.value * point.gauge
    band = None if again is None else again.band
    return gauge_proving(point.gauge, point.band, bound, band, coarse=coarse, unturned=_unturned(case))


def _unturned(case: Case) -> bool:
    """Whether the point is a part opening of a hand-set bypass whose stem's turns nobody gave."""
    bypass, area = case.rig.job.unit.bypass, case.proving.bypass_area
    return bypass.kind == "hand-set" and bypass.turns is None and 0.0 < area != bypass.full_open_area
