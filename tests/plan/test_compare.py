"""Two ways side by side: against plans made apart, hand arithmetic, and what must turn round with the ways."""

import dataclasses
import datetime
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jetwright.actions.plan import basis_for, plan
from jetwright.limits.limit import WORST_LAST
from jetwright.plan.answer import Cost, CostLine, Coverage
from jetwright.plan.compare import QUANTITIES, compare, way_of
from jetwright.plan.cost import cost_of
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.usage import usage_of
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Extent, Free, Port, Prices, Target, Times, Tool, Travel, Waste
from jetwright.rig.example import JOB
from tests.contract.source import ROOT
from tests.tier import PLANNED_RIGS

DAY = datetime.date(2026, 5, 12)
BAR, HOUR = 1e5, 3600.0
WATER = CostLine("water", 13.5, 3.2, 43.2)
SHIFT = ROOT / "examples" / "shift" / "job.toml"


def told(*tasks, **fields):
    """Two tasks of the example's rig; `fields` replace parts of its job."""
    job = dataclasses.replace(JOB, task=tasks, **fields)
    return compare(job, basis_for(job, day=DAY), 0, 1)


def task(name, pressure=850 * BAR, **fields):
    return dataclasses.replace(JOB.task[0], name=name, target=Target(nozzle_pressure=pressure), **fields)


@pytest.fixture(scope="module")
def shift():
    """The demo shift, planned as `jetwright plan` does, and its gun compared with its floor head."""
    answer, read = plan(SHIFT, day=DAY)
    return answer.tasks, compare(read.job, basis_for(read.job, day=DAY), 0, 1), read.job


def test_both_ways_are_the_plans_themselves(shift):
    """Apart from what they use and cost, which is reckoned the same way alone."""
    planned, both, job = shift
    for way, alone, index in ((both.one, planned[0], 0), (both.other, planned[1], 1)):
        bare = {"usage": None, "cost": None}
        assert dataclasses.replace(way.task, **bare) == dataclasses.replace(alone, **bare)
        rig = check(job, index)
        usage = usage_of(rig, machine_for(rig, *target_of(rig)), alone.use, alone.water)
        assert (way.task.usage, way.task.cost) == (usage, cost_of(job, rig.task, usage))
        assert way.place == index + 1


def test_figures_come_from_the_plan_by_hand(shift):
    planned, both, _job = shift
    for way, alone in ((both.one, planned[0]), (both.other, planned[1])):
        [tool] = alone.tools
        assert way.figures["hose_loss"] == pytest.approx(
            alone.hose_run[0].inlet - alone.hose_run[-1].outlet  # one run, piece to piece
        )
        assert way.figures["jet_power"] == pytest.approx(
            sum(jet.count * 0.5 * alone.density * jet.flow * jet.speed**2 for jet in tool.jets)
        )
        assert way.figures["jet_share"] == pytest.approx(way.figures["jet_power"] / alone.power.engine)
        assert way.figures["spill"] == pytest.approx(1.0 - tool.flow / alone.setting.pump_flow)
        assert way.figures["recoil"] == pytest.approx(math.hypot(tool.recoil, tool.recoil_side))
        assert way.figures["water_rate"] * HOUR == pytest.approx(alone.use.water * HOUR)
    assert (both.one.holder, both.other.holder) == ("machine", "hand")
    for name in QUANTITIES:
        here, there = both.one.figures[name], both.other.figures[name]
        expected = None if here is None or there is None else there - here
        assert both.difference[name] == (None if expected is None else pytest.approx(expected))


def test_progress_hears_each_task_once():
    heard = []
    job = dataclasses.replace(JOB, task=(task("One"), task("Two", 600 * BAR)))
    compare(job, basis_for(job, day=DAY), 1, 0, heard.append)
    assert heard == ["Two", "One"]


@settings(max_examples=PLANNED_RIGS, suppress_health_check=[HealthCheck.too_slow])
@given(st.floats(200.0, 1000.0), st.floats(200.0, 1000.0), st.floats(0.1, 9.0))
def test_turned_round_the_differences_change_their_sign(first, second, hours):
    prices = Prices("EUR", 3.0, 40.0, 1.6, 0.8, 40.0, 60.0)
    fields = {"planned_time": hours * HOUR, "times": Times(setup=HOUR, crew=2), "extent": Extent(30.0, 2.0)}
    tasks = [task("One", first * BAR, **fields), task("Two", second * BAR, **fields)]
    there, back = (told(*ways, prices=prices, waste=Waste(3.0, 0.8)) for ways in (tasks, tasks[::-1]))
    for name in QUANTITIES:
        mine, theirs = there.difference[name], back.difference[name]
        assert (mine is None) == (theirs is None)
        assert mine is None or mine == pytest.approx(-theirs, abs=1e-9)
    for name in ("pump_pressure", "nozzle", "flow", "jet_power", "recoil", "water", "fuel", "co2"):
        assert there.difference[name] * (second - first) >= 0.0, name


