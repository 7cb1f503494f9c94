"""Water and heat of Unit A: worked cases, and a balance of enthalpies by an independent program."""

import dataclasses
import datetime

import pytest
from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

from jetwright.limits.rules import Bound, RuleSet
from jetwright.parts.pump import shaft_power
from jetwright.plan.basis import Basis
from jetwright.plan.case import Case
from jetwright.plan.judging.water import limits
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.tolerance import tolerance_of
from jetwright.plan.water import BOILS, inlet_temperature, seconds_to_heat, supplied, water_draw, water_stock
from jetwright.rig.check import check
from jetwright.rig.description import Bypass, Hose, Hydrant, Port, Supply, Tank, Tip, Tool
from jetwright.rig.order import Orders
from jetwright.solve.states import trigger_states
from tests.limits.unit_a import BAR, GUN, LITRES_A_MINUTE, RPM, found, unit_a, worked

MINUTE = 60.0
COOLPROP = pytest.mark.published("CoolProp 8.0.0: IAPWS R6-95(2018)")
RULES = RuleSet(
    "test",
    "1",
    "",
    {
        "heat.water": Bound(313.15, "temperature", "most", "common practice", "common practice", False),
        "heat.no_flow": Bound(120.0, "time", "least", "common practice", "common practice", False),
    },
)
SHUT_OFF = dataclasses.replace(GUN, release="dry shut-off", dump=None)
TANK = Tank(volume=0.6)


def solved(job):
    rig = check(job)
    machine = machine_for(rig, *target_of(rig))
    proving = proving_point(rig, machine.state.pump_pressure)
    basis = Basis(RULES, Orders("", {}, {}), datetime.date(2026, 5, 4))
    tolerance = tolerance_of(rig, machine, proving)
    return Case(rig, 0, basis, machine, proving, tolerance, trigger_states(rig, machine.levers), (), None)


def listed(case):
    return {limit.id: limit.verdict for limit in limits(case)}


def floor_head(supply=85.0, tank=None, planned_time=None):
    """Unit A with a floor head of 2 × 1.4 mm and 2 × 1.2 mm on 80 m of 12 mm hose, at 700 bar."""
    head = Tool("floor head", bore=0.012, loss_k=3.0, release="none", ports=(Port("A", 2), Port("B", 2)))
    job = unit_a(pressure=700 * BAR, hose=Hose(0.012, 80.0), tool=head, tank=tank)
    return dataclasses.replace(
        job,
        supply=dataclasses.replace(job.supply, flow=supply * LITRES_A_MINUTE),
        tips={"A": Tip(1.4e-3, "rounded"), "B": Tip(1.2e-3, "rounded")},
        task=(dataclasses.replace(job.task[0], planned_time=planned_time),),
    )


@worked(20)
@pytest.mark.parametrize(
    ("tank", "share"), [(Tank(volume=0.6, usable=0.45), 1.0), (TANK, 1.0), (Tank(volume=0.6, usable=0.225), 0.5)]
)
def test_a_hydrant_that_gives_too_little(tank, share):
    """450 L usable, given or three quarters of 600 L."""
    case = solved(floor_head(tank=tank))
    stock = water_stock(case.rig, case.machine)
    assert stock.lasts == pytest.approx(share * 20.3 * MINUTE, rel=0.01)
    assert stock.short == pytest.approx((107.2 - 85.0) * LITRES_A_MINUTE, rel=0.01)
    limit = found(limits(case), "supply.water")
    assert (limit.verdict, limit.value) == ("look", stock.lasts)


def test_a_tank_that_outlasts_the_task_is_enough():
    case = solved(floor_head(tank=TANK, planned_time=15 * MINUTE))
    assert listed(case)["supply.water"] == "within"


def test_a_short_supply_without_a_tank_is_not_judged():
    case = solved(floor_head())
    assert water_stock(case.rig, case.machine).lasts is None
    assert found(limits(case), "supply.water").verdict == "look"


def test_a_bypass_that_goes_to_ground_is_drawn_as_well():
    """Continuity: all of the pump's 29.71 L/min leave, not the tip's 17.84 alone."""
    ground = Bypass("hand-set", returns_to="ground", full_open_area=20e-6)
    for bypass, drawn in ((ground, 29.71), (dataclasses.replace(ground, returns_to="tank"), 17.84)):
        case = solved(unit_a(bypass=bypass))
        assert water_draw(case.rig, case.machine) == pytest.approx(drawn * LITRES_A_MINUTE, rel=0.01)


