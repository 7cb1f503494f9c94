"""The inlet side of Unit A: by libraries and a sampled crank, and where its limits are listed."""

import dataclasses
import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids import Colebrook

from jetwright.errors import RigError
from jetwright.limits.rules import Bound, RuleSet
from jetwright.plan.assess import assess
from jetwright.plan.basis import Basis
from jetwright.plan.cures import cures_for
from jetwright.plan.inlet import inlet_side
from jetwright.plan.judging.water import limits
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.taken import taken_as
from jetwright.plan.water import inlet_temperature
from jetwright.rig.check import check
from jetwright.rig.description import Bypass, Hose, Hydrant, Port, Suction, Supply, SupplyHose, Tank, Tip, Tool
from jetwright.solve.steady import reach
from tests.limits.unit_a import BAR, BOUNDS, LITRES_A_MINUTE, solved, unit_a

TANK = Tank(volume=0.6)
LINE = Suction(bore=0.038, length=3.0, loss_k=2.0, level=0.4, needed=4.0)
MARGIN = {"supply_npsh_margin": Bound(1.0, "length", "least", "common practice", "common practice", False)}
NEW = {"supply.npsh", "supply.vortex", "supply.hydrant"}


def floor_head(suction=LINE, tank=TANK, bypass=None):
    """Unit A with a floor head of 2 × 1.4 mm and 2 × 1.2 mm on 80 m of 12 mm hose, at 700 bar: 107 L/min, 431 rpm."""
    head = Tool("floor head", bore=0.012, loss_k=3.0, release="none", ports=(Port("A", 2), Port("B", 2)))
    parts = {"suction": suction, "tank": tank} | ({} if bypass is None else {"bypass": bypass})
    job = unit_a(pressure=700 * BAR, hose=Hose(0.012, 80.0), tool=head, **parts)
    return dataclasses.replace(job, tips={"A": Tip(1.4e-3, "rounded"), "B": Tip(1.2e-3, "rounded")})


def side_of(job):
    rig = check(job)
    return inlet_side(rig, machine_for(rig, *target_of(rig)))


def listed(job):
    case = solved(job, **MARGIN)
    return {limit.id: limit for limit in limits(case) if limit.id in NEW}


def steepest(rod_ratio):
    """Steepest change of three plungers' flow over its mean, a radian: their places, differenced twice."""
    angles = np.linspace(0.0, 2.0 * np.pi, 72001)
    place = [
        np.cos(a := angles + 2.0 * np.pi * each / 3.0) + np.sqrt(1.0 - (rod_ratio * np.sin(a)) ** 2) / rod_ratio
        for each in range(3)
    ]
    flow = sum(np.maximum(0.0, -np.gradient(x, angles)) for x in place)[2:-2]
    return np.max(np.abs(np.diff(flow))) / (angles[1] - angles[0]) / np.mean(flow)


@pytest.mark.published("CoolProp 8.0.0, fluids 1.3: vapour pressure, friction factor; Newton's law over 1.5")
@pytest.mark.parametrize(("rod_ratio", "level"), [(0.2, 0.4), (0.25, -1.0)])
def test_head_at_the_pump_by_libraries(rod_ratio, level):
    """An open tank: the sky, the water's height, less friction, less what speeding the water up takes."""
    suction = dataclasses.replace(LINE, rod_ratio=rod_ratio, level=level)
    rig = check(floor_head(suction))
    machine = machine_for(rig, *target_of(rig))
    assert machine.bypass == "closed"
    density = PropsSI("D", "T", 291.15, "P", rig.water.ambient, "Water")
    viscosity = PropsSI("V", "T", 291.15, "P", rig.water.ambient, "Water")
    speed = machine.state.mass_flow / density / (0.25 * math.pi * 0.038**2)
    factor = Colebrook(density * speed * 0.038 / viscosity, 1e-5 / 0.038)
    loss = (factor * 3.0 / 0.038 + 2.0) * speed**2 / (2.0 * 9.80665)
    pulses = 3.0 * speed * 2.0 * math.pi * machine.speed * steepest(rod_ratio) / (1.5 * 9.80665)
    boils = PropsSI("P", "T", 291.15, "Q", 0, "Water")
    head = (rig.water.ambient - boils) / (density * 9.80665) + level - loss - pulses
    side = inlet_side(rig, machine)
    assert side.speed == pytest.approx(speed, rel=1e-3)
    assert side.acceleration_head == pytest.approx(pulses, rel=2e-3)
    assert side.npsh == pytest.approx(head, rel=2e-3)
    gauge = density * 9.80665 * (level - loss)
    assert side.pressure == pytest.approx(gauge, abs=1e-3 * density * 9.80665 * loss)


