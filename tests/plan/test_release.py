"""Checks of jetwright.plan.release and plan.judging.release: whole tasks, with the figures of the worked cases."""

from dataclasses import replace

import pytest

from jetwright.limits.rules import Bound
from jetwright.plan.judging.release import limits
from jetwright.plan.release import release_of
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Bypass, Drive, Dump, Fitting, Hose, Relief, Target, Task
from jetwright.solve.states import trigger_states
from jetwright.solve.steady import Levers, solve
from tests.limits.unit_a import BAR, GUN, LITRES_A_MINUTE, RPM, found, solved, unit_a, worked

HOLD = Bound(1.0, "count", "least", "Norway, regulation on the performance of work, 20-1", "regulation", True)
SHUT = replace(GUN, release="dry shut-off", dump=None)
NONE = replace(GUN, release="none", dump=None)
UNLOADER = Bypass("unloader", "tank", set=1000 * BAR)
OTHER_SPEED = {"drive": Drive("direct", efficiency=0.95, ratio=5.0)}


def near(expected):
    return pytest.approx(expected, rel=0.01)


def two(*tools, bypass=None, pressure=900 * BAR, **unit):
    """Two tools, tips 1.0, behind 40 m of 12 mm, each on 20 m of 8 mm, 900 bar each."""
    one = unit_a(pressure=pressure, **unit, **({} if bypass is None else {"bypass": bypass}))
    branches = tuple(Branch(f"tool {index}", ("own",)) for index in range(len(tools)))
    return replace(
        one,
        hoses={"main": Hose(0.012, 40.0), "own": Hose(0.008, 20.0)},
        tools={f"tool {index}": tool for index, tool in enumerate(tools)},
        task=(Task("It", Target(nozzle_pressure=pressure), ("main",), branches=branches),),
    )


def case_of(job):
    return solved(job, release_hold_to_run=HOLD)


def judged(job, identity, about=""):
    return found(limits(case_of(job)), identity, about)


def let_go(job):
    case = case_of(job)
    return release_of(case.rig, case.machine, case.states)


def low(tool, **unit):
    """60 bar, nearly all of the flow over the hole, which could take the rest too."""
    return unit_a(pressure=60 * BAR, tool=tool, **unit)


# ---- release.way_out


@pytest.mark.rule("release.way_out")
@worked(2)
@pytest.mark.parametrize("unit", [{}, OTHER_SPEED])
def test_a_dry_shut_off_on_a_hand_set_bypass_has_no_way_out(unit):
    """The relief must pass 16.2 L/min at 1150 bar (15.5 at 1265), about a tenth of a second after the release."""
    limit = judged(unit_a(tool=SHUT, **unit), "release.way_out")
    assert (limit.verdict, limit.bound, limit.source) == ("not_allowed", 0.0, "physics")
    assert limit.value / LITRES_A_MINUTE == near(16.2)
    assert limit.facts["flow_at_set"] == limit.value
    assert limit.facts["flow_at_full"] / LITRES_A_MINUTE == near(15.5)
    assert (limit.facts["opening"], limit.facts["full"]) == (1150 * BAR, near(1265 * BAR))
    assert 0.08 <= limit.facts["seconds"] <= 0.12
    assert limit.facts["tools"] == (1,)


@pytest.mark.rule("release.way_out")
@worked(2)
def test_the_release_then_opens_the_relief():
    release = let_go(unit_a(tool=SHUT))
    assert release.what == "shut_relief"
    assert 1150 * BAR < release.gauge < 1265 * BAR
    assert release.gun_flow == 0.0


@pytest.mark.rule("release.way_out")
@pytest.mark.parametrize(
    "job",
    [
        unit_a(),
        unit_a(tool=NONE),
        unit_a(tool=SHUT, bypass=Bypass("regulating", "tank")),
        unit_a(tool=SHUT, bypass=UNLOADER),
        unit_a(tool=SHUT, bypass=replace(UNLOADER, idle_pressure=30 * BAR)),
        unit_a(**OTHER_SPEED),
    ],
)
def test_a_dump_a_valve_or_the_pump_itself_is_a_way_out(job):
    """Common practice: a dump port, a valve that opens by itself, or nothing that shuts."""
    limit = judged(job, "release.way_out")
    assert (limit.verdict, limit.bound, limit.quantity) == ("within", 1150 * BAR, "pressure")
    assert limit.value == case_of(job).states[-1].pump_pressure
    assert limit.source == "physics"


@pytest.mark.rule("release.way_out")
def test_without_a_relief_the_way_out_stays_below_the_pumps_rating():
    limit = judged(unit_a(relief=()), "release.way_out")
    assert (limit.verdict, limit.bound, limit.source) == ("within", 1100 * BAR, "plate")


