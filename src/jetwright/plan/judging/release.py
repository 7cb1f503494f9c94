"""A task's releases: what each combination of triggers let go does to the rig."""

from jetwright.limits.limit import Limit
from jetwright.limits.release import hold_to_run, relief, way_out
from jetwright.parts.bypass import bypass_flow
from jetwright.parts.nozzle import round_area
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.case import Case
from jetwright.plan.judging.recoil import held_by
from jetwright.plan.setting import full_flow_pressure, relief_set
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND
from jetwright.solve.balance import settle
from jetwright.solve.network import network_of
from jetwright.solve.states import TriggerState
from jetwright.solve.steady import SERVED_TO
from jetwright.water.state import density_of


def limits(case: Case) -> list[Limit]:
    """Every limit on letting go. [-]

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
    >>> [(limit.id, limit.verdict) for limit in limits(assess(check(JOB), 0, basis_for(JOB)).case)]
    [('release.way_out', 'within'), ('release.hold_to_run', 'within'), ('release.relief', 'within')]

    References
    ----------
    docs/rules.md.
    """
    out = _way_out(case)
    return [out, *_hold_to_run(case), _relief(case, case.states[:-1] if out.quantity == "flow" else case.states)]


def _way_out(case: Case) -> Limit:
    rig, last, opening = case.rig, case.states[-1], relief_set(case.rig)
    shut = tuple(n for n, branch in enumerate(rig.branches, start=1) if branch.tool.release == "dry shut-off")
    if rig.job.unit.bypass.kind != "hand-set" or not shut:
        return way_out(last.pump_pressure, opening, described=bool(rig.job.unit.relief))
    opening = min(opening, SERVED_TO)
    at_set = _without_way(case, shut, opening)
    alone = at_set <= 0.0  # here others take it or the hole is wide: counted as if it were knocked shut, nobody else on
    if alone:
        at_set = case.machine.levers.speed * delivered_per_turn(rig.water, rig.pump, opening)
    density, full = rig.water.reference_density, full_flow_pressure(rig)
    facts: dict[str, object] = {
        "tools": shut,
        "opening": opening,
        "flow_at_set": at_set / density,
        "seconds": _squeezed(rig, case.machine.state.pump_pressure, opening) / at_set if at_set > 0.0 else None,
        "bypass_shut": alone,
    }
    if full is not None and not alone:
        facts |= {"full": full, "flow_at_full": max(0.0, _without_way(case, shut, min(full, SERVED_TO))) / density}
    return way_out(last.pump_pressure, opening, at_set / density, facts=facts)


def _without_way(case: Case, shut: tuple[int, ...], at: float) -> float:
    """Mass flow that neither the bypass as it is set nor the tools still held take, at a pump pressure."""
    rig, levers = case.rig, case.machine.levers
    network = network_of(rig, SOUND, shut=shut)
    out = [0.0] * (3 + 2 * len(network.lines))
    settle(
        network.water, network.pump, network.bypass, (), network.pieces, network.main, network.lines, 0.0, 0.0, at, out
    )
    delivered = levers.speed * delivered_per_turn(rig.water, rig.pump, at)
    return delivered - bypass_flow(rig.water, network.bypass, levers.area, at)[0] - out[2]


def _squeezed(rig: CheckedRig, start: float, end: float) -> float:
    """Mass that the hoses take up between two gauge pressures; their walls are taken as stiff, on the cautious side."""
    items = [*rig.main, *(item for branch in rig.branches for item in branch.items)]
    volume = sum(
        round_area(item.piece.bore) * item.piece.length
        + 2.0 * round_area(item.piece.tail_bore) * item.piece.tail_length
        for item in items
    )
    ambient = rig.water.ambient
    return max(0.0, volume * (density_of(rig.water, end + ambient) - density_of(rig.water, start + ambient)))


def _hold_to_run(case: Case) -> list[Limit]:
    bound = case.basis.rules.bound("release.hold_to_run")
    by_hand = {branch.tool_name: branch.tool for branch in case.rig.branches if held_by(branch.tool) == "hand"}
    return [
        hold_to_run(tool.release != "none", bound, about=f"tools.{name}", facts={"tool": name})
        for name, tool in by_hand.items()
    ]


def _relief(case: Case, states: tuple[TriggerState, ...]) -> Limit:
    """Over all states but the one that has no way out at all, which is refused for that."""
    planned = case.states[0].pump_pressure
    described = bool(case.rig.job.unit.relief)
    worst = max(states, key=lambda state: float("inf") if state.pump_pressure is None else state.pump_pressure)
    pressure = worst.pump_pressure
    rises = pressure is None or planned is None or pressure > planned * (1.0 + 1e-9)
    let_go = tuple(number for number, held in enumerate(worst.held, start=1) if not held)
    facts = {"let_go": let_go, "flow": worst.relief_flow / case.rig.water.reference_density, "planned": planned}
    return relief(pressure, relief_set(case.rig), described=described, rises=rises, facts=facts)
