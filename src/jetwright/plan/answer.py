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
    """What the setting of the task before would do here: gauge [Pa], recoil of each tool at worst [N], relief lifting.

    The first line of a change card: speed to start, bypass open, before the tool is touched. fastest: the speed that is
    reckoned with, the planned one's upper end [rev/s]; held: False where nothing described holds the pressure, which
    then lies above this gauge; nozzle: behind each tool's tips [Pa]; when each push comes: "alone" (the others let go),
    "kick" (as it is pressed), else ""; valve: the bypass kind, "hand-set" where a hand opens it.
    """

    task: str
    pump_speed: float
    bypass_area: float
    gauge: float
    relief_opens: bool
    recoil: tuple[float, ...]
    fastest: float = 0.0
    held: bool = True
    nozzle: tuple[float, ...] = ()
    when: tuple[str, ...] = ()
    valve: str = "hand-set"


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


Span = tuple[float, float, float]
"""Low end, middle and high end of what is only estimated."""


@dataclass(frozen=True, slots=True)
class InletSide:
    """What the pump finds at its inlet: gauge pressure [Pa]; heads [m]; speed in the suction line [m/s].

    npsh: what is available after the acceleration head, None without a suction line described; constant: C of the
    acceleration head [-]; cover_needed: water needed above the tank's outlet against a vortex, None where it is not
    fed from a tank; hydrant: flow that the tested hydrant gives at the planned inlet pressure [m³/s].
    """

    pressure: float
    speed: float | None = None
    npsh: float | None = None
    needed: float | None = None
    acceleration_head: float | None = None
    constant: float | None = None
    cover: float | None = None
    cover_needed: float | None = None
    hydrant: float | None = None


@dataclass(frozen=True, slots=True)
class JetAtTarget:
    """What a jet of one port row does where it strikes: stand-off [m], power [W], force [N], pressure [Pa], width [m].

    An estimate with its spread; never a distance to a person. estimated: whether the width is one (False: measured).
    pressure, and width unless it was measured: None where the jet, by the estimate, no longer cleans; it still wounds.
    ordinary: the water comes straight, but the tip is no good nozzle.
    """

    branch: int
    tip: str
    count: int
    standoff: float
    power: float
    force: float
    pressure: Span | None
    width: Span | None
    estimated: bool = True
    ordinary: bool = False


@dataclass(frozen=True, slots=True)
class Coverage:
    """How a tool covers a surface: speeds [m/s], turns [rev/s], advance a turn [m], width [m].

    least_turns: below it stripes stay at the planned travel; fastest: travel above which stripes stay at the planned
    turns; torque [N m] at stall and free_turns without any brake; energy [J/m²]; rate [m²/s], or [m/s] where `along`.
    None: what it needs was not said. striped: stripes stay, by the track that was measured, and no rate is told.
    """

    branch: int
    tracks: int
    width: float | None = None
    travel: float | None = None
    turns: float | None = None
    advance: float | None = None
    least_turns: float | None = None
    fastest: float | None = None
    surface_speed: float | None = None
    torque: float | None = None
    free_turns: float | None = None
    energy: float | None = None
    rate: float | None = None
    along: bool = False
    striped: bool = False