@pytest.mark.rule("release.way_out")
def test_a_valve_too_small_for_the_flow_is_none():
    """Physics: what a regulating valve cannot pass below the relief's set point opens the relief."""
    bypass = Bypass("regulating", "tank", accumulation=0.5, full_flow=20 * LITRES_A_MINUTE)
    limit = judged(unit_a(1.4e-3, tool=SHUT, bypass=bypass), "release.way_out")
    assert limit.verdict == "not_allowed"
    assert limit.value > 1150 * BAR
    assert limit.remedy == "release.way_out/pressure"


@pytest.mark.rule("release.way_out")
def test_a_wide_hole_does_not_excuse_it():
    """At low pressure the hole could take it all; counted as if somebody had shut it."""
    case = case_of(low(SHUT))
    assert case.states[-1].pump_pressure < 1150 * BAR
    limit = found(limits(case), "release.way_out")
    assert limit.verdict == "not_allowed"
    assert limit.facts["bypass_shut"]
    assert limit.value > 0.0
    assert let_go(low(SHUT)).what == "shut_over_valve"


@pytest.mark.rule("release.way_out")
@pytest.mark.parametrize("other", [GUN, NONE, SHUT])
def test_of_mixed_releases_one_refuses_the_task(other):
    """Each tool by its own: the other's port or jets do not help while it is held."""
    limit = judged(two(other, SHUT), "release.way_out")
    assert limit.verdict == "not_allowed"
    assert limit.value > 0.0
    assert limit.facts["tools"] == ((1, 2) if other is SHUT else (2,))


# ---- release.relief


@pytest.mark.rule("release.relief")
@worked(14)
def test_one_of_two_guns_let_go_lifts_the_relief():
    """Two dry shut-off guns, bypass shut: with one let go the relief lifts."""
    case = case_of(two(SHUT, SHUT))
    assert case.machine.bypass == "closed"
    limit = found(limits(case), "release.relief")
    assert limit.verdict == "not_allowed"
    assert 1150 * BAR < limit.value < 1265 * BAR
    assert limit.facts["let_go"] in ((1,), (2,))
    assert limit.facts["flow"] > 0.0
    held = [state.tools[0].along for state in case.states if state.held[0]]
    assert held[0] == near(125)
    assert 156 <= held[1] <= 172  # between the relief's set point and its full lift


@pytest.mark.rule("release.relief")
@worked(15)
@pytest.mark.parametrize(("accumulation", "push"), [(0.0, 125.8), (0.05, 132.0)])
def test_a_regulating_valve_takes_what_one_gun_leaves(accumulation, push):
    """The valve passes one gun's flow at its full accumulation."""
    full_flow = 17.84 * LITRES_A_MINUTE
    bypass = Bypass("regulating", "tank", accumulation=accumulation, full_flow=full_flow, spill=0.0)
    case = case_of(two(SHUT, SHUT, bypass=bypass))
    assert found(limits(case), "release.relief").verdict == "within"
    assert found(limits(case), "release.way_out").verdict == "within"
    assert [state.relief_flow for state in case.states] == [0.0] * 4
    assert case.states[1].tools[0].along == near(push)
    assert let_go(two(SHUT, SHUT, bypass=bypass)).what == "shut_over_valve"


@pytest.mark.rule("release.relief")
def test_an_unloader_opens_before_the_relief():
    """Common practice: set below the relief it leaves the gun that is still held the idle pressure."""
    case = case_of(two(SHUT, SHUT, bypass=UNLOADER))
    assert found(limits(case), "release.relief").verdict == "within"
    one_let_go = case.states[1]
    assert one_let_go.unloaded
    assert one_let_go.pump_pressure == 20 * BAR
    assert 0.0 < one_let_go.tools[0].along < 5.0


@pytest.mark.rule("release.relief")
def test_the_state_without_a_way_out_is_not_refused_twice():
    limit = judged(unit_a(tool=SHUT), "release.relief")
    assert limit.verdict == "within"
    assert limit.value == near(933.1 * BAR)


@pytest.mark.rule("release.relief")
@pytest.mark.parametrize("tools", [(GUN, GUN), (NONE, NONE), (GUN, NONE)])
def test_a_dump_or_nothing_let_go_raises_no_pressure(tools):
    """Physics: a port that is wider than the tip takes more."""
    for relief in ((), (Relief(1150 * BAR),)):
        assert judged(two(*tools, relief=relief), "release.relief").verdict == "within"


@pytest.mark.rule("release.relief")
def test_without_a_relief_a_rise_is_not_judged():
    """A valve lets it rise a little; nothing described would stop it if that stuck."""
    valve = Bypass("regulating", "tank", accumulation=0.02)
    limit = judged(two(SHUT, SHUT, bypass=valve, relief=()), "release.relief")
    assert (limit.verdict, limit.missing, limit.bound) == ("not_judged", "unit.relief", 1100 * BAR)
    assert judged(two(SHUT, SHUT, relief=()), "release.relief").verdict == "not_allowed"


