"""Two plans made by hand: the answer as data, so that what is printed can be held to what was answered."""

import datetime

from jetwright import units
from jetwright.limits.limit import Cure, Limit
from jetwright.limits.rules import Bound, Looser, RuleSet
from jetwright.plan.answer import (
    Jet,
    LeftOver,
    Plan,
    Power,
    ProvingPoint,
    Reach,
    Release,
    RestraintsNeeded,
    RunItem,
    Setting,
    StepAt,
    TakenAs,
    TaskPlan,
    Tolerance,
    ToolState,
    Use,
    WaterStock,
)
from jetwright.rig.description import (
    Branch,
    Bypass,
    Drive,
    Hose,
    Job,
    Port,
    Pump,
    Supply,
    Target,
    Task,
    Tip,
    Tool,
    Unit,
)
from jetwright.solve.states import ToolAt, TriggerState

PRACTICE = "Norway, regulation on the performance of work, 20-1"
REST = Bound(250.0, "force", "most", PRACTICE, "regulation", True)
RULES = RuleSet(
    "eu-generic + Pier",
    "1 + 3",
    "Norway's and Germany's",
    {
        "recoil.supported": REST,
        "bypass.spill": Bound(0.2, "ratio", "most", "common practice", "common practice", False),
    },
    (Looser("recoil.supported", 300.0, REST, "H. Moe"),),
)


def bar(number):
    return units.of(number, "bar")


def rpm(number):
    return units.of(number, "rpm")


def l_min(number):
    return units.of(number, "L/min")


def part_open():
    """A gun at a part-open bypass, everything within."""
    return TaskPlan(
        name="Pipe end by gun",
        verdict="within",
        setting=Setting(
            rpm(120.0), rpm(1500.0), bar(933.1), l_min(29.71), "part open", l_min(11.87), 0.660e-6, 0.033, None
        ),
        proving_point=ProvingPoint(rpm(120.0), 0.95e-6, bar(653.17), (bar(612.0), bar(697.0))),
        tools=(
            ToolState(
                1,
                "gun",
                bar(901.6),
                bar(900.0),
                l_min(17.84),
                0.0,
                124.8,
                3e-15,
                26.2e3,
                (Jet("R10", 1, 0.001, l_min(17.84), 420.1),),
            ),
        ),
        hose_run=(
            RunItem(0, "R8-20", bar(933.1), bar(922.6), 5.92),
            RunItem(0, "R8-20", bar(922.6), bar(912.1), 5.92),
            RunItem(0, "R8-20", bar(912.1), bar(901.6), 5.92),
        ),
        power=Power(45.1e3, 51.2e3, 73.0e3, 0.31),
        use=Use(l_min(17.84), units.of(18.2, "L/h"), None, 303.7),
        limits=(
            Limit("bypass.range", "within", 0.660e-6, 20e-6, "area", 0.967, "physics", True),
            Limit("pump.speed", "within", rpm(120.0), rpm(500.0), "speed", 0.76, "plate", True),
            Limit("engine.power", "not_judged", None, None, "ratio", None, "plate", True, missing="unit.engine"),
            Limit("gauge.error", "not_judged", None, None, "ratio", None, "plate", True, missing="unit.gauge"),
            Limit("recoil.hand", "within", 124.8, 150.0, "force", 0.168, PRACTICE, True, about="tools.gun"),
            Limit(
                "recoil.relief",
                "look",
                168.0,
                150.0,
                "force",
                -0.12,
                PRACTICE,
                True,
                about="tools.gun",
                remedy="recoil.relief",
                facts={"tool": "gun", "pump_pressure": bar(1265.0)},
            ),
            Limit("person.lance", "within", 1.5, 1.22, "length", 0.23, "common practice", False, least=True),
        ),
        taken_as=(
            TakenAs("tips.R10.cd", "ratio", 0.90, "inlet", {"inlet": "rounded"}),
            TakenAs("hoses.R8-20.roughness", "length", 1e-5, "default"),
        ),
        tolerance=Tolerance((bar(908.0), bar(957.0)), (rpm(112.0), rpm(128.0)), (bar(612.0), bar(697.0)), (139.0,), ()),
        run_up=(
            StepAt(
                "run-up A", "a.prove", "all", "band", rpm(120.0), "part open", 0.95e-6, 0.29, (bar(612.0), bar(697.0))
            ),
            StepAt("planned stop", "stop.drive", "pump operator", "cool", 0.0, "open", 20e-6, 6.0, None),
        ),
        release=Release(bar(81.0), l_min(27.5), "dump"),
        states=(
            TriggerState((True,), bar(933.1), 0.1978, 0.0, False, (ToolAt(bar(900.0), bar(901.6), 0.297, 124.8, 0.0),)),
            TriggerState((False,), bar(81.0), 0.02, 0.0, False, (ToolAt(0.0, bar(80.0), 0.0, 0.0, 0.0),)),
        ),
        left=LeftOver("Floor", rpm(400.0), 0.0, bar(1265.0), True, (300.0,)),
        restraints=RestraintsNeeded(4, 1),
        water=WaterStock(1218.0, l_min(22.2)),
        density=998.6,
    )


