"""The rig as a crew describes it: frozen, in SI, one class for each table of the job file.

Field names are the job file's keys. Pressures are gauge [Pa], temperatures [K], flows are volumes at the supply's
reference density [m³/s], speeds [rev/s], angles [rad]. A field without a default is required. `None` means the crew
did not say; what is then taken is decided where it is needed and listed under "taken as".
"""

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Annotated, Literal

from jetwright.rig.quantity import Quantity

Pressure = Annotated[float, Quantity("pressure", "Pressure", above=0.0, at_most=400e6, shown="bar")]
Rating = Annotated[float, Quantity("pressure", "Highest pressure it may see", above=0.0, at_most=600e6, shown="bar")]
Flow = Annotated[float, Quantity("flow", "Flow", above=0.0, shown="L/min")]
Aim = Annotated[float, Quantity("pressure", "Pressure", at_least=1e3, at_most=400e6, shown="bar")]
"""Asked for: less is lost in the rounding of an absolute pressure, and no jet."""
AimedFlow = Annotated[float, Quantity("flow", "Flow", at_least=1e-6 / 60.0, shown="L/min")]
"""Asked for: less is no jet."""
Temperature = Annotated[float, Quantity("temperature", "Temperature", at_least=233.15, at_most=353.15, shown="degC")]
Bore = Annotated[float, Quantity("length", "Bore", above=0.0, at_most=0.5, shown="mm")]
Length = Annotated[float, Quantity("length", "Length", above=0.0, at_most=5000.0, shown="m")]
Speed = Annotated[float, Quantity("speed", "Turns in a minute", above=0.0, at_most=200.0, shown="rpm")]
Power = Annotated[float, Quantity("power", "Power", above=0.0, shown="kW")]
Volume = Annotated[float, Quantity("volume", "Volume", above=0.0, shown="L")]
LossK = Annotated[float, Quantity("ratio", "Loss coefficient on the bore", at_least=0.0, at_most=1000.0)]
Share = Annotated[float, Quantity("ratio", "Share", at_least=0.0, at_most=1.0)]
Efficiency = Annotated[float, Quantity("ratio", "Efficiency", above=0.0, at_most=1.0)]
Discharge = Annotated[float, Quantity("ratio", "Discharge coefficient", above=0.0, at_most=1.0)]
Count = Annotated[int, Quantity("count", "How many", at_least=1, at_most=10000)]


Money = Annotated[float, Quantity("ratio", "In the currency of the prices", at_least=0.0, at_most=1e9)]
Percent = Annotated[float, Quantity("percent", "Spread", at_least=0.0, at_most=1.0, shown="%")]
Difference = Annotated[
    float, Quantity("temperature_difference", "Spread of a temperature", at_least=0.0, at_most=30.0, shown="K")
]


@dataclass(frozen=True, slots=True)
class FlowAt:
    """A rated pair: so much flow at such a pressure."""

    flow: float
    pressure: float


Rated = Annotated[FlowAt, Quantity("flow_at", "Flow at a pressure", above=0.0, shown="L/min")]


@dataclass(frozen=True, slots=True)
class SupplyHose:
    """The hose between the water source and the unit; with it the supply's pressure is that at the source."""

    bore: Bore
    length: Length


@dataclass(frozen=True, slots=True)
class Hydrant:
    """A flow test of the hydrant: pressure with nothing drawn, and what was left of it at a flow."""

    static: Annotated[float, Quantity("pressure", "Pressure with nothing drawn", above=0.0, at_most=5e6, shown="bar")]
    pressure: Annotated[float, Quantity("pressure", "Pressure at the flow", at_least=0.0, at_most=5e6, shown="bar")]
    flow: Flow


@dataclass(frozen=True, slots=True)
class Supply:
    """The water that comes: pressure at the unit's inlet (or at the source) at this flow, and its temperature."""

    pressure: Annotated[float, Quantity("pressure", "Supply pressure", at_least=0.0, at_most=5e6, shown="bar")]
    flow: Flow
    temperature: Annotated[
        float, Quantity("temperature", "Supply temperature", at_least=273.15, at_most=333.15, shown="degC")
    ]
    hose: SupplyHose | None = None
    filter: (
        Annotated[float, Quantity("length", "Opening of the finest filter", above=0.0, at_most=1e-3, shown="um")] | None
    ) = None
    hydrant: Hydrant | None = None


