"""What letting go of every trigger does, the machine left as it is set."""

from collections.abc import Sequence
from typing import Literal

from jetwright.parts.nozzle import jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.answer import Release
from jetwright.plan.setting import Machine
from jetwright.rig.check import CheckedRig
from jetwright.solve.states import TriggerState, triggers_of

What = Literal["dump", "shut_over_valve", "shut_idle", "shut_relief", "stopped_at_pump"]


def release_of(rig: CheckedRig, machine: Machine, states: Sequence[TriggerState]) -> Release:
    """What letting go of every trigger does to the gauge and at the tools. [-]

    The gauge after a dump is never zero: the port holds back what flows through it.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]
    states : Sequence of TriggerState
        Of that setting; the last has every trigger let go. [-]

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for, target_of
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.states import trigger_states
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> let_go = release_of(rig, machine, trigger_states(rig, machine.levers))
    >>> f"{let_go.what}: {let_go.gauge / 1e5:.0f} bar, {60e3 * let_go.gun_flow:.1f} L/min out of the gun"
    'dump: 54 bar, 26.2 L/min out of the gun'

    References
    ----------
    `solve.states.trigger_states`; mass balance at the pump's outlet.
    """
    last = states[-1]
    what = _what(rig, last)
    gauge = last.pump_pressure
    facts: dict[str, object] = {"survives": gauge is not None, "bypass": rig.job.unit.bypass.kind}
    still = tuple(number for number, held in enumerate(last.held, start=1) if held)
    if still and what != "stopped_at_pump":
        facts["still_jetting"] = still
    if gauge is None:
        gauge = triggers_of(rig, machine.levers).machine.ceiling
    return Release(gauge, _out_of_ports(rig, machine, last) if what == "dump" else 0.0, what, facts)


def _what(rig: CheckedRig, last: TriggerState) -> What:
    if all(last.held):
        return "stopped_at_pump"
    if last.unloaded:
        return "shut_idle"
    if last.pump_pressure is None or last.relief_flow > 0.0:
        return "shut_relief"
    let_go = [branch.tool.release for branch, held in zip(rig.branches, last.held, strict=True) if not held]
    return "dump" if "dump" in let_go else "shut_over_valve"


def _out_of_ports(rig: CheckedRig, machine: Machine, last: TriggerState) -> float:
    """What the pump delivers and neither bypass, jets nor leaks take: flow out of the dump ports."""
    assert last.pump_pressure is not None and machine.speed is not None
    flow = machine.speed * delivered_per_turn(rig.water, rig.pump, last.pump_pressure)
    flow -= last.bypass_flow + last.relief_flow
    for branch, tool in zip(rig.branches, last.tools, strict=True):
        flow -= tool.jets + jet_flow(rig.water, branch.leak_area, tool.inlet)[0]
    return flow / rig.water.reference_density
