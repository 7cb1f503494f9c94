"""The one way from a rig description to a rig that can be solved: every cross-check, then the numbers."""

import datetime
from dataclasses import dataclass

from jetwright.errors import Problem, RigError
from jetwright.parts.engine import ambient_pressure, derating
from jetwright.parts.hose import Piece
from jetwright.parts.nozzle import DISCHARGE, jet_area, round_area
from jetwright.parts.pump import CLEARANCE, EFFICIENCY, SLIP, Pump, fit_slip, swept_volume, volumetric_efficiency
from jetwright.rig.description import Branch, Dump, Fitting, Hose, Job, Reading, Task, Tip, Tool, Unit
from jetwright.water.state import Water, water_at

RULE_SETS = ("eu-generic", "uk", "no", "de", "us", "au")
MOST_ITEMS = 100  # hoses and fittings of a task; more are a slip of the keys
ROUGHNESS = 1e-5  # m, taken for a hose that gives none
SLOWEST_READ = 0.9  # of start speed: below it nobody runs a pump under load
PIN_NEAR = 1.5  # times its bore: a tip gauged further off is another tip, or a slip of the keys
FASTEST_TRAVEL = 5.0  # m/s; nothing that cleans is moved on faster (common practice)
Key = tuple[str | int, ...]

_MADE_HERE = object()


@dataclass(frozen=True, slots=True)
class Item:
    """One item of a hose run: its name, its numbers, and Cd × area of its dump port [m²], 0 when it has none."""

    name: str
    piece: Piece
    dump_area: float = 0.0


@dataclass(frozen=True, slots=True)
class JetRow:
    """One row of a tool's ports: Cd × area of one jet [m²], bore [m] (None: rated), angles [rad]."""

    tip: str
    count: int
    bore: float | None
    area: float
    angle: float
    skew: float


@dataclass(frozen=True, slots=True)
class CheckedBranch:
    """A tool and its own hose run.

    Areas are Cd × area [m²]; rise [m]; dump_item counts the items of main and own run, -1: at the tool.
    """

    tool_name: str
    tool: Tool
    items: tuple[Item, ...]
    rise: float
    rows: tuple[JetRow, ...]
    leak_area: float
    dump_area: float
    dump_item: int


@dataclass(frozen=True, slots=True)
class CheckedRig:
    """A rig of one task that has passed `check`, the only maker; what the solver accepts. SI throughout.

    A single tool has its whole hose run in its one branch; with branches, `main` is the run up to the manifold.
    """

    job: Job
    task: Task
    water: Water
    pump: Pump
    start_speed: float
    top_speed: float
    main: tuple[Item, ...]
    branches: tuple[CheckedBranch, ...]
    supply_hose: Piece | None
    engine_factor: float
    made_by: object

    def __post_init__(self) -> None:
        if self.made_by is not _MADE_HERE:
            raise TypeError("a CheckedRig is made by rig.check.check alone")


def problems_of(job: Job) -> list[Problem]:
    """Everything in a description that does not fit together, by key. [-]

    Parameters
    ----------
    job : Job
        As described; each value is taken to be within its own range. [-]

    Examples
    --------
    >>> from jetwright.rig.description import Bypass, Drive, Pump, Supply, Target, Task, Unit
    >>> unit = Unit("Unit 9", Drive("direct"), Pump(top_speed=8.0, rating=1e8), Bypass("hand-set", "tank"))
    >>> job = Job("Test", Supply(3e5, 2e-3, 288.15), unit, (Task("One", Target(nozzle_pressure=5e7)),))
    >>> for problem in problems_of(job):
    ...     print(problem.key, problem.code)
    ('unit', 'drive', 'ratio') missing_key
    ('unit', 'pump', 'plungers') missing_pump_size
    ('unit', 'pump', 'start_speed') missing_key
    ('unit', 'bypass', 'full_open_area') missing_key
    ('task', 0, 'tool') no_tool

    References
    ----------
    The job file's rules in docs/job-file.md.
    """
    found = _rig_problems(job)
    seen: set[tuple[str, datetime.date]] = set()
    for index, reading in enumerate(job.reading):
        at: Key = ("reading", index)
        _check_reading(job, reading, at, found)
        if (reading.task, reading.day) in seen:
            found.append(Problem((*at, "day"), "reading_twice"))
        seen.add((reading.task, reading.day))
    return found


def _rig_problems(job: Job) -> list[Problem]:
    """All that bears on the rig; a reading is no part of it."""
    found: list[Problem] = []
    if job.rule_set not in RULE_SETS:
        facts: dict[str, object] = {"table": "rule_set", "known": list(RULE_SETS)}
        found.append(Problem(("rule_set",), "unknown_name", job.rule_set, facts))
    _check_unit(job, found)
    _check_stock(job, found)
    for index, task in enumerate(job.task):
        _check_task(job, task, ("task", index), found)
    return found