@dataclass(frozen=True, slots=True)
class Engine:
    """The engine at full load, from its lowest working speed up; without it engine limits are not judged."""

    power: tuple[tuple[Speed, Power], ...]
    fuel_rate: Annotated[float, Quantity("fuel_rate", "Fuel for a unit of work", above=0.0, shown="g/kWh")] | None = (
        None
    )
    fuel_tank: Volume | None = None
    def_tank: Volume | None = None
    auxiliary: Annotated[float, Quantity("power", "Fan, charge pump, alternator", at_least=0.0, shown="kW")] = 0.0


@dataclass(frozen=True, slots=True)
class Drive:
    """How the engine turns the pump: at a free ratio (hydrostatic) or a fixed one (direct)."""

    kind: Literal["hydrostatic", "direct"]
    efficiency: Efficiency | None = None
    top_ratio: Annotated[float, Quantity("ratio", "Most pump turns for an engine turn", above=0.0)] | None = None
    ratio: Annotated[float, Quantity("ratio", "Engine turns for a pump turn", above=0.0)] | None = None


@dataclass(frozen=True, slots=True)
class Kit:
    """A plunger size the pump can be fitted with, and the pressure it may then see."""

    plunger_diameter: Bore
    rating: Rating


@dataclass(frozen=True, slots=True)
class Measured:
    """One reading of a pump: so much flow at such a speed and pressure."""

    speed: Speed
    pressure: Pressure
    flow: Flow


@dataclass(frozen=True, slots=True)
class Pump:
    """The plunger pump, by its geometry or by the flow its plate gives for a turn."""

    top_speed: Speed
    rating: Rating
    start_speed: Speed | None = None
    plungers: Annotated[int, Quantity("count", "Plungers", at_least=1, at_most=12)] | None = None
    plunger_diameter: Bore | None = None
    kit: str | None = None
    stroke: Annotated[float, Quantity("length", "Stroke", above=0.0, at_most=2.0, shown="mm")] | None = None
    flow_per_turn: (
        Annotated[float, Quantity("volume", "Delivered in a turn at the rating", above=0.0, shown="L")] | None
    ) = None
    rod_load: Annotated[float, Quantity("force", "Highest rod load", above=0.0, shown="kN")] | None = None
    clearance: Annotated[float, Quantity("ratio", "Clearance / swept volume", at_least=0.0, at_most=10.0)] | None = None
    slip: Annotated[float, Quantity("ratio", "Share of swept volume lost", at_least=0.0, at_most=0.5)] | None = None
    efficiency: Efficiency | None = None
    measured: tuple[Measured, ...] = ()


@dataclass(frozen=True, slots=True)
class Bypass:
    """The way past the tool at the pump's outlet, before every hose."""

    kind: Literal["hand-set", "regulating", "unloader"]
    returns_to: Literal["tank", "suction", "ground"]
    full_open_area: Annotated[float, Quantity("area", "Hole when fully open", above=0.0, shown="mm2")] | None = None
    turns: Annotated[float, Quantity("ratio", "Stem turns from shut to open", above=0.0)] | None = None
    accumulation: Annotated[float, Quantity("ratio", "Rise from opening to full flow", at_least=0.0, at_most=1.0)] = (
        0.10
    )
    full_flow: Flow | None = None
    spill: Annotated[float, Quantity("ratio", "Share of flow spilt for control", at_least=0.0, at_most=0.5)] = 0.05
    set: Pressure | None = None
    idle_pressure: Pressure | None = None
    reset: Pressure | None = None
    loop: Annotated[float, Quantity("volume", "Water between return and pump inlet", above=0.0, shown="L")] | None = (
        None
    )


@dataclass(frozen=True, slots=True)
class Relief:
    """A relief valve or a rupture disc; sealed, set in the yard, and never counted on by a plan."""

    set: Rating
    kind: Literal["valve", "disc"] = "valve"
    accumulation: Annotated[float, Quantity("ratio", "Rise from set to full flow", above=0.0, at_most=1.0)] | None = (
        None
    )
    tolerance: Annotated[float, Quantity("ratio", "Burst tolerance", at_least=0.0, at_most=0.5)] = 0.10
    reseat: Annotated[float, Quantity("ratio", "Closes at this share of set", above=0.0, at_most=1.0)] | None = None
    full_flow: Flow | None = None
    tested: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class Gauge:
    """The pressure gauge at the pump."""

    full_scale: Rating
    accuracy: Annotated[float, Quantity("ratio", "Accuracy class", above=0.0, at_most=10.0)] | None = field(
        default=None, metadata={"key": "class"}
    )
    division: Pressure | None = None


