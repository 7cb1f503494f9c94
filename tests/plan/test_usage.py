"""What a task uses: worked cases, hand arithmetic, balances, and Pint for the units."""

import dataclasses
import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.parts.engine import FUEL_RATE, fuel_flow
from jetwright.plan.answer import Use
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.usage import CO2_OF_DIESEL, DIESEL_CO2, amount_of, time_of_extent, usage_of
from jetwright.plan.water import water_draw, water_stock
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Extent, Free, Pipe, Port, Tank, Times, Tip, Travel, Waste
from tests.limits.unit_a import GUN, LITRES_A_MINUTE, UNIT, unit_a, worked
from tests.plan.test_water import floor_head

UNITS = pint.UnitRegistry()
MINUTE, HOUR, LITRE = 60.0, 3600.0, 1e-3
PER_HOUR = LITRE / HOUR


def used(job, fuel=None, def_fluid=0.0):
    """What the first task uses; `fuel` and `def_fluid` are put in place of what the engine burns at its load."""
    rig = check(job)
    machine = machine_for(rig, *target_of(rig))
    burnt = fuel_flow(machine.engine.power, FUEL_RATE) if fuel is None else fuel
    engine = rig.job.unit.engine
    use = Use(water_draw(rig, machine), None if engine is None else burnt, None if engine is None else def_fluid, None)
    return usage_of(rig, machine, use, water_stock(rig, machine))


def task(job, **fields):
    """The job with fields of its first task replaced."""
    return dataclasses.replace(job, task=(dataclasses.replace(job.task[0], **fields), *job.task[1:]))


def by_hand(**fields):
    return task(unit_a(), **fields)


# ---- water and waste


@worked(20)
def test_a_hydrant_that_gives_too_little_and_what_the_task_takes():
    """107.2 L/min; 450 L usable behind 85 L/min last 20.3 min, and a quarter of an hour takes 1608 L."""
    usage = used(floor_head(tank=Tank(volume=0.6, usable=0.45), planned_time=15 * MINUTE))
    assert usage.water_lasts == pytest.approx(20.3 * MINUTE, rel=0.01)
    assert usage.water == pytest.approx(1.608, rel=0.01)


@given(st.floats(0.0, 1.0), st.floats(60.0, 36000.0))
def test_the_water_comes_back_or_is_lost(share, time):
    """Continuity: in = waste + lost, whatever the share, and a tank of a quarter of it fills four times a whole."""
    job = dataclasses.replace(by_hand(planned_time=time), waste=Waste(0.5, share))
    usage = used(job)
    lost = (1.0 - share) * usage.water
    assert usage.waste + lost == pytest.approx(usage.water)
    assert usage.waste_fills == pytest.approx(usage.waste / 0.5)


def test_what_goes_to_ground_is_used_as_well():
    """Unit A at 900 bar: 29.71 L/min leave with the bypass to ground, 17.84 with it to the tank."""
    for returns_to, litres in (("ground", 29.71), ("tank", 17.84)):
        bypass = dataclasses.replace(UNIT.bypass, returns_to=returns_to)
        usage = used(task(unit_a(bypass=bypass), planned_time=HOUR))
        assert usage.water == pytest.approx(60 * litres * LITRE, rel=0.01)


def test_nothing_said_of_the_waste_is_nothing_known():
    usage = used(by_hand(planned_time=HOUR))
    assert (usage.waste, usage.waste_fills) == (None, None)
    assert used(dataclasses.replace(by_hand(planned_time=HOUR), waste=Waste())).waste_fills is None


# ---- fuel, DEF, CO2


def test_fuel_of_a_pump_at_1000_bar_and_50_litres():
    """By hand: 1000 bar × 50 L/min / 0.90 = 92.59 kW, / 0.80 = 115.74 kW, × 210 g/kWh / 0.835 kg/L = 29.11 L/h."""
    engine = 100e6 * 50 * LITRES_A_MINUTE / 0.90 / 0.80
    assert engine == pytest.approx(115.74e3, abs=5.0)
    usage = used(by_hand(planned_time=2 * HOUR), fuel=fuel_flow(engine, FUEL_RATE))
    assert usage.fuel == pytest.approx(2 * 29.11 * LITRE, abs=0.01 * LITRE)