@dataclass(frozen=True, slots=True)
class Pull:
    """A hose-fed tool or a lance in a tube: pull into the pipe, push on its wall [N], reach [m], push of a plug [N].

    friction: low, middle and high end taken; reach: at the high, middle and low friction, None where the hose's mass
    is not known, never more than `hose`, what can go in behind the tool [m]; needed: length of the pipe [m]; enough:
    whether even the least reach covers it; piston: push of a plugged pipe [N] at `blocked` [Pa], which is 1 bar when
    nobody said, and then `most` [N] with all that stands behind the tips, of a tool that a hand holds or may feed;
    ends: least and most pull by inlets that nobody knows [N], None: all are known.
    """

    branch: int
    pull: float
    wall: float
    friction: Span
    reach: Span | None
    needed: float | None
    enough: bool | None
    piston: float
    blocked: float
    most: float | None = None
    hose: float | None = None
    ends: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Usage:
    """What a task uses: times [s], volumes [m³], CO2 [kg], crew [person s].

    trigger: time with the jets on, None: not planned, and only rates are known; total: with set-up, change and
    standby; waste_fills: how often the waste tank fills; fuel_lasts, def_lasts, water_lasts: what the tanks hold out
    for, trigger held [s]; worn: tips by name and how many of each are used up; by_extent: what the extent takes at its
    rate [s]; missing: keys for want of which an extent gives no time.
    """

    trigger: float | None
    total: float | None = None
    water: float | None = None
    waste: float | None = None
    waste_fills: float | None = None
    fuel: float | None = None
    def_fluid: float | None = None
    co2: float | None = None
    crew: float | None = None
    fuel_lasts: float | None = None
    def_lasts: float | None = None
    water_lasts: float | None = None
    worn: tuple[tuple[str, float], ...] = ()
    by_extent: float | None = None
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line: what ("water", "waste", "fuel", "def", "crew", "unit", "tip"), how much in its price's unit, money.

    about: the tip's name.
    """

    what: str
    amount: float
    price: float
    money: float
    about: str = ""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a task costs by the user's own prices; missing: keys of prices and facts that would add a line."""

    currency: str
    lines: tuple[CostLine, ...]
    total: float
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Explanation:
    """One thing that alone would explain a reading: what ("pump", "tip", "hose", "gauge"), its share from, middle, to.

    alive: whether nothing measured contradicts it; against: what does ("range", "flow", "pin", "flush", "new");
    pump_speed [rev/s] that meets the target and recoil of each tool there [N] (low, middle and high end of the share);
    flow [m³/s], flush gauge [Pa]: what a further reading would then show.
    """

    what: str
    share: Span
    alive: bool
    pump_speed: Span | None = None
    recoil: tuple[Span, ...] = ()
    flow: float | None = None
    flush: float | None = None
    against: str = ""


@dataclass(frozen=True, slots=True)
class Fit:
    """A reading at the proving point, and what it says about this rig.

    expected, seen: gauge [Pa]; ratio: seen / expected, both None where it is not solved; adopted: within 10 % and still
    of this rig; expired: what has changed since ("tip", "hose", "kit", "gauge", "shift"), or that the rig as planned
    could not be there ("unserved"); day_alone: nothing says with which rig it was taken; pump_speed: from the middle,
    with its ends [rev/s]; recoil of each tool: the worst of every explanation alive, never below what was planned [N];
    next: the reading that splits the explanations best ("flow", "pin", "flush", "").
    """

    day: datetime.date
    pump_speed_read: float
    bypass_area: float
    expected: float | None
    seen: float
    ratio: float | None
    explanations: tuple[Explanation, ...]
    adopted: bool
    expired: tuple[str, ...] = ()
    pump_speed: Span | None = None
    recoil: tuple[float, ...] = ()
    next: str = ""
    day_alone: bool = False


@dataclass(frozen=True, slots=True)
class GoalAnswer:
    """A published grade in its edition's words, and what each edition calls the planned pressure.

    grade, edition: None when the task has no goal; says: key of the grade's words; nearest: grade of the other system;
    classes: edition, term and whether its border was read.
    """

    grade: str | None
    edition: str | None
    says: str
    nearest: str
    source: str
    verified: bool
    classes: tuple[tuple[str, str, bool], ...]


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
    inlet: InletSide | None = None
    jets: tuple[JetAtTarget, ...] = ()
    coverage: tuple[Coverage, ...] = ()
    pulls: tuple[Pull, ...] = ()
    usage: Usage | None = None
    cost: Cost | None = None
    goal: GoalAnswer | None = None
    fit: Fit | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of a whole job, task by task, and the rule set it was judged by."""

    title: str
    rules: RuleSet
    tasks: tuple[TaskPlan, ...]
    day: datetime.date