@pytest.mark.rule("release.relief")
def test_a_disc_is_no_way_out():
    """Physics: it bursts once; refused from the lowest pressure at which it may."""
    disc = (Relief(1100 * BAR, "disc", tolerance=0.10),)
    limit = judged(two(SHUT, SHUT, relief=disc), "release.relief")
    assert (limit.verdict, limit.value, limit.bound) == ("not_allowed", None, near(990 * BAR))


# ---- release.hold_to_run


@pytest.mark.rule("release.hold_to_run")
@pytest.mark.published(HOLD.source)
@pytest.mark.parametrize(("tool", "verdict"), [(GUN, "within"), (SHUT, "within"), (NONE, "not_allowed")])
def test_what_is_in_the_hand_stops_when_let_go(tool, verdict):
    limit = judged(unit_a(tool=tool), "release.hold_to_run")
    assert (limit.verdict, limit.about) == (verdict, "tools.gun")


@pytest.mark.rule("release.hold_to_run")
def test_what_is_not_in_the_hand_is_not_listed():
    jobs = unit_a(tool=replace(NONE, kind="floor head")), unit_a(tool=replace(NONE, held_by="carrier", holder="arm"))
    for job in jobs:
        assert [limit.id for limit in limits(case_of(job)) if limit.id == "release.hold_to_run"] == []


# ---- what letting go does


@worked(17)
def test_a_released_gun_still_passes_water():
    """Through the 6 mm dump port at the gun: 81 bar on the gauge, never 0."""
    release = let_go(unit_a())
    assert release.what == "dump"
    assert release.gauge == near(81 * BAR)
    assert release.gun_flow / LITRES_A_MINUTE == near(27.5)


@worked(5)
def test_a_dump_port_never_raises_the_gauge():
    """A second way out, with the bypass wide open, at 120 and at 500 rpm."""
    for speed, flowing, shut in ((120, 6.3, 6.9), (500, 108, 118)):
        dumped = trigger_states(check(unit_a()), Levers(speed * RPM, 20e-6))
        gone = trigger_states(check(unit_a(tool=SHUT)), Levers(speed * RPM, 20e-6))
        assert dumped[0].pump_pressure / BAR == pytest.approx(flowing, rel=0.01, abs=0.05)
        assert gone[1].pump_pressure / BAR == pytest.approx(shut, rel=0.01, abs=0.05)
        assert dumped[1].pump_pressure < dumped[0].pump_pressure < gone[1].pump_pressure


@worked(25)
def test_an_unloader_circulates_at_idle_pressure():
    release = let_go(unit_a(tool=SHUT, bypass=UNLOADER))
    assert (release.what, release.gauge, release.gun_flow) == ("shut_idle", 20 * BAR, 0.0)


def test_nothing_to_let_go_is_stopped_at_the_pump():
    case = case_of(unit_a(tool=NONE))
    release = release_of(case.rig, case.machine, case.states)
    assert release.what == "stopped_at_pump"
    assert release.gauge == pytest.approx(case.machine.state.pump_pressure, rel=1e-9)


def test_what_cannot_be_let_go_jets_on():
    """Beside an open port a tool that is stopped at the pump still jets; the ports' flow is told without it."""
    case = case_of(two(GUN, NONE))
    release = release_of(case.rig, case.machine, case.states)
    assert release.what == "dump"
    assert release.facts["still_jetting"] == (2,)
    port = solve(case.rig, replace(case.machine.levers, dumping=(1,))).lines[0]
    assert case.states[-1].tools[1].jets > 0.0
    assert release.gun_flow == pytest.approx(port.jets / case.rig.water.reference_density, rel=1e-6)


def test_a_pedal_in_the_main_run_is_the_way_out_for_all():
    job = two(replace(GUN, dump=None), replace(GUN, dump=None))
    task = replace(job.task[0], hose_run=("main", "pedal"))
    job = replace(job, fittings={"pedal": Fitting(0.012, dump=Dump(0.006))}, task=(task,))
    release = let_go(job)
    assert release.what == "dump"
    assert 0.0 < release.gauge < 300 * BAR
    case = case_of(job)
    out = solve(case.rig, replace(case.machine.levers, dumping=(1, 2))).mass_flow
    assert release.gun_flow == pytest.approx(out / case.rig.water.reference_density, rel=1e-9)


def test_where_nothing_holds_the_release_says_so():
    release = let_go(unit_a(tool=SHUT, relief=(Relief(1100 * BAR, "disc"),)))
    assert (release.what, release.facts["survives"]) == ("shut_relief", False)
    assert release.gauge == near(990 * BAR)