def test_an_engine_without_load_burns_a_tenth():
    """By hand at 1500 rpm: 235 kW × 210 g/kWh / 0.835 kg/L = 59.10 L/h at full load, 5.91 L/h without."""
    times = Times(setup=30 * MINUTE, change=20 * MINUTE, standby=10 * MINUTE)
    usage = used(by_hand(planned_time=2 * HOUR, times=times), fuel=20 * PER_HOUR)
    assert usage.fuel == pytest.approx((2 * 20 + 5.91) * LITRE, abs=0.005 * LITRE)
    assert usage.total == 3 * HOUR


def test_def_is_used_where_it_has_a_tank():
    """Four hundredths of the fuel (common practice), with and without load."""
    engine = dataclasses.replace(UNIT.engine, fuel_tank=0.4, def_tank=0.04)
    job = task(unit_a(engine=engine), planned_time=HOUR, times=Times(standby=HOUR))
    usage = used(job, fuel=20 * PER_HOUR, def_fluid=0.04 * 20 * PER_HOUR)
    assert usage.def_fluid == pytest.approx(0.04 * usage.fuel)
    assert usage.fuel_lasts == pytest.approx(20 * HOUR)  # 400 L at 20 L/h
    assert usage.def_lasts == pytest.approx(50 * HOUR)  # 40 L at 0.8 L/h
    assert used(by_hand(planned_time=HOUR, times=Times(standby=HOUR))).def_fluid == 0.0


@pytest.mark.published(
    "2006 IPCC Guidelines, volume 2, tables 1.2 and 1.3: 43.0 TJ/Gg, 20.2 kg of carbon a GJ (memory)"
)
def test_co2_of_diesel_from_its_carbon():
    """Another table of the same work: carbon × 44/12, to the digits in which the factor is printed."""
    kilograms_a_gigajoule = DIESEL_CO2 * 1e9
    assert kilograms_a_gigajoule == pytest.approx(20.2 * 44 / 12, abs=0.05)
    assert UNITS.Quantity(CO2_OF_DIESEL, "kg/m^3").to("kg/L").magnitude == pytest.approx(
        0.835 * 43.0e-3 * 74.1, abs=1e-6
    )
    usage = used(by_hand(planned_time=HOUR), fuel=10 * PER_HOUR)
    assert usage.co2 == pytest.approx(26.6, abs=0.05)


def test_without_an_engine_no_fuel_is_known():
    usage = used(task(unit_a(engine=None), planned_time=HOUR, times=Times(standby=HOUR)))
    assert (usage.fuel, usage.def_fluid, usage.co2, usage.fuel_lasts, usage.def_lasts) == (None,) * 5
    assert usage.water > 0.0
    assert usage.total == 2 * HOUR


# ---- time, people, tips


def test_nothing_planned_is_nothing_known_but_how_long_tanks_last():
    engine = dataclasses.replace(UNIT.engine, fuel_tank=0.4)
    usage = used(unit_a(engine=engine), fuel=20 * PER_HOUR)
    known = {name for name in ("trigger", "total", "water", "waste", "fuel", "co2", "crew") if getattr(usage, name)}
    assert known == set()
    assert usage.worn == ()
    assert usage.fuel_lasts == pytest.approx(20 * HOUR)


def test_times_that_nobody_gave_are_not_taken_as_none():
    usage = used(by_hand(planned_time=HOUR))
    assert (usage.total, usage.crew) == (None, None)
    usage = used(by_hand(planned_time=HOUR, times=Times(setup=HOUR)))
    assert (usage.total, usage.crew) == (2 * HOUR, None)
    assert used(by_hand(planned_time=HOUR, times=Times(setup=HOUR, crew=3))).crew == 6 * HOUR


