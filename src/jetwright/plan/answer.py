"""What a plan answers for a task: facts in SI, frozen; `report` turns them into tables, JSON and words."""

import datetime
from dataclasses import dataclass, field
from typing import Literal

from jetwright.limits.limit import Limit, Verdict
from jetwright.limits.rules import RuleSet
from jetwright.solve.states import TriggerState


@dataclass(frozen=True, slots=True)
class Setting:
    """What is put on the machine. Speeds [rev/s], pressure [Pa gauge], flows [m³/s], area [m²].

    `pump_speed`, `pump_pressure` and what follows from them are None when the target cannot be had at any speed.
    `opening_pressure` is that of a regulating bypass, `bypass_open_share` area / full-open area.
    """

    pump_speed: float | None
    engine_speed: float | None
    pump_pressure: float | None
    pump_flow: float | None
    bypass: Literal["closed", "part open", "open", "regulating"]
    bypass_flow: float
    bypass_area: float
    bypass_open_share: float | None = None
    opening_pressure: float | None = None


@dataclass(frozen=True, slots=True)
class ProvingPoint:
    """Where the gauge must stand before anyone raises the pressure. Speed [rev/s], area [m²], gauge and band [Pa]."""

    pump_speed: float
    bypass_area: float
    gauge: float
    band: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How well a setting is known, P5 to P95: gauge [Pa] and speed [rev/s] at which the target is truly met; the gauge
    at the proving point [Pa]; the cautious (P95) length of each tool's recoil with the gauge on the target [N], and of
    the pressure behind its tips [Pa].

    gauge_error: of the gauge's class [Pa], None when it is not known; no band is finer than it.
    """

    pump_pressure: tuple[float, float]
    pump_speed: tuple[float, float] | None
    proving: tuple[float, float]
    recoil: tuple[float, ...]
    nozzle: tuple[float, ...]
    gauge_error: float | None = None


@dataclass(frozen=True, slots=True)
class StepAt:
    """One step of an order, solved: speed [rev/s], hole of the bypass [m²], stem turns open, gauge from and to [Pa],
    push of the open hose end [N].

    order: which order it belongs to; id, who, why: of `rig.order.Step`; bypass: "open", "part open", "closed",
    "regulating" or "". None: the step asks nothing of it.
    """

    order: str
    id: str
    who: str
    why: str
    pump_speed: float | None
    bypass: str
    bypass_area: float | None
    turns: float | None
    gauge: tuple[float, float] | None
    push: float | None = None
    facts: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Release:
    """What letting go of every trigger does: gauge [Pa], flow out of the tools' dump ports [m³/s].

    what: a code that `report.wording` phrases: "dump" (the dump port carries it; not zero), "shut_over_valve",
    "shut_idle" (the unloader circulates at idle pressure), "shut_relief" (the relief opens), "stopped_at_pump".
    """

    gauge: float
    gun_flow: float
    what: str
    facts: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What the setting of the task before would do here: gauge [Pa], recoil of each tool [N], relief lifting or not.

    The first line of a change card: speed to start, bypass open, before the tool is touched.
    """

    task: str
    pump_speed: float
    bypass_area: float
    gauge: float
    relief_opens: bool
    recoil: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class RestraintsNeeded:
    """Whip checks and hose shrouds that the rig's joints need, counted from its pieces."""

    whip_checks: int
    shrouds: int


@dataclass(frozen=True, slots=True)
class WaterStock:
    """How long tank and supply last [s]; None: for ever, or the tank is not described. short [m³/s]: what the supply
    does not give."""

    lasts: float | None
    short: float


@dataclass(frozen=True, slots=True)
class Jet:
    """The jets of one port row: each jet's flow [m³/s] and speed [m/s], the tip's bore [m] (None: rated)."""

    tip: str
    count: int
    bore: float | None
    flow: float
    speed: float


@dataclass(frozen=True, slots=True)
class ToolState:
    """One tool: pressures [Pa], flows [m³/s], recoil along and across [N], jet power [W]."""

    branch: int
    tool: str
    inlet: float
    nozzle: float
    flow: float
    leak: float
    recoil: float
    recoil_side: float
    jet_power: float
    jets: tuple[Jet, ...]


@dataclass(frozen=True, slots=True)
class RunItem:
    """One item of a hose run; branch 0 is the main run. Pressures [Pa], speed of the water [m/s]."""

    branch: int
    item: str
    inlet: float
    outlet: float
    speed: float


@dataclass(frozen=True, slots=True)
class Power:
    """Power from water to engine [W]; load is a share; None: the engine is not described."""

    hydraulic: float
    shaft: float
    engine: float
    engine_load: float | None


@dataclass(frozen=True, slots=True)
class Use:
    """Water that leaves the unit, fuel and DEF [m³/s]; None: no engine is described. Water back from the
    bypass [K]; no DEF tank: no DEF.
    """

    water: float
    fuel: float | None
    def_fluid: float | None
    bypass_temperature: float | None


@dataclass(frozen=True, slots=True)
class TakenAs:
    """A fact nobody gave, and what was taken for it.

    key: dotted path in the job file; kind: the quantity's kind, "" for a word or bare ratio; value: SI value or word;
    why: a code that `report.wording` phrases, with its facts.
    """

    key: str
    kind: str
    value: float | str
    why: str
    facts: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reach:
    """The most the unit gives towards a target it cannot meet: bypass shut, top speed.

    stopped: what lets it come no nearer: "speed" (its top speed), "engine", "relief", "pump" (its rating), "served" or
    "bypass" (fully open).
    """

    pump_speed: float
    pump_pressure: float
    nozzle: float
    flow: float
    stopped: str = "speed"


@dataclass(frozen=True, slots=True)
class TaskPlan:
    """The plan of one task; `setting` is what was asked for, also when a limit refuses it.

    density: reference density [kg/m³], by which the mass flows of `states` become flows.
    """

    name: str
    verdict: Verdict
    setting: Setting
    proving_point: ProvingPoint
    tools: tuple[ToolState, ...]
    hose_run: tuple[RunItem, ...]
    power: Power | None
    use: Use | None
    limits: tuple[Limit, ...]
    taken_as: tuple[TakenAs, ...]
    reach: Reach | None = None
    tolerance: Tolerance | None = None
    run_up: tuple[StepAt, ...] = ()
    release: Release | None = None
    states: tuple[TriggerState, ...] = ()
    left: LeftOver | None = None
    restraints: RestraintsNeeded | None = None
    water: WaterStock | None = None
    cures_cut: bool = False
    density: float | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of a whole job, task by task, and the rule set it was judged by."""

    title: str
    rules: RuleSet
    tasks: tuple[TaskPlan, ...]
    day: datetime.date