# ---- several tools


def test_several_tools_are_compared_by_their_worst_and_their_sum():
    """One gun against two: twice the water, the jets' power added, the loss of main run and longer branch."""
    pair = (Branch("gun", ("S8-20",)), Branch("gun", ("S8-20", "S8-20")))
    two = task("Two", 700 * BAR, tool=None, hose_run=("S8-20",), branches=pair)
    both = told(task("One", 700 * BAR), two)
    one, tools, run = both.one.task, both.other.task.tools, both.other.task.hose_run
    assert both.other.figures["flow"] == pytest.approx(tools[0].flow + tools[1].flow)
    assert both.other.figures["jet_power"] == pytest.approx(tools[0].jet_power + tools[1].jet_power)
    assert both.other.figures["nozzle"] == min(tool.nozzle for tool in tools) == tools[1].nozzle
    assert both.other.figures["recoil"] == max(tool.recoil for tool in tools) == tools[0].recoil
    far = sum(item.inlet - item.outlet for item in run if item.branch in (0, 2))
    assert both.other.figures["hose_loss"] == pytest.approx(far)
    assert both.one.figures["flow"] == one.tools[0].flow


def test_a_push_and_a_pull_are_not_set_off():
    """A hose-fed nozzle is pulled into its pipe; a gun pushes back at its holder."""
    jets = (Port("R12", 4, angle=math.radians(150.0)),)
    nozzle = Tool("pipe nozzle", bore=0.008, release="none", held_by="hose", ports=jets)
    drain = task("Drain", 400 * BAR, tool="nozzle")
    both = told(task("Gun"), drain, tools=dict(JOB.tools) | {"nozzle": nozzle})
    assert (both.one.forward, both.other.forward) == (False, True)
    assert both.other.holder == "hose"
    assert both.other.figures["recoil"] == pytest.approx(abs(both.other.task.tools[0].recoil))
    assert both.difference["recoil"] is None


# ---- what is not known


def test_what_is_not_known_is_not_set_off():
    both = told(task("One", planned_time=HOUR), task("Two"))
    assert both.one.figures["water"] > 0.0
    assert both.other.figures["water"] is None
    assert both.difference["water"] is None
    for name in ("total", "crew", "waste", "waste_rate", "cost", "area_rate", "area_cost", "length_rate"):
        assert both.one.figures[name] is None, name


def test_without_an_engine_no_load_and_no_fuel():
    both = told(task("One"), task("Two", 600 * BAR), unit=dataclasses.replace(JOB.unit, engine=None))
    for name in ("engine_load", "fuel_rate", "def_rate", "co2_rate"):
        assert both.one.figures[name] is None
    assert both.one.figures["water_rate"] > 0.0


def test_costs_that_count_other_things_are_not_set_off():
    prices, timed = Prices("EUR", crew_h=40.0), {"planned_time": HOUR, "extent": Extent(10.0)}
    with_crew, without = Times(crew=2), Times()
    both = told(task("One", times=with_crew, **timed), task("Two", times=without, **timed), prices=prices)
    assert both.difference["cost"] is None
    both = told(task("One", times=with_crew, **timed), task("Two", times=with_crew, **timed), prices=prices)
    assert both.one.figures["cost"] == both.other.figures["cost"] == 80.0
    assert both.difference["cost"] == both.difference["length_cost"] == 0.0


# ---- work done


def test_what_is_cleaned_by_hand():
    """24 m² in 2 h is 12 m² an hour; 160 for 24 m² is 6.67 a square metre. 120 m in 2 h is 60 m an hour."""
    prices, timed = Prices("EUR", crew_h=40.0), {"planned_time": 2 * HOUR, "times": Times(crew=2)}
    both = told(
        task("One", extent=Extent(12.0, 2.0), **timed),
        task("Two", extent=Extent(6.0, count=20), **timed),
        prices=prices,
    )
    assert both.one.figures["area_rate"] == pytest.approx(12.0 / HOUR)
    assert both.one.figures["area_cost"] == pytest.approx(160.0 / 24.0)
    assert both.other.figures["length_rate"] == pytest.approx(60.0 / HOUR)
    assert both.other.figures["length_cost"] == pytest.approx(160.0 / 120.0)
    assert both.difference["area_rate"] is None


