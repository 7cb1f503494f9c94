"""One task as far as it is solved: what the topics of `plan.judging` take their facts from."""

from dataclasses import dataclass

from jetwright.plan.answer import Fit, LeftOver, ProvingPoint, StepAt, Tolerance
from jetwright.plan.basis import Basis
from jetwright.plan.setting import Machine
from jetwright.rig.check import CheckedRig
from jetwright.solve.states import TriggerState


@dataclass(frozen=True, slots=True)
class Case:
    """A task's rig with its setting, tolerance, proving point, trigger states (first: all held; last: all let go),
    solved steps, what the setting of the task before would do to it (None: it is the first) and what a reading says
    (None: there is none).
    """

    rig: CheckedRig
    index: int
    basis: Basis
    machine: Machine
    proving: ProvingPoint
    tolerance: Tolerance
    states: tuple[TriggerState, ...]
    steps: tuple[StepAt, ...]
    left: LeftOver | None
    fit: Fit | None = None