def test_tips_are_worn_by_their_trigger_time():
    """Two of one kind and one of another: 2 h of 50 h and of 20 h, on each of two guns."""
    gun = dataclasses.replace(GUN, ports=(Port("T", 2), Port("W"), Port("N")))
    tips = {"T": Tip(0.8e-3, "rounded", life=50 * HOUR), "W": Tip(0.8e-3, "cone", life=20 * HOUR)}
    job = dataclasses.replace(unit_a(tool=gun), tips=tips | {"N": Tip(0.8e-3, "cone")})
    job = task(job, planned_time=2 * HOUR, times=Times(setup=HOUR))
    assert dict(used(job).worn) == pytest.approx({"T": 0.08, "W": 0.1})
    pair = (Branch("gun", ("H",)), Branch("gun", ("H",)))
    assert dict(used(task(job, tool=None, hose_run=(), branches=pair)).worn) == pytest.approx({"T": 0.16, "W": 0.2})


def asked_time(job):
    rig = check(job)
    return time_of_extent(rig, machine_for(rig, *target_of(rig)))


def test_a_length_takes_as_long_as_the_travel():
    """By hand: 40 tubes of 6 m at 2 m a minute, half of the time on the move: 240 min; two guns: half of that."""
    work = {"extent": Extent(6.0, count=40), "travel": Travel(2.0, MINUTE, at_work=0.5)}
    assert asked_time(by_hand(**work)) == pytest.approx(240 * MINUTE)
    pair = (Branch("gun", ("H",)), Branch("gun", ("H",)))
    assert asked_time(by_hand(**work, tool=None, hose_run=(), branches=pair)) == pytest.approx(120 * MINUTE)
    planned = used(by_hand(**work, planned_time=HOUR))
    assert (planned.trigger, planned.by_extent) == (HOUR, pytest.approx(240 * MINUTE))  # what is planned wins
    assert used(by_hand(**work)).trigger == pytest.approx(240 * MINUTE)


def test_an_area_takes_as_long_as_its_tracks():
    """By hand: 20 m², a track of 20 mm less a fifth, 0.1 m/s, 60 % of the time: 20 / (0.1·0.016·0.6) s."""
    work = {
        "extent": Extent(10.0, 2.0),
        "travel": Travel(6.0, MINUTE, overlap=0.2, at_work=0.6),
        "jet": Free(0.1, footprint=0.02),
    }
    assert asked_time(by_hand(**work)) == pytest.approx(20.0 / (0.1 * 0.016 * 0.6))


@pytest.mark.parametrize("missing", ["extent", "travel", "jet"])
def test_a_time_that_does_not_follow_is_not_known(missing):
    work = {"extent": Extent(10.0, 2.0), "travel": Travel(6.0, MINUTE), "jet": Free(0.1, footprint=0.02)}
    del work[missing]
    assert asked_time(by_hand(**work)) is None


@pytest.mark.parametrize(
    ("work", "missing"),
    [
        ({}, ()),
        ({"travel": Travel(6.0, MINUTE)}, ()),
        ({"extent": Extent(10.0)}, ("task.travel",)),
        ({"extent": Extent(10.0, 2.0)}, ("task.travel", "task.jet")),
        ({"extent": Extent(10.0, 2.0), "travel": Travel(6.0, MINUTE)}, ("task.jet",)),
        ({"extent": Extent(10.0, 2.0), "jet": Free(0.1)}, ("task.travel",)),
        ({"extent": Extent(10.0, 2.0), "planned_time": HOUR}, ()),
        ({"extent": Extent(10.0, 2.0), "travel": Travel(6.0, MINUTE), "jet": Free(0.1, footprint=0.02)}, ()),
    ],
)
def test_an_extent_that_gives_no_time_names_what_is_missing(work, missing):
    assert used(by_hand(**work)).missing == missing


def test_what_is_missing_differs_with_the_tool():
    """A head's radius is the width of its pass; in a pipe the wall's is the pipe's."""
    area = {"extent": Extent(10.0, 2.0), "travel": Travel(6.0, MINUTE)}
    head = dataclasses.replace(GUN, kind="floor head", release="none", dump=None, ports=(Port("T", 2, radius=0.15),))
    assert used(task(unit_a(tool=head), **area)).missing == ()
    nozzle = dataclasses.replace(GUN, kind="pipe nozzle", held_by="hose", release="none", dump=None)
    assert used(task(unit_a(tool=nozzle), **area)).missing == ("task.pipe",)
    piped = used(task(unit_a(tool=nozzle), **area, pipe=Pipe(0.2)))
    assert piped.trigger == pytest.approx(20.0 / (0.1 * math.pi * 0.2 * 0.55))  # 55 % of the time on the move