def _check_unit(job: Job, found: list[Problem]) -> None:
    unit, drive, pump, bypass = job.unit, job.unit.drive, job.unit.pump, job.unit.bypass
    wanted = "top_ratio" if drive.kind == "hydrostatic" else "ratio"
    if getattr(drive, wanted) is None:
        found.append(Problem(("unit", "drive", wanted), "missing_key", facts={"because": drive.kind}))
    at: Key = ("unit", "pump")
    by_size = pump.plungers is not None or pump.stroke is not None or pump.plunger_diameter is not None
    if pump.flow_per_turn is not None:
        if by_size or pump.kit is not None:
            found.append(Problem((*at, "flow_per_turn"), "pump_size_twice"))
    elif not by_size and pump.kit is None:
        found.append(Problem((*at, "plungers"), "missing_pump_size"))
    else:
        for key in ("plungers", "stroke"):
            if getattr(pump, key) is None:
                found.append(Problem((*at, key), "missing_key"))
        if pump.kit is None and pump.plunger_diameter is None:
            found.append(Problem((*at, "plunger_diameter"), "missing_key"))
        elif pump.kit is not None and pump.plunger_diameter is not None:
            found.append(Problem((*at, "plunger_diameter"), "pump_size_twice"))
    if pump.kit is not None and pump.kit not in unit.kits:
        found.append(
            Problem((*at, "kit"), "unknown_name", pump.kit, {"table": "unit.kits", "known": sorted(unit.kits)})
        )
    if pump.start_speed is None and (drive.kind != "direct" or unit.engine is None):
        found.append(Problem((*at, "start_speed"), "missing_key"))
    if pump.start_speed is not None and pump.start_speed > pump.top_speed:
        found.append(Problem((*at, "start_speed"), "start_above_top"))
    if unit.engine is not None:
        speeds = [speed for speed, _ in unit.engine.power]
        if not speeds or any(later <= earlier for earlier, later in zip(speeds, speeds[1:], strict=False)):
            found.append(Problem(("unit", "engine", "power"), "curve_order"))
    needed = {"hand-set": "full_open_area", "unloader": "set"}.get(bypass.kind)
    if needed is not None and getattr(bypass, needed) is None:
        found.append(Problem(("unit", "bypass", needed), "missing_key", facts={"because": bypass.kind}))
    tank = unit.tank
    if tank is not None and tank.usable is not None and tank.usable > tank.volume:
        found.append(Problem(("unit", "tank", "usable"), "usable_above_volume"))
    _check_inlet(job, found)


def _check_inlet(job: Job, found: list[Problem]) -> None:
    hydrant, suction = job.supply.hydrant, job.unit.suction
    if hydrant is not None and hydrant.static <= hydrant.pressure:
        found.append(Problem(("supply", "hydrant", "static"), "hydrant_order"))
    if suction is not None and job.unit.tank is None:
        given = {"outlet": suction.outlet, "cover": suction.cover, "level": suction.level or None}
        for key, value in given.items():
            if value is not None:
                found.append(Problem(("unit", "suction", key), "needs_tank"))


def _check_stock(job: Job, found: list[Problem]) -> None:
    for name, hose in job.hoses.items():
        if hose.roughness is not None and hose.roughness > 0.05 * hose.bore:
            found.append(Problem(("hoses", name, "roughness"), "roughness_too_large"))
        if hose.tails is not None and hose.tails.bore > hose.bore:
            found.append(Problem(("hoses", name, "tails", "bore"), "tail_wider_than_hose"))
    for name, tip in job.tips.items():
        given = [key for key in ("bore", "inlet", "cd") if getattr(tip, key) is not None]
        if tip.rated is not None:
            if given:
                found.append(Problem(("tips", name, "rated"), "rated_beside_bore", facts={"beside": given}))
        elif tip.bore is None:
            found.append(Problem(("tips", name, "bore"), "missing_key"))
        elif tip.inlet is None and tip.cd is None:
            found.append(Problem(("tips", name, "inlet"), "missing_inlet"))
    for name, tool in job.tools.items():
        at: Key = ("tools", name)
        if not tool.ports:
            found.append(Problem((*at, "ports"), "no_ports"))
        if tool.kind == "hand lance" and tool.held_by not in (None, "hand") and tool.holder is None:
            found.append(Problem((*at, "holder"), "missing_holder", facts={"held_by": tool.held_by}))
        for row, port in enumerate(tool.ports):
            here = (*at, "ports", row, "tip")
            stocked = job.tips.get(port.tip)
            if stocked is None:
                facts: dict[str, object] = {"table": "tips", "known": sorted(job.tips)}
                found.append(Problem(here, "unknown_name", port.tip, facts))
            elif stocked.bore is not None and stocked.bore > tool.bore:
                found.append(Problem(here, "tip_larger_than_tool", port.tip, {"tip": stocked.bore, "tool": tool.bore}))