def balance(case):
    """Steady temperature of the pump's inlet by a balance of enthalpies, its spill back in an open tank. [K]"""
    water, machine = case.rig.water, case.machine
    ambient, supply = water.ambient, water.temperature

    def enthalpy(temperature, pressure=ambient):
        return PropsSI("H", "T", temperature, "P", pressure, "Water")

    def excess(temperature):
        inlet = machine.inlet + ambient
        entropy = PropsSI("S", "T", temperature, "P", inlet, "Water")
        pumped = PropsSI("H", "S", entropy, "P", machine.state.pump_pressure + ambient, "Water")
        gained = machine.state.mass_flow * (enthalpy(temperature) - enthalpy(supply))
        return gained - machine.bypass_flow * (pumped - enthalpy(temperature))

    return brentq(excess, supply, 372.0)


@COOLPROP
@pytest.mark.parametrize("pressure", [300, 600, 900])
def test_the_tank_warms_until_the_fresh_water_carries_the_heat_away(pressure):
    case = solved(unit_a(pressure=pressure * BAR, tank=TANK))
    warm = inlet_temperature(case.rig, case.machine)
    assert case.machine.bypass == "part open"
    assert warm - 291.15 == pytest.approx(balance(case) - 291.15, rel=0.01)


def test_a_supply_that_is_short_cools_less():
    """Mass balance: half the fresh water, twice the rise."""
    case = solved(unit_a(tank=TANK))
    half = 0.5 * case.machine.state.mass_flow / case.rig.water.reference_density
    scarce = solved(dataclasses.replace(unit_a(tank=TANK), supply=Supply(3.5 * BAR, half, 291.15)))
    rises = [inlet_temperature(one.rig, one.machine) - 291.15 for one in (case, scarce)]
    assert rises[1] == pytest.approx(2.0 * rises[0], rel=0.03)


def behind(hydrant, job):
    return dataclasses.replace(job, supply=dataclasses.replace(job.supply, hydrant=hydrant))


@pytest.mark.published("NFPA 291, as quoted, by hand: 120·((4 - 3.5)/(4 - 2))^0.54 = 56.8 L/min")
def test_the_less_of_supply_and_hydrant_is_what_there_is():
    """450 L behind 56.8 of 107.2 L/min last 8.93 min; what is written for the supply is 150."""
    weak = Hydrant(4.0 * BAR, 2.0 * BAR, 120 * LITRES_A_MINUTE)
    case = solved(behind(weak, floor_head(150.0, tank=TANK, planned_time=15 * MINUTE)))
    assert supplied(case.rig.job.supply) == pytest.approx(56.8 * LITRES_A_MINUTE, abs=0.05 * LITRES_A_MINUTE)
    stock = water_stock(case.rig, case.machine)
    assert stock.short == pytest.approx((107.2 - 56.8) * LITRES_A_MINUTE, rel=0.01)
    assert stock.lasts == pytest.approx(8.93 * MINUTE, rel=0.02)
    limit = found(limits(case), "supply.water")
    assert (limit.verdict, limit.value) == ("look", stock.lasts)
    strong = solved(behind(dataclasses.replace(weak, flow=1.0), floor_head(85.0, tank=TANK)))
    assert supplied(strong.rig.job.supply) == 85 * LITRES_A_MINUTE


def test_a_hydrant_that_is_short_cools_as_little_as_a_supply_that_is():
    scarce = 8 * LITRES_A_MINUTE
    tested = Hydrant(5.0 * BAR, 3.5 * BAR, scarce)  # tested at the supply's own pressure
    by_test = solved(behind(tested, unit_a(tank=TANK)))
    written = solved(dataclasses.replace(unit_a(tank=TANK), supply=Supply(3.5 * BAR, scarce, 291.15)))
    warm = [found(limits(one), "heat.tank").value for one in (by_test, written)]
    assert warm[0] == pytest.approx(warm[1], rel=1e-9)
    assert warm[0] > inlet_temperature(by_test.rig, by_test.machine) + 1.0
    hot = dataclasses.replace(TANK, hottest=313.15)
    dry = solved(behind(Hydrant(3.0 * BAR, 2.0 * BAR, scarce), unit_a(tank=hot)))
    limit = found(limits(dry), "heat.tank")
    assert (limit.verdict, limit.value) == ("look", BOILS)  # nothing comes at all, by a test that refuses nothing


def test_nothing_warms_what_does_not_come_back():
    ground = Bypass("hand-set", returns_to="ground", full_open_area=20e-6)
    for job in (unit_a(bypass=ground), unit_a(bore=1.4e-3)):
        case = solved(job)
        assert inlet_temperature(case.rig, case.machine) == 291.15
        assert listed(case)["heat.tank"] == "within"


@pytest.mark.parametrize("pressure", [1e-4, 1.0, 100.0, 1 * BAR, 2 * BAR])
def test_a_target_below_the_supplys_own_pressure_cools_nothing(pressure):
    """First law: a pump that lifts nothing takes no heat out of what goes round; the supply here gives 3.5 bar."""
    case = solved(unit_a(pressure=pressure, bypass=Bypass("hand-set", returns_to="tank", full_open_area=1e-3)))
    assert case.machine.state.pump_pressure < case.machine.inlet
    assert case.machine.bypass_flow > 0.0
    warm = found(limits(case), "heat.tank").value
    assert case.rig.job.supply.temperature <= warm <= BOILS