def test_nothing_follows_where_stripes_are_certain():
    """By hand: two tracks of 5 mm, a fifth of overlap, 10 m a minute: 1250 rpm, and the head turns at 300."""
    head = dataclasses.replace(
        GUN, kind="floor head", release="none", dump=None, ports=(Port("T", 2, radius=0.15),), turns=300.0 / MINUTE
    )
    work = {"extent": Extent(10.0, 3.0), "travel": Travel(10.0, MINUTE), "jet": Free(0.03, footprint=0.005)}
    usage = used(task(unit_a(tool=head), **work))
    assert (usage.trigger, usage.water, usage.fuel, usage.by_extent, usage.missing) == (None, None, None, None, ())
    assert used(task(unit_a(tool=dataclasses.replace(head, turns=1250.0 / MINUTE)), **work)).trigger is not None


def test_how_much_there_is_to_clean():
    assert amount_of(Extent(6.0)) == 6.0
    assert amount_of(Extent(6.0, 2.0, 3)) == 36.0


# ---- properties

times = st.floats(60.0, 1e5)
TRIGGERED = ("trigger", "water", "waste", "waste_fills", "fuel", "def_fluid", "co2")


def full_job(time, **beside):
    engine = dataclasses.replace(UNIT.engine, fuel_tank=0.4, def_tank=0.04)
    job = task(unit_a(engine=engine), planned_time=time, times=Times(**beside, crew=2))
    tips = {"T": dataclasses.replace(job.tips["T"], life=40 * HOUR)}
    return dataclasses.replace(job, tips=tips, waste=Waste(2.0, 0.7))


@given(times, times)
def test_a_task_in_two_parts_uses_the_same(first, second):
    parts = [used(full_job(time)) for time in (first, second)]
    whole = used(full_job(first + second))
    for name in (*TRIGGERED, "total", "crew"):
        assert getattr(whole, name) == pytest.approx(sum(getattr(part, name) for part in parts)), name
    assert whole.worn[0][1] == pytest.approx(sum(part.worn[0][1] for part in parts))


@given(times, st.floats(0.0, 1e5), st.floats(0.0, 1e5), st.floats(0.0, 1e5))
def test_twice_the_time_is_twice_the_use_but_not_the_set_up(time, setup, change, standby):
    beside = {"setup": setup, "change": change, "standby": standby}
    once, twice = (used(full_job(factor * time, **beside)) for factor in (1.0, 2.0))
    idle = used(full_job(time)).fuel
    assert twice.total - once.total == pytest.approx(time)
    assert once.total - time == pytest.approx(setup + change + standby)
    assert twice.water == pytest.approx(2.0 * once.water)
    assert twice.fuel - once.fuel == pytest.approx(idle)
    assert once.fuel >= idle


@given(times, st.floats(0.0, 1e5), st.floats(0.0, 1.0))
def test_nothing_is_negative_or_endless(time, setup, share):
    job = dataclasses.replace(full_job(time, setup=setup), waste=Waste(2.0, share))
    usage = used(job)
    for field in dataclasses.fields(usage):
        value = getattr(usage, field.name)
        if isinstance(value, float):
            assert value >= 0.0
            assert math.isfinite(value)
    assert usage.waste <= usage.water
    assert usage.total >= usage.trigger


def test_units_by_an_independent_registry():
    """Pint: litres a minute for 90 min, litres an hour for the same time, kilograms of CO2."""
    job = by_hand(planned_time=90 * MINUTE)
    rig = check(job)
    draw = water_draw(rig, machine_for(rig, *target_of(rig)))
    usage = used(job, fuel=12 * PER_HOUR)
    litres = (UNITS.Quantity(draw, "m^3/s") * UNITS.Quantity(90, "minute")).to("L").magnitude
    assert usage.water * 1e3 == pytest.approx(litres)
    diesel = UNITS.Quantity(12, "L/hour") * UNITS.Quantity(1.5, "hour")
    carbon = diesel * UNITS.Quantity(0.835, "kg/L") * UNITS.Quantity(43.0, "TJ/Gg") * UNITS.Quantity(74.1, "t/TJ")
    assert usage.co2 == pytest.approx(carbon.to("kg").magnitude)