def test_what_feeds_the_line():
    """The booster before the tank, the tank before the unit's inlet; a height counts where it is one."""
    still = dataclasses.replace(LINE, loss_k=0.0, length=1e-6)
    weight = 998.6 * 9.80665
    assert side_of(floor_head(still)).pressure == pytest.approx(0.4 * weight, rel=1e-3)
    boosted = dataclasses.replace(still, boost=3e5)
    assert side_of(floor_head(boosted)).pressure == pytest.approx(3e5, rel=1e-3)
    lifted = dataclasses.replace(boosted, level=-2.0)
    assert side_of(floor_head(lifted)).pressure == pytest.approx(3e5 - 2.0 * weight, rel=1e-3)
    bare = dataclasses.replace(still, level=0.0)
    supplied = dataclasses.replace(
        floor_head(bare, tank=None), supply=Supply(3.5e5, 150 * LITRES_A_MINUTE, 291.15, SupplyHose(0.019, 40.0))
    )
    rig = check(supplied)
    machine = machine_for(rig, *target_of(rig))
    assert machine.inlet < 3.0e5
    assert inlet_side(rig, machine).pressure == pytest.approx(machine.inlet, rel=1e-3)


def test_without_a_line_it_is_the_unit_s_inlet():
    rig = check(floor_head(suction=None))
    machine = machine_for(rig, *target_of(rig))
    side = inlet_side(rig, machine)
    assert (side.pressure, side.npsh, side.cover_needed) == (machine.inlet, None, None)


@pytest.mark.parametrize(("returns_to", "drawn"), [("tank", 29.71), ("ground", 29.71), ("suction", 17.84)])
def test_what_the_bypass_lets_back_is_drawn_again(returns_to, drawn):
    """Worked case 1: 29.71 L/min at the pump, 17.84 through the tip; the plungers pulse with all of it in any case."""
    bypass = Bypass("hand-set", returns_to=returns_to, full_open_area=20e-6)
    side = side_of(unit_a(suction=LINE, tank=TANK, bypass=bypass))
    area = 0.25 * math.pi * 0.038**2
    assert side.speed == pytest.approx(drawn * LITRES_A_MINUTE / area, rel=0.01)
    pulses = 3.0 * 29.71 * LITRES_A_MINUTE / area * 120.0 * side.constant / (1.5 * 9.80665)
    assert side.acceleration_head == pytest.approx(pulses, rel=0.01)
    froude = drawn * LITRES_A_MINUTE / area / math.sqrt(9.80665 * 0.038)
    assert side.cover_needed == pytest.approx(0.038 * (1.0 + 2.3 * froude), rel=0.01)


def test_water_that_the_bypass_warms_boils_sooner():
    rig = check(unit_a(suction=LINE, tank=TANK))
    machine = machine_for(rig, *target_of(rig))
    warm = inlet_temperature(rig, machine)
    assert warm > 300.0
    cold, hot = (PropsSI("P", "T", t, "Q", 0, "Water") for t in (291.15, warm))
    cool = check(unit_a(suction=LINE, tank=TANK, bypass=Bypass("hand-set", "ground", full_open_area=20e-6)))
    lost = inlet_side(cool, machine_for(cool, *target_of(cool))).npsh - inlet_side(rig, machine).npsh
    assert lost == pytest.approx((hot - cold) / (998.6 * 9.80665), rel=2e-3)


def test_a_wider_or_shorter_line_and_a_booster_never_cost_head():
    heads = [side_of(floor_head(dataclasses.replace(LINE, bore=bore))).npsh for bore in (0.025, 0.032, 0.038, 0.05)]
    assert heads == sorted(heads)
    heads = [side_of(floor_head(dataclasses.replace(LINE, length=length))).npsh for length in (6.0, 3.0, 1.0)]
    assert heads == sorted(heads)
    heads = [side_of(floor_head(dataclasses.replace(LINE, boost=boost))).npsh for boost in (None, 1e5, 3e5)]
    assert heads == sorted(heads)


def test_a_pump_by_its_plate_is_taken_for_one_of_three_plungers():
    job = floor_head()
    plate = dataclasses.replace(job.unit.pump, plungers=None, plunger_diameter=None, stroke=None, flow_per_turn=0.25e-3)
    by_plate = dataclasses.replace(job, unit=dataclasses.replace(job.unit, pump=plate))
    assert side_of(by_plate).constant == side_of(job).constant
    rig = check(by_plate)
    taken = {one.key: one.value for one in taken_as(rig, reach(rig, *target_of(rig)))}
    assert (taken["unit.pump.plungers"], taken["unit.suction.outlet"]) == (3, 0.038)
    rig = check(dataclasses.replace(job, unit=dataclasses.replace(job.unit, suction=None)))
    assert not {"unit.pump.plungers", "unit.suction.outlet"} & {
        one.key for one in taken_as(rig, reach(rig, *target_of(rig)))
    }


# ---- limits: only where something of it is described ----------------------------------------------------------------


def test_a_job_that_says_nothing_of_its_inlet_side_has_no_such_limit():
    assert listed(floor_head(suction=None)) == {}
    assert listed(unit_a()) == {}