def test_hot_water_is_looked_at_and_refused_by_the_plate_alone():
    """1.0 mm at 900 bar leaves the tank at some 33 degC, 0.8 mm at some 53 degC: 40 and 62 % are spilt."""
    for bore, plate, verdict in (
        (1.0e-3, None, "within"),
        (0.8e-3, None, "look"),
        (1.0e-3, 303.15, "not_allowed"),
        (0.8e-3, 303.15, "not_allowed"),
    ):
        case = solved(unit_a(bore=bore, tank=Tank(volume=0.6, hottest=plate)))
        assert listed(case)["heat.tank"] == verdict


@worked(25)
@pytest.mark.parametrize(("litres", "seconds"), [(600, 20.4 * MINUTE), (200, 6.8 * MINUTE), (5, 10.0)])
def test_no_flow_at_933_bar(litres, seconds):
    """45 kW into the tank or the loop, from 18 to 40 degC."""
    case = solved(unit_a())
    pump_pressure, water = case.machine.state.pump_pressure, case.rig.water
    heating = shaft_power(water, case.rig.pump, 120 * RPM, case.machine.inlet, pump_pressure)[0]
    assert heating == pytest.approx(45.1e3, rel=0.01)
    lasts = seconds_to_heat(water, litres * 1e-3, heating, 291.15, 313.15)
    assert lasts == pytest.approx(seconds, rel=0.01, abs=0.5 if litres == 5 else 0.0)


@worked(25)
def test_an_unloader_hardly_warms_its_tank():
    """At its idle pressure of 20 bar 600 L take more than 17 h."""
    unloader = Bypass("unloader", returns_to="tank", set=1100 * BAR, idle_pressure=20 * BAR)
    case = solved(unit_a(bore=1.3e-3, tool=SHUT_OFF, bypass=unloader, tank=TANK))
    limit = found(limits(case), "heat.no_flow")
    assert case.states[-1].unloaded
    assert case.machine.speed == pytest.approx(120 * RPM, rel=0.05)
    assert limit.value > 17 * 60 * MINUTE
    assert limit.verdict == "within"


@pytest.mark.parametrize(
    ("returns_to", "loop", "verdict", "missing"),
    [
        ("suction", 0.005, "look", ""),
        ("suction", None, "not_judged", "unit.bypass.loop"),
        ("tank", None, "within", ""),
        ("ground", None, None, ""),
    ],
)
def test_a_regulating_valve_heats_what_goes_round(returns_to, loop, verdict, missing):
    """The whole power of the pump, from where the water settled before: seconds in a loop, minutes in a tank."""
    valve = Bypass("regulating", returns_to=returns_to, loop=loop)
    case = solved(unit_a(bore=1.4e-3, tool=SHUT_OFF, bypass=valve, tank=TANK))
    assert listed(case).get("heat.no_flow") == verdict
    for limit in limits(case):
        if limit.id == "heat.no_flow":
            assert limit.missing == missing


def test_no_flow_starts_from_the_water_as_warm_as_it_has_become():
    """First law by hand: what is left to 40 degC, at the power of the pump with its valve fully passing."""
    valve = Bypass("regulating", returns_to="tank", spill=0.10)
    case = solved(unit_a(bore=1.4e-3, tool=SHUT_OFF, bypass=valve, tank=TANK))
    warm, let_go = inlet_temperature(case.rig, case.machine), case.states[-1].pump_pressure
    power = shaft_power(case.rig.water, case.rig.pump, case.machine.speed, case.machine.inlet, let_go)[0]
    assert 291.15 < warm < 296.15
    by_hand = 598.9 * 4180.0 * (313.15 - warm) / power
    assert found(limits(case), "heat.no_flow").value == pytest.approx(by_hand, rel=2e-3)


def test_a_dump_lets_fresh_water_through():
    assert "heat.no_flow" not in listed(solved(unit_a(tank=TANK)))


def test_a_valve_without_a_described_tank_is_not_judged():
    valve = Bypass("regulating", returns_to="tank")
    case = solved(unit_a(bore=1.4e-3, tool=SHUT_OFF, bypass=valve))
    assert found(limits(case), "heat.no_flow").missing == "unit.tank"


def test_an_unloader_that_adds_no_heat_is_not_listed():
    """Idling at less than the supply's pressure adds nothing."""
    unloader = Bypass("unloader", returns_to="tank", set=1100 * BAR, idle_pressure=3 * BAR)
    job = unit_a(bore=1.3e-3, tool=SHUT_OFF, bypass=unloader, tank=TANK)
    assert "heat.no_flow" not in listed(solved(job))