@dataclass(frozen=True, slots=True)
class Tank:
    """The unit's own water tank."""

    volume: Volume
    usable: Volume | None = None
    hottest: Temperature | None = None


@dataclass(frozen=True, slots=True)
class Suction:
    """The line from the unit's tank, or from its inlet where it has none, to the pump."""

    bore: Bore
    length: Length
    loss_k: LossK = 0.0
    level: Annotated[float, Quantity("length", "Water above the pump", at_least=-8.0, at_most=30.0, shown="m")] = 0.0
    boost: Annotated[float, Quantity("pressure", "Booster's pressure", above=0.0, at_most=2e6, shown="bar")] | None = (
        None
    )
    needed: (
        Annotated[float, Quantity("length", "Suction head the plate asks for", above=0.0, at_most=100.0, shown="m")]
        | None
    ) = None
    rod_ratio: Annotated[float, Quantity("ratio", "Crank radius / rod length", above=0.0, at_most=0.5)] = 0.2
    outlet: Bore | None = None
    cover: Annotated[float, Quantity("length", "Water above the tank's outlet", at_least=0.0, shown="m")] | None = None


@dataclass(frozen=True, slots=True)
class Unit:
    """The pump unit: engine, drive, pump and what sits at its outlet."""

    name: str
    drive: Drive
    pump: Pump
    bypass: Bypass
    shows: tuple[Literal["pump speed", "engine speed"], ...] = ()
    damper: bool = False
    engine: Engine | None = None
    kits: Mapping[str, Kit] = field(default_factory=lambda: MappingProxyType({}))
    relief: tuple[Relief, ...] = ()
    gauge: Gauge | None = None
    tank: Tank | None = None
    suction: Suction | None = None
    remote: bool = False


@dataclass(frozen=True, slots=True)
class Tails:
    """The end fittings of a hose piece, one at each end, where they are narrower than the hose."""

    bore: Bore
    length: Length


@dataclass(frozen=True, slots=True)
class Dump:
    """A port that lets the water out at low pressure when the trigger is let go."""

    bore: Bore
    cd: Discharge = 0.7


@dataclass(frozen=True, slots=True)
class Hose:
    """One piece of hose, as its tag says."""

    bore: Bore
    length: Length
    rating: Rating | None = None
    tested: datetime.date | None = None
    count: Count = 1
    traceable: bool | None = None
    roughness: Annotated[float, Quantity("length", "Roughness", at_least=0.0, at_most=0.01, shown="mm")] | None = None
    tails: Tails | None = None
    mass: Annotated[float, Quantity("mass", "Of the piece, empty", above=0.0, at_most=5000.0, shown="kg")] | None = None


@dataclass(frozen=True, slots=True)
class Fitting:
    """A manifold, swivel, valve or pedal: whatever stands in a hose run and is no hose."""

    bore: Bore
    loss_k: LossK = 0.0
    rating: Rating | None = None
    dump: Dump | None = None


@dataclass(frozen=True, slots=True)
class Tip:
    """A nozzle insert, by bore and inlet, by a measured coefficient, or as a chart prints it."""

    bore: Bore | None = None
    inlet: Literal["sharp", "rounded", "cone", "unknown"] | None = None
    cd: Discharge | None = None
    rated: Rated | None = None
    count: Count = 1
    life: Annotated[float, Quantity("time", "Trigger time that a tip lasts", above=0.0, shown="h")] | None = None
    price: Money | None = None


@dataclass(frozen=True, slots=True)
class Port:
    """Equal tips of a tool: which, how many, and where they point."""

    tip: str
    count: Count = 1
    angle: Annotated[
        float, Quantity("direction", "From the tool's forward axis", at_least=0.0, at_most=math.pi, shown="deg")
    ] = 0.0
    radius: Annotated[float, Quantity("length", "Offset from the axis", at_least=0.0, at_most=5.0, shown="mm")] = 0.0
    skew: Annotated[
        float, Quantity("angle", "Tangential angle", at_least=-math.pi / 2, at_most=math.pi / 2, shown="deg")
    ] = 0.0