def _check_task(job: Job, task: Task, at: Key, found: list[Problem]) -> None:
    given = [key for key in ("nozzle_pressure", "pump_pressure", "flow") if getattr(task.target, key) is not None]
    if len(given) > 1:
        found.append(Problem((*at, "target"), "two_targets", facts={"given": given}))
    elif not given:
        found.append(Problem((*at, "target"), "no_target"))
    if task.tool is not None and task.branches:
        found.append(Problem((*at, "tool"), "tool_and_branches"))
    elif task.tool is None and not task.branches:
        found.append(Problem((*at, "tool"), "no_tool"))
    elif task.branches and not 2 <= len(task.branches) <= 8:
        found.append(Problem((*at, "branches"), "branch_count", facts={"count": len(task.branches)}))
    if task.target.at > max(1, len(task.branches)):
        found.append(Problem((*at, "target", "at"), "no_such_branch", facts={"count": max(1, len(task.branches))}))
    _check_run(job, task.hose_run, (*at, "hose_run"), found)
    if task.tool is not None:
        _check_tool(job, task.tool, task.hose_run, (*at, "tool"), found)
    for index, branch in enumerate(task.branches):
        here = (*at, "branches", index)
        _check_run(job, branch.hose_run, (*here, "hose_run"), found)
        _check_tool(job, branch.tool, task.hose_run + branch.hose_run, (*here, "tool"), found)
    longest = max([len(task.hose_run), *(len(branch.hose_run) for branch in task.branches)])
    count = len(task.hose_run) + sum(len(branch.hose_run) for branch in task.branches)
    if longest <= MOST_ITEMS < count:
        found.append(Problem((*at, "branches"), "rig_too_long", facts={"count": count, "most": MOST_ITEMS}))
    _check_pipe(job, task, (*at, "pipe"), found)
    if task.travel is not None and task.travel.length > FASTEST_TRAVEL * task.travel.time:
        facts: dict[str, object] = {"speed": task.travel.length / task.travel.time, "most": FASTEST_TRAVEL}
        found.append(Problem((*at, "travel", "length"), "travel_too_fast", facts=facts))


def _check_pipe(job: Job, task: Task, at: Key, found: list[Problem]) -> None:
    """A pipe takes in every tool that is to work in it, and climbs no more than it is long."""
    pipe = task.pipe
    if pipe is None:
        return
    for name in [branch.tool for branch in task.branches] or [task.tool or ""]:
        tool = job.tools.get(name)
        if tool is not None and tool.bore >= pipe.bore:
            facts: dict[str, object] = {"tool": name, "inside": tool.bore}
            found.append(Problem((*at, "bore"), "pipe_too_narrow", facts=facts))
            break
    if pipe.climb != 0.0 and pipe.length is None:
        found.append(Problem((*at, "length"), "missing_key"))
    elif pipe.length is not None and abs(pipe.climb) > pipe.length:
        found.append(Problem((*at, "climb"), "climb_above_length", facts={"length": pipe.length}))


def _check_reading(job: Job, reading: Reading, at: Key, found: list[Problem]) -> None:
    """A reading is of a task, one for a day, and of a state that this unit can be in."""
    unit, bypass = job.unit, job.unit.bypass
    task = next((task for task in job.task if task.name == reading.task), None)
    facts: dict[str, object] = {"table": "task", "known": [task.name for task in job.task]}
    if task is None:
        found.append(Problem((*at, "task"), "unknown_name", reading.task, facts))
    start = _start_speed(unit)
    if reading.pump_speed > unit.pump.top_speed:
        found.append(Problem((*at, "pump_speed"), "reading_too_fast", facts={"top": unit.pump.top_speed}))
    elif start is not None and reading.pump_speed < SLOWEST_READ * start:
        found.append(Problem((*at, "pump_speed"), "reading_too_slow", facts={"start": start}))
    if unit.gauge is not None and reading.gauge > unit.gauge.full_scale:
        found.append(Problem((*at, "gauge"), "reading_off_scale", facts={"full_scale": unit.gauge.full_scale}))
    if reading.bypass_area > 0.0 and bypass.kind != "hand-set":
        found.append(Problem((*at, "bypass_area"), "reading_no_opening"))
    elif bypass.full_open_area is not None and reading.bypass_area > bypass.full_open_area:
        full_open: dict[str, object] = {"full_open": bypass.full_open_area}
        found.append(Problem((*at, "bypass_area"), "reading_opens_too_far", facts=full_open))
    if reading.flush is not None and reading.flush > reading.gauge:
        found.append(Problem((*at, "flush"), "reading_flush_high", facts={"gauge": reading.gauge}))
    if reading.pin is not None and task is not None:
        _check_pin(job, task, reading.pin, (*at, "pin"), found)


