"""What a plan answers for a task: facts in SI, frozen; `report` turns them into tables, JSON and words."""

from dataclasses import dataclass, field
from typing import Literal

from jetwright.limits.limit import Limit, Verdict


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
    """Where the gauge must stand before anyone raises the pressure. Speed [rev/s], area [m²], gauge [Pa]."""

    pump_speed: float
    bypass_area: float
    gauge: float


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
    """The most the unit gives towards a target it cannot meet: bypass shut, top speed."""

    pump_speed: float
    pump_pressure: float
    nozzle: float
    flow: float


@dataclass(frozen=True, slots=True)
class TaskPlan:
    """The plan of one task; `setting` is what was asked for, also when a limit refuses it."""

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


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of a whole job, task by task, and the rule set it was judged by."""

    title: str
    rule_set: str
    rule_set_version: str
    tasks: tuple[TaskPlan, ...]