@dataclass(frozen=True, slots=True)
class Tool:
    """What carries the tips, who or what holds it, and what letting go does."""

    kind: Literal["hand lance", "flexible lance", "pipe nozzle", "rotating head", "floor head", "tank head", "other"]
    bore: Bore
    release: Literal["dump", "dry shut-off", "none"]
    ports: tuple[Port, ...]
    held_by: Literal["hand", "carrier", "machine", "hose"] | None = None
    holder: str | None = None
    support: Literal["none", "body rest"] | None = None
    length: Length | None = None
    rating: Rating | None = None
    loss_k: LossK = 0.0
    dump: Dump | None = None
    leak: Rated | None = None
    turns: (
        Annotated[float, Quantity("speed", "Turns of a rotating head", above=0.0, at_most=500.0, shown="rpm")] | None
    ) = None


@dataclass(frozen=True, slots=True)
class Target:
    """What the task asks for: exactly one of the three pressures and flows."""

    nozzle_pressure: Aim | None = None
    pump_pressure: Aim | None = None
    flow: AimedFlow | None = None
    at: Annotated[int, Quantity("count", "The branch it is for", at_least=1, at_most=8)] = 1


@dataclass(frozen=True, slots=True)
class Cleaned:
    """What is cleaned (`object` in the job file), and what it withstands."""

    what: str
    withstands: Pressure | None = None
    source: str | None = None
    threshold: Pressure | None = None


@dataclass(frozen=True, slots=True)
class Operator:
    """Who holds the tool, as far as it bears on what they may be asked to hold."""

    lightest: (
        Annotated[float, Quantity("mass", "The lightest operator", above=0.0, at_most=300.0, shown="kg")] | None
    ) = None
    place: Literal["ground", "platform", "scaffold", "ladder"] | None = None
    guard_rail: bool | None = None


@dataclass(frozen=True, slots=True)
class Hazards:
    """Present and not cleared by the permit: yes blocks the job, no is cleared or not there, unsaid is not judged."""

    ignition: bool | None = None
    confined_space: bool | None = None
    live_electrical: bool | None = None
    product: bool | None = None


Rise = Annotated[float, Quantity("length", "Tool above the pump", at_least=-500.0, at_most=500.0, shown="m")]


@dataclass(frozen=True, slots=True)
class Branch:
    """One of several tools behind a manifold, with its own hose run."""

    tool: str
    hose_run: tuple[str, ...] = ()
    rise: Rise | None = None


@dataclass(frozen=True, slots=True)
class Goal:
    """How clean it must be, as a published grade, and in which edition's words."""

    grade: str
    edition: str | None = None


@dataclass(frozen=True, slots=True)
class Free:
    """The free jet: how far it flies, how the water comes to the tip, how wide a track it was seen to clean."""

    standoff: Annotated[
        float, Quantity("length", "Tip to surface; no distance to a person", above=0.0, at_most=1.0, shown="mm")
    ]
    approach: Literal["straight", "bend"] | None = None
    footprint: (
        Annotated[float, Quantity("length", "Track it was seen to clean", above=0.0, at_most=0.5, shown="mm")] | None
    ) = None


@dataclass(frozen=True, slots=True)
class Travel:
    """How fast the tool is moved on: a length, and the time it takes."""

    length: Annotated[float, Quantity("length", "How far it is moved on", above=0.0, at_most=5000.0, shown="m")]
    time: Annotated[float, Quantity("time", "For that length", above=0.0, shown="min")]
    overlap: Annotated[
        float, Quantity("percent", "Overlap of tracks and passes", at_least=0.0, at_most=0.9, shown="%")
    ] = 0.2
    at_work: (
        Annotated[float, Quantity("percent", "Share of the time it moves", above=0.0, at_most=1.0, shown="%")] | None
    ) = None


@dataclass(frozen=True, slots=True)
class Extent:
    """How much there is to clean: a length, or an area with its width, so many times."""

    length: Length
    width: Length | None = None
    count: Count = 1


@dataclass(frozen=True, slots=True)
class Pipe:
    """The pipe or tube a hose-fed nozzle pulls into or a lance is pushed into."""

    bore: Annotated[float, Quantity("length", "Bore of the pipe", above=0.0, at_most=10.0, shown="mm")]
    length: Length | None = None
    climb: Annotated[
        float, Quantity("length", "Far end above the near one", at_least=-500.0, at_most=500.0, shown="m")
    ] = 0.0
    bends: tuple[Annotated[float, Quantity("angle", "Of a bend", above=0.0, at_most=math.pi, shown="deg")], ...] = ()
    friction: Annotated[float, Quantity("ratio", "Hose on pipe", above=0.0, at_most=2.0)] | None = None
    flooded: bool = False
    blocked: Annotated[float, Quantity("pressure", "Behind a plug", above=0.0, at_most=400e6, shown="bar")] | None = (
        None
    )