def _check_pin(job: Job, task: Task, pin: float, at: Key, found: list[Problem]) -> None:
    """One measured bore belongs to tips of one bore, and to one somewhere near it."""
    tools = [job.tools.get(name) for name in [branch.tool for branch in task.branches] or [task.tool or ""]]
    tips = [job.tips.get(port.tip) for tool in tools if tool is not None for port in tool.ports]
    bores = {tip.bore for tip in tips if tip is not None}
    bore = bores.pop() if len(bores) == 1 else None
    if bore is None:
        found.append(Problem(at, "reading_pin_of_several"))
    elif not bore / PIN_NEAR < pin < PIN_NEAR * bore:
        found.append(Problem(at, "reading_pin_far", facts={"bore": bore}))


def _check_run(job: Job, run: tuple[str, ...], at: Key, found: list[Problem]) -> None:
    if len(run) > MOST_ITEMS:
        found.append(Problem(at, "run_too_long", facts={"count": len(run), "most": MOST_ITEMS}))
        return
    for index, name in enumerate(run):
        if name not in job.hoses and name not in job.fittings:
            known = sorted([*job.hoses, *job.fittings])
            found.append(Problem((*at, index), "unknown_name", name, {"table": "hoses", "known": known}))


def _check_tool(job: Job, name: str, run: tuple[str, ...], at: Key, found: list[Problem]) -> None:
    tool = job.tools.get(name)
    if tool is None:
        found.append(Problem(at, "unknown_name", name, {"table": "tools", "known": sorted(job.tools)}))
        return
    dumping = [item for item in run if item in job.fittings and job.fittings[item].dump is not None]
    if tool.release == "dump" and tool.dump is None and not dumping:
        problem = Problem(("tools", name, "dump"), "missing_dump")
        if problem not in found:
            found.append(problem)


def check(job: Job, task_index: int = 0) -> CheckedRig:
    """Prove that a description fits together and turn one of its tasks into numbers. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    task_index : int
        Which task, from 0. [-]

    Raises
    ------
    RigError
        With every problem found, each under its key.

    Examples
    --------
    >>> from jetwright.rig.description import *
    >>> pump = Pump(top_speed=500 / 60, start_speed=2.0, rating=1.1e8, plungers=3, plunger_diameter=0.032, stroke=0.11)
    >>> unit = Unit("A", Drive("hydrostatic", top_ratio=0.28), pump, Bypass("hand-set", "tank", full_open_area=2e-5))
    >>> gun = Tool("hand lance", 0.006, "dump", (Port("R10"),), dump=Dump(0.006), loss_k=3.0)
    >>> job = Job("T", Supply(3.5e5, 2.5e-3, 291.15), unit, (Task("One", Target(nozzle_pressure=9e7), ("H",), "gun"),),
    ...           {"H": Hose(0.008, 60.0)}, tips={"R10": Tip(0.001, "rounded")}, tools={"gun": gun})
    >>> rig = check(job)
    >>> f"{rig.branches[0].rows[0].area * 1e6:.4f} mm2"
    '0.7069 mm2'

    References
    ----------
    The job file's rules in docs/job-file.md.
    """
    found = _rig_problems(job)
    if found:
        raise RigError(found)
    task = job.task[task_index]
    ambient = ambient_pressure(job.altitude)
    water = water_at(job.supply.temperature, ambient)
    pump, unit = _pump(job, water), job.unit
    start = _start_speed(unit)
    assert start is not None  # problems_of has seen to it
    if task.tool is not None:
        main: tuple[Item, ...] = ()
        branches: tuple[CheckedBranch, ...] = (
            _branch(job, water, (), Branch(task.tool, task.hose_run, task.rise), task.rise),
        )
    else:
        main = _items(job, task.hose_run)
        branches = tuple(_branch(job, water, main, branch, task.rise) for branch in task.branches)
    hose = job.supply.hose
    return CheckedRig(
        job=job,
        task=task,
        water=water,
        pump=pump,
        start_speed=start,
        top_speed=unit.pump.top_speed,
        main=main,
        branches=branches,
        supply_hose=None if hose is None else Piece(hose.bore, hose.length, ROUGHNESS),
        engine_factor=derating(ambient, job.air_temperature),
        made_by=_MADE_HERE,
    )