def refused():
    """Two guns with tips that the unit cannot feed."""
    guns = tuple(
        ToolState(
            branch,
            "gun",
            bar(905.0),
            bar(900.0),
            l_min(161.2),
            l_min(1.5),
            -1127.0,
            12.0,
            236e3,
            (Jet("R30", 1, 0.003, l_min(161.2), 420.1), Jet("K", 2, None, l_min(1.0), 420.1)),
        )
        for branch in (1, 2)
    )
    return TaskPlan(
        name="Two guns with a name so long that no column of any table can hold it on one line of a narrow terminal",
        verdict="not_allowed",
        setting=Setting(rpm(656.0), rpm(2100.0), bar(1099.0), l_min(161.2), "closed", 0.0, 0.0, 0.0, None),
        proving_point=ProvingPoint(rpm(120.0), 0.0, bar(38.0)),
        tools=guns,
        hose_run=(
            RunItem(0, "R12-40", bar(1099.0), bar(990.0), 28.0),
            RunItem(1, "R8-20", bar(990.0), bar(905.0), 28.0),
            RunItem(2, "R8-20", bar(990.0), bar(905.0), 28.0),
        ),
        power=Power(300e3, 340e3, 430e3, 1.38),
        use=Use(l_min(322.4), units.of(90.0, "L/h"), units.of(4.0, "L/h"), None),
        limits=(
            Limit("bypass.range", "within", 0.0, 20e-6, "area", 1.0, "physics", True),
            Limit(
                "pump.speed",
                "not_allowed",
                rpm(656.0),
                rpm(500.0),
                "speed",
                -0.312,
                "plate",
                True,
                cures=(
                    Cure(
                        "tip",
                        "tips.R30.bore",
                        "length",
                        0.003,
                        0.00245,
                        {"nozzle": bar(900.0), "pump_speed": rpm(489.0), "engine_load": 0.93},
                    ),
                    Cure(
                        "hose",
                        "hoses.R12-40.bore",
                        "length",
                        0.012,
                        0.016,
                        {"nozzle": bar(900.0), "pump_speed": rpm(499.0)},
                    ),
                    Cure(
                        "target",
                        "task.target.nozzle_pressure",
                        "pressure",
                        bar(900.0),
                        bar(543.0),
                        {"pump_speed": rpm(500.0)},
                    ),
                    Cure("speed", "unit.pump.top_speed", "speed", rpm(500.0), rpm(656.0), {"nozzle": bar(900.0)}),
                ),
            ),
            Limit("engine.power", "look", 1.38, 1.0, "ratio", -0.38, "common practice", False),
        ),
        taken_as=(),
        reach=Reach(rpm(500.0), bar(716.0), bar(543.0), l_min(121.0)),
    )


def plan(*tasks):
    return Plan("Coker transfer pipe, north rack", RULES, tasks, datetime.date(2026, 5, 12))


def job():
    gun = Tool("hand lance", 0.006, "dump", (Port("R10"),))
    return Job(
        title="Coker transfer pipe, north rack",
        supply=Supply(bar(3.5), l_min(150.0), 291.15),
        unit=Unit(
            "Unit 7",
            Drive("hydrostatic", top_ratio=0.28),
            Pump(rpm(500.0), bar(1100.0), rpm(120.0), 3, 0.032, None, 0.11),
            Bypass("hand-set", "tank", 20e-6),
            ("pump speed", "engine speed"),
        ),
        task=(
            Task("Pipe end by gun", Target(bar(900.0)), ("R8-20",) * 3, "gun"),
            Task("Two guns", Target(bar(900.0)), ("R12-40",), branches=(Branch("gun", ("R8-20",)),) * 2),
        ),
        hoses={"R8-20": Hose(0.008, 20.0), "R12-40": Hose(0.012, 40.0)},
        tips={"R10": Tip(0.001, "rounded"), "R30": Tip(0.003, "rounded")},
        tools={"gun": gun},
    )