def test_a_square_metre_costs_what_of_it_gets_done():
    """By hand: 6 m a minute, a track of 20 mm less a fifth, half of the time: 2.88 m² in an hour, at 40 an hour."""
    prices, times = Prices("EUR", crew_h=40.0), Times(crew=1)
    work = {"travel": Travel(6.0, 60.0, at_work=0.5), "jet": Free(0.1, footprint=0.02), "times": times}
    both = told(
        task("One", planned_time=HOUR, extent=Extent(100.0, 100.0), **work),
        task("Two", planned_time=2 * HOUR, extent=Extent(1.44, 1.0), **work),
        prices=prices,
    )
    assert both.one.figures["area_cost"] == pytest.approx(40.0 / 2.88)
    assert both.other.figures["area_cost"] == pytest.approx(80.0 / 1.44)  # all of it is done
    assert both.one.figures["area_rate"] == pytest.approx(2.88 / HOUR)
    unknown = work | {"jet": None}
    both = told(
        task("One", planned_time=HOUR, extent=Extent(100.0, 100.0), **unknown),
        task("Two", planned_time=HOUR, extent=Extent(100.0, 100.0), times=times),
        prices=prices,
    )
    assert (both.one.figures["area_rate"], both.one.figures["area_cost"]) == (None, None)
    assert both.other.figures["area_cost"] == pytest.approx(40.0 / 10000.0)  # as planned: nothing contradicts it


@pytest.mark.parametrize(("along", "kind"), [(False, "area"), (True, "length")])
def test_the_rate_of_a_coverage_is_taken(along, kind):
    """Two tools add up: 0.004 and 0.002 a second for an hour are 21.6 in all."""
    both = told(task("One", planned_time=HOUR), task("Two"))
    rows = (Coverage(1, 1, rate=0.004, along=along), Coverage(2, 1, rate=0.002, along=along))
    planned = dataclasses.replace(both.one.task, coverage=rows, cost=Cost("EUR", (WATER,), 43.2))
    way = way_of(dataclasses.replace(JOB, task=(task("One"),)), 0, planned)
    assert way.figures[f"{kind}_rate"] == pytest.approx(0.006)
    assert way.figures[f"{kind}_cost"] == pytest.approx(2.0)
    unknown = dataclasses.replace(planned, coverage=(rows[0], Coverage(2, 1, along=along)))
    assert way_of(JOB, 0, unknown).figures[f"{kind}_rate"] is None


# ---- limits


def test_the_limits_that_differ_are_those_of_the_two_plans(shift):
    planned, both, _job = shift
    worst = [{}, {}]
    for found, alone in zip(worst, planned[:2], strict=True):
        for limit in alone.limits:
            found[limit.id] = max(found.get(limit.id, -1), WORST_LAST.index(limit.verdict))
    apart = {name for name in {*worst[0], *worst[1]} if worst[0].get(name, 0) != worst[1].get(name, 0)}
    assert "recoil.left" in apart  # only the second has a task before it, which is no property of a way
    assert {(pair.one or pair.other).id for pair in both.limits} == apart - {"recoil.left"}
    assert apart


def test_what_refuses_both_ways_stands_first():
    """Beyond the pump's rating in both: no difference, and still the first to be read."""
    both = told(task("One", 1500 * BAR), task("Two", 1600 * BAR))
    assert both.one.task.verdict == both.other.task.verdict == "not_allowed"
    refusing = [pair for pair in both.limits if pair.one and pair.one.verdict == "not_allowed"]
    assert "rating.working" in {pair.one.id for pair in refusing}
    ranks = [max(WORST_LAST.index(each.verdict) for each in (pair.one, pair.other) if each) for pair in both.limits]
    assert ranks == sorted(ranks, reverse=True)


def test_the_worst_of_several_limits_of_one_id_speaks():
    both = told(task("One", 1500 * BAR), task("Two"))
    for pair in both.limits:
        for limit, way in ((pair.one, both.one), (pair.other, both.other)):
            if limit is not None:
                alike = [each for each in way.task.limits if each.id == limit.id]
                assert WORST_LAST.index(limit.verdict) == max(WORST_LAST.index(each.verdict) for each in alike)


def test_a_target_that_is_not_to_be_had_has_no_figures_of_another():
    """All that a pump with so much clearance sweeps is taken up by its own water at 3000 bar."""
    unit = dataclasses.replace(JOB.unit, pump=dataclasses.replace(JOB.unit.pump, clearance=12.0))
    both = told(task("One"), task("Two", 3000 * BAR), unit=unit)
    assert both.other.task.verdict == "not_allowed"
    assert both.other.task.setting.pump_speed is None
    assert both.other.task.tools  # what the unit gives instead is not what was asked for
    assert [name for name, value in both.other.figures.items() if value is not None] == []