@pytest.mark.rule("supply.npsh")
@pytest.mark.parametrize(
    ("needed", "verdict", "value"),
    [(None, "not_judged", 5.09), (3.5, "within", 5.09), (4.5, "look", 5.09), (5.5, "look", 5.09), (10.2, "look", 5.09),
     (10.5, "not_allowed", 10.36)],
)  # fmt: skip
def test_the_plate_against_what_the_pump_finds(needed, verdict, value):
    """Through 50 mm at 0.91 m/s, by hand: 10.09 m of sky + 0.4 m - 0.13 m lost - 5.27 m for the pulses (C 0.0658)."""
    head = listed(floor_head(dataclasses.replace(LINE, bore=0.05, needed=needed)))["supply.npsh"]
    assert head.value == pytest.approx(value, abs=0.03)
    assert head.verdict == verdict


@pytest.mark.rule("supply.npsh")
def test_a_long_line_is_not_refused_by_a_formula_for_short_ones():
    """By hand: the pulses go with the length: 40 m of 50 mm take 70 m, and what is lost in friction refuses nothing."""
    line = dataclasses.replace(LINE, bore=0.05, length=40.0, loss_k=0.0, needed=4.0)
    limit = listed(floor_head(line))["supply.npsh"]
    assert limit.facts["pulses"] == pytest.approx(5.27 * 40.0 / 3.0, rel=0.01)
    assert limit.value < 0.0
    assert (limit.verdict, limit.source, limit.verified) == ("look", "Hydraulic Institute, from memory", False)


@pytest.mark.rule("supply.vortex")
def test_a_vortex_is_judged_where_a_tank_is_drawn_from():
    assert listed(floor_head())["supply.vortex"].verdict == "not_judged"
    low, high = (listed(floor_head(dataclasses.replace(LINE, cover=cover)))["supply.vortex"] for cover in (0.1, 0.6))
    assert (low.verdict, high.verdict) == ("look", "within")
    wide = listed(floor_head(dataclasses.replace(LINE, cover=0.2, outlet=0.1)))["supply.vortex"]
    assert wide.bound < low.bound  # slower through a wider outlet
    assert "supply.vortex" not in listed(floor_head(dataclasses.replace(LINE, level=0.0), tank=None))


@pytest.mark.rule("supply.hydrant")
@pytest.mark.parametrize(("flow", "verdict"), [(150.0, "within"), (108.0, "within"), (106.0, "look")])
def test_a_tested_hydrant(flow, verdict):
    """NFPA 291 as quoted: 5 bar still, 3.5 bar at the flow of the test; 107.2 L/min are drawn, 150 written."""
    job = floor_head(suction=None)
    tested = dataclasses.replace(job.supply, hydrant=Hydrant(5e5, 3.5e5, flow * LITRES_A_MINUTE))
    limit = listed(dataclasses.replace(job, supply=tested))["supply.hydrant"]
    assert limit.value == pytest.approx(flow * LITRES_A_MINUTE)
    assert limit.verdict == verdict
    assert limit.bound == pytest.approx(107.2 * LITRES_A_MINUTE, rel=0.01)


@pytest.mark.rule("supply.npsh")
def test_what_cures_a_starved_pump_is_solved_again():
    starved = dataclasses.replace(LINE, bore=0.02, needed=4.0)
    job = floor_head(starved)
    rules = RuleSet("test", "1", "", BOUNDS)
    basis = Basis(rules, solved(job).basis.orders, solved(job).basis.day)
    refused = assess(check(job), 0, basis, steps=False)
    assert ("supply.npsh", "") in refused.refused
    cures, cut = cures_for(job, 0, basis, refused)
    found_cures = {cure.kind: cure for cure in cures["supply"]}
    assert not cut
    assert {"suction", "boost"} <= set(found_cures)
    bore, boost = found_cures["suction"].after, found_cures["boost"].after
    for line in (dataclasses.replace(starved, bore=bore), dataclasses.replace(starved, boost=boost)):
        side = side_of(floor_head(line))
        assert side.npsh + side.acceleration_head >= 4.0


# ---- descriptions that do not fit together ---------------------------------------------------------------------------


@pytest.mark.parametrize("wrong", [{"outlet": 0.05}, {"cover": 0.2}, {"level": 1.0}, {"level": -1.0}])
def test_what_belongs_to_a_tank_needs_one(wrong):
    line = Suction(bore=0.038, length=3.0, **wrong)
    check(floor_head(line))
    with pytest.raises(RigError) as refusal:
        check(floor_head(line, tank=None))
    [problem] = refusal.value.problems
    assert (problem.code, problem.key) == ("needs_tank", ("unit", "suction", *wrong))


@pytest.mark.parametrize("static", [3e5, 4e5])
def test_a_hydrant_loses_pressure_as_it_gives_water(static):
    job = floor_head(suction=None)
    check(dataclasses.replace(job, supply=dataclasses.replace(job.supply, hydrant=Hydrant(4.1e5, 4e5, 2e-3))))
    tested = dataclasses.replace(job.supply, hydrant=Hydrant(static, 4e5, 2e-3))
    with pytest.raises(RigError) as refusal:
        check(dataclasses.replace(job, supply=tested))
    assert [problem.code for problem in refusal.value.problems] == ["hydrant_order"]