@dataclass(frozen=True, slots=True)
class Times:
    """Time beside the trigger time, and how many people: setting up, the change from the task before, waiting."""

    setup: Annotated[float, Quantity("time", "Setting up", at_least=0.0, shown="min")] = 0.0
    change: Annotated[float, Quantity("time", "Change from the task before", at_least=0.0, shown="min")] = 0.0
    standby: Annotated[float, Quantity("time", "Waiting", at_least=0.0, shown="min")] = 0.0
    crew: Annotated[int, Quantity("count", "People", at_least=1, at_most=100)] | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to clean with one rig and one target."""

    name: str
    target: Target
    hose_run: tuple[str, ...] = ()
    tool: str | None = None
    branches: tuple[Branch, ...] = ()
    rise: Rise = 0.0
    object: Cleaned | None = None
    planned_time: Annotated[float, Quantity("time", "Trigger time", above=0.0, shown="h")] | None = None
    operator: Operator | None = None
    hazards: Hazards | None = None
    stops: tuple[str, ...] = ()
    remote_tested: bool | None = None
    goal: Goal | None = None
    jet: Free | None = None
    travel: Travel | None = None
    extent: Extent | None = None
    pipe: Pipe | None = None
    times: Times | None = None


@dataclass(frozen=True, slots=True)
class Restraints:
    """What the crew has against whipping hoses."""

    whip_checks: Annotated[int, Quantity("count", "Whip checks at hand", at_least=0, at_most=10000)] | None = None
    shrouds: Annotated[int, Quantity("count", "Hose shrouds at hand", at_least=0, at_most=10000)] | None = None


@dataclass(frozen=True, slots=True)
class Waste:
    """Where the used water goes: how much the tank holds, and what share of the water comes back to it."""

    volume: Volume | None = None
    share: Annotated[float, Quantity("percent", "Share that comes back", at_least=0.0, at_most=1.0, shown="%")] = 1.0


@dataclass(frozen=True, slots=True)
class Prices:
    """What things cost, in one currency: the user's own; what is not given is not counted, and said."""

    currency: str = "EUR"
    water_m3: Money | None = None
    waste_m3: Money | None = None
    fuel_l: Money | None = None
    def_l: Money | None = None
    crew_h: Money | None = None
    unit_h: Money | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What a gauge showed with the bypass shut, or as open as the plan has it, and what else was measured with it.

    tips: whether they were new, gauged with a pin, or nobody knows; flow: drum and stopwatch; pin: bore by a pin gauge;
    flush: the gauge at that speed with the tips off; taken_with: rig of that day, as `jetwright fit` writes it.
    """

    task: str
    day: datetime.date
    pump_speed: Speed
    gauge: Pressure
    bypass_area: Annotated[float, Quantity("area", "Hole of the bypass", at_least=0.0, shown="mm2")] = 0.0
    tips: Literal["new", "pinned", "unknown"] = "unknown"
    flow: Flow | None = None
    pin: Bore | None = None
    flush: Pressure | None = None
    taken_with: str | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """One standard deviation of each input; None: the common one."""

    cd: Percent | None = None
    tip_bore: Percent | None = None
    hose_bore: Percent | None = None
    roughness: Annotated[float, Quantity("ratio", "Roughness, a factor", at_least=1.0, at_most=10.0)] | None = None
    pump_flow: Percent | None = None
    speed: Percent | None = None
    supply_temperature: Difference | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """A job file: the supply, the unit, what the crew owns and the tasks of a shift."""

    title: str
    supply: Supply
    unit: Unit
    task: tuple[Task, ...]
    hoses: Mapping[str, Hose] = field(default_factory=lambda: MappingProxyType({}))
    fittings: Mapping[str, Fitting] = field(default_factory=lambda: MappingProxyType({}))
    tips: Mapping[str, Tip] = field(default_factory=lambda: MappingProxyType({}))
    tools: Mapping[str, Tool] = field(default_factory=lambda: MappingProxyType({}))
    rule_set: str = "eu-generic"
    altitude: Annotated[float, Quantity("length", "Altitude", at_least=-500.0, at_most=1900.0, shown="m")] = 0.0
    air_temperature: Temperature = 293.15
    yard: str | None = None
    spread: Spread | None = None
    site_rules: str | None = None
    date: datetime.date | None = None
    restraints: Restraints | None = None
    waste: Waste | None = None
    prices: Prices | None = None
    reading: tuple[Reading, ...] = ()