def _start_speed(unit: Unit) -> float | None:
    """As given, else from a direct drive's engine; None where that is not described either."""
    if unit.pump.start_speed is not None or unit.engine is None or unit.drive.ratio is None or not unit.engine.power:
        return unit.pump.start_speed
    return unit.engine.power[0][0] / unit.drive.ratio


def _pump(job: Job, water: Water) -> Pump:
    given = job.unit.pump
    slip = SLIP if given.slip is None else given.slip
    clearance = CLEARANCE if given.clearance is None else given.clearance
    efficiency = EFFICIENCY if given.efficiency is None else given.efficiency
    if given.flow_per_turn is not None:
        share = volumetric_efficiency(water, Pump(1.0, slip, clearance, efficiency), given.rating)
        if share <= 0.0:
            raise RigError([Problem(("unit", "pump", "clearance"), "delivers_nothing", facts={"rating": given.rating})])
        swept = given.flow_per_turn / share
    else:
        diameter = given.plunger_diameter if given.kit is None else job.unit.kits[given.kit].plunger_diameter
        assert given.plungers is not None and given.stroke is not None and diameter is not None
        swept = swept_volume(given.plungers, diameter, given.stroke)
    if given.measured:
        points = tuple((m.speed, m.pressure, m.flow) for m in given.measured)
        slip, clearance = fit_slip(water, swept, clearance, points)
        if not (-0.05 <= slip <= 0.6 and -0.05 <= clearance <= 12.0):
            facts: dict[str, object] = {"slip": slip, "clearance": clearance}
            raise RigError([Problem(("unit", "pump", "measured"), "measured_not_physical", facts=facts)])
    return Pump(swept, slip, clearance, efficiency)


def _items(job: Job, run: tuple[str, ...]) -> tuple[Item, ...]:
    return tuple(_item(name, job.hoses.get(name) or job.fittings[name]) for name in run)


def _item(name: str, part: Hose | Fitting) -> Item:
    if isinstance(part, Fitting):
        return Item(name, Piece(part.bore, loss_k=part.loss_k), _dump_area(part.dump))
    roughness = ROUGHNESS if part.roughness is None else part.roughness
    if part.tails is None:
        return Item(name, Piece(part.bore, part.length, roughness))
    return Item(name, Piece(part.bore, part.length, roughness, 0.0, part.tails.bore, part.tails.length))


def _dump_area(dump: Dump | None) -> float:
    return 0.0 if dump is None else dump.cd * round_area(dump.bore)


def tip_area(tip: Tip, water: Water) -> float:
    """Discharge coefficient × area of one jet of a tip. [m²]

    Parameters
    ----------
    tip : Tip
        By bore and inlet, bore and measured coefficient, or a rated pair. [-]
    water : Water
        At the supply temperature, which a rated pair is taken at. [-]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> f"{tip_area(Tip(bore=0.001, inlet='cone'), water_at(291.15, 101325.0)) * 1e6:.4f} mm2"
    '0.7461 mm2'

    References
    ----------
    Discharge coefficients of `parts.nozzle`.
    """
    if tip.rated is not None:
        return jet_area(water, tip.rated.flow, tip.rated.pressure)
    assert tip.bore is not None
    cd = tip.cd if tip.cd is not None else DISCHARGE[tip.inlet or "unknown"]
    return cd * round_area(tip.bore)


def _branch(job: Job, water: Water, main: tuple[Item, ...], branch: Branch, rise: float) -> CheckedBranch:
    tool = job.tools[branch.tool]
    items = _items(job, branch.hose_run)
    rows = tuple(
        JetRow(
            port.tip, port.count, job.tips[port.tip].bore, tip_area(job.tips[port.tip], water), port.angle, port.skew
        )
        for port in tool.ports
    )
    leak = 0.0 if tool.leak is None else jet_area(water, tool.leak.flow, tool.leak.pressure)
    dump_area, dump_item = _dump_area(tool.dump), -1
    if tool.dump is None:
        run = main + items
        for index in range(len(run) - 1, -1, -1):
            if run[index].dump_area > 0.0:
                dump_area, dump_item = run[index].dump_area, index
                break
    return CheckedBranch(
        tool_name=branch.tool,
        tool=tool,
        items=items,
        rise=rise if branch.rise is None else branch.rise,
        rows=rows,
        leak_area=leak,
        dump_area=dump_area,
        dump_item=dump_item,
    )
