"""Draws against the plan's straight lines, against random draws of numpy's, and against what can be said by hand."""

import dataclasses
import json
import os
import pathlib
import subprocess
import sys

import numpy as np
import pytest

from jetwright.plan.draws import ALIKE, apart, batch_of, draws_of, quantile
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.tolerance import tolerance_of
from jetwright.rig.check import check
from jetwright.rig.description import Bypass, Gauge, Hose, Port, Spread, Tails, Target, Tip
from jetwright.solve import many
from jetwright.solve.steady import Levers, solve
from tests.limits.unit_a import BAR, GUN, RPM, unit_a, worked
from tests.plan.test_tolerance import drawn as drawn_by_numpy

ROOT = pathlib.Path(__file__).parents[2]
GAUGE = Gauge(full_scale=1600 * BAR, accuracy=1.6)
ERROR = 0.016 * 1600 * BAR
TAILED = Hose(0.008, 60.0, tails=Tails(0.0055, 0.08))
NONE = Spread(0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0)


def planned(job):
    rig = check(job)
    machine = machine_for(rig, *target_of(rig))
    return rig, machine, proving_point(rig, machine.state.pump_pressure)


def both(job, count=10_000, seed=1, **more):
    """The draws and the plan's bands."""
    stand = planned(job)
    return draws_of(*stand, count, seed, **more), tolerance_of(*stand)


def with_spread(job, **spread):
    return dataclasses.replace(job, spread=dataclasses.replace(NONE, **spread))


def share_of(draws, what, column):
    [one] = [one for one in draws.inputs if one.what == what]
    return one.shares[column]


@worked(1)
@worked(7)
@pytest.mark.parametrize("gauge", [None, GAUGE])
@pytest.mark.parametrize("bore", [1.0e-3, 1.4e-3])
def test_where_the_rig_is_near_linear_the_bands_agree(bore, gauge):
    """P5 and P95 of both within a tenth of the band's width, as docs/tolerance.md says."""
    draws, known = both(unit_a(bore=bore, gauge=gauge))
    assert ALIKE == 0.10
    pairs = [(draws.gauge, known.pump_pressure), (draws.speed, known.pump_speed), (draws.proving, known.proving)]
    for found, band in pairs:
        assert band == pytest.approx((found.low, found.high), abs=0.10 * (found.high - found.low))
        assert not apart(found, *band)
    for found, end in ((draws.nozzle[0], known.nozzle[0]), (draws.recoil[0], known.recoil[0])):
        assert end == pytest.approx(found.high, abs=0.10 * (found.high - found.low))
        assert not apart(found, None, end)


@worked(7)
def test_random_draws_say_the_same():
    """2000 draws of numpy's, each solved by itself: ends within what 2000 draws scatter by, 7 % of the width."""
    draws, _known = both(unit_a(bore=1.4e-3, gauge=GAUGE))
    low, high = drawn_by_numpy(unit_a(bore=1.4e-3, gauge=GAUGE))
    found = (draws.gauge, draws.speed, draws.proving, draws.recoil[0], draws.nozzle[0])
    for column, one in enumerate(found):
        width = high[column] - low[column]
        assert (one.low, one.high) == pytest.approx((low[column], high[column]), abs=0.07 * width)


def test_percentiles_are_those_of_numpy():
    batch = batch_of(*planned(unit_a(bore=1.4e-3, gauge=GAUGE)), 1000, 3)
    drawn = many.draw(batch)
    expected = np.percentile(np.array(drawn.table), [5, 50, 95], axis=0)
    found = [[quantile(column, portion) for column in drawn.ordered] for portion in (0.05, 0.50, 0.95)]
    assert np.array(found) == pytest.approx(expected, rel=1e-12)


@worked(7)
def test_shares_of_independent_inputs_add_up_as_squares():
    """By hand: the speed goes as the panel's error over the pump's flow, 1 % and 1.5 %."""
    draws, _known = both(with_spread(unit_a(bore=1.4e-3, hose=TAILED), pump_flow=0.015, speed=0.01), 100_000)
    assert share_of(draws, "pump_flow", many.AT_SPEED) == pytest.approx(2.25 / 3.25, abs=0.02)
    assert share_of(draws, "speed", many.AT_SPEED) == pytest.approx(1.0 / 3.25, abs=0.02)
    for end, sign in ((draws.speed.low, -1.0), (draws.speed.high, 1.0)):
        ratio = end / draws.speed.middle  # (1 + 1 %·z) / (1 + 1.5 %·z'): below it as often as a bell below 1.645
        assert ratio == pytest.approx(1.0 + sign * 1.645 * np.hypot(0.01, 0.015 * ratio), abs=0.0005)
    assert [one.what for one in draws.inputs] == ["pump_flow", "speed"]
    assert draws.rest == pytest.approx([0.0] * 5, abs=0.02)
    assert draws.gauge.low == pytest.approx(draws.gauge.high, rel=1e-6)  # neither moves the gauge at which it is met
    assert draws.rest[many.AT_GAUGE] == 0.0


@worked(34)
def test_no_band_of_a_gauge_is_finer_than_the_gauge():
    """26 bar of 1600 bar, class 1.6; a thing anywhere within ± 26 bar is within ± 23 bar nine times of ten."""
    job = with_spread(unit_a(bore=1.4e-3, hose=TAILED, gauge=GAUGE))
    draws, known = both(job)
    for found, band in ((draws.gauge, known.pump_pressure), (draws.proving, known.proving)):
        assert (found.low, found.high) == pytest.approx(band, rel=1e-6)
        assert found.high - found.middle == pytest.approx(ERROR, rel=1e-6)
    assert share_of(draws, "gauge", many.AT_GAUGE) == pytest.approx(1.0, abs=1e-6)
    met = np.array(many.draw(batch_of(*planned(job), 1000, 1)).table)[:, many.AT_GAUGE]
    assert np.percentile(met, [5, 95]) - met.mean() == pytest.approx([-0.9 * ERROR, 0.9 * ERROR], abs=0.002 * ERROR)


@worked(1)
def test_a_part_open_bypass_stands_at_start_speed():
    """Nothing but the panel's 1 % is uncertain about a speed that is not sought: 1.645 times it."""
    draws, known = both(unit_a())
    assert (draws.speed.low, draws.speed.high) == pytest.approx(known.pump_speed, rel=1e-5)
    assert (draws.speed.low, draws.speed.high) == pytest.approx((120 * RPM * 0.98355, 120 * RPM * 1.01645), rel=1e-5)
    assert share_of(draws, "speed", many.AT_SPEED) == pytest.approx(1.0, abs=1e-3)


def test_a_speed_that_is_half_of_the_time_sought_is_cut_at_start_speed():
    """At 1.28 mm the target is met at about start speed: the draws end there below, as the plan's band does."""
    draws, known = both(unit_a(bore=1.28e-3))
    assert draws.speed.middle == pytest.approx(120 * RPM, rel=0.02)
    assert known.pump_speed == pytest.approx((draws.speed.low, draws.speed.high), rel=0.005)
    assert draws.rest[many.AT_SPEED] > 0.05  # no input by itself tells on which side it falls


def test_a_regulating_valve_asks_for_its_spill_on_top():
    valve = Bypass("regulating", returns_to="tank", spill=0.05)
    shut, regulating = (both(unit_a(bore=1.4e-3, **more))[0].speed for more in ({}, {"bypass": valve}))
    assert regulating.middle == pytest.approx(shut.middle / 0.95, rel=1e-6)


@pytest.mark.parametrize("bypass", [None, Bypass("unloader", returns_to="tank", set=1100 * BAR)])
def test_an_unloader_knows_no_start_speed(bypass):
    job = unit_a(**({} if bypass is None else {"bypass": bypass}))
    speed = both(job)[0].speed.middle
    assert speed < 80 * RPM if bypass else speed == pytest.approx(120 * RPM, rel=1e-3)


def test_where_an_inlet_is_unknown_the_plan_goes_farther():
    """Equally likely from 0.60 to 0.97 here, at its worse end with the spread on top there; the plan is the safer."""
    job = dataclasses.replace(unit_a(bore=1.4e-3, gauge=GAUGE), tips={"T": Tip(1.4e-3, "unknown")})
    draws, known = both(job)
    assert apart(draws.proving, *known.proving)
    assert known.proving[0] < draws.proving.low
    assert known.proving[1] > draws.proving.high
    assert known.recoil[0] > draws.recoil[0].high
    assert known.nozzle[0] > draws.nozzle[0].high
    assert draws.inputs[0].what == "inlet"
    halfway = check(dataclasses.replace(job, tips={"T": Tip(1.4e-3, cd=0.785)}))
    assert draws.proving.middle == pytest.approx(solve(halfway, Levers(120 * RPM)).pump_pressure, rel=0.01)


def test_a_pump_pressure_is_read_off_the_gauge_and_nothing_else_matters_to_it():
    job = unit_a(bore=1.4e-3, gauge=GAUGE)
    target = dataclasses.replace(job.task[0], target=Target(pump_pressure=1018 * BAR))
    draws, known = both(dataclasses.replace(job, task=(target,)))
    by_chance = (
        2 / 10_000 * (len(draws.inputs) - 1)
    )  # what a parabola in an input that does nothing explains of a sample
    assert share_of(draws, "gauge", many.AT_GAUGE) == pytest.approx(1.0, abs=2 * by_chance)
    assert (draws.gauge.low, draws.gauge.high) == pytest.approx(known.pump_pressure, rel=1e-3)


def test_a_flow_is_met_by_whatever_pressure_it_takes():
    """By hand: a tip's flow goes as its area times the root of the pressure, so the pressure at it as area to -2."""
    job = with_spread(unit_a(bore=1.0e-3, hose=TAILED), tip_bore=0.015)
    target = dataclasses.replace(job.task[0], target=Target(flow=3e-4), hose_run=())
    draws, known = both(dataclasses.replace(job, task=(target,)))
    low, high = (draws.gauge.low / draws.gauge.middle, draws.gauge.high / draws.gauge.middle)
    assert (low, high) == pytest.approx(((1.0 + 1.645 * 0.03) ** -2, (1.0 - 1.645 * 0.03) ** -2), abs=0.002)
    assert not apart(draws.gauge, *known.pump_pressure)


def test_a_measured_value_is_told_from_one_that_is_not():
    job = dataclasses.replace(unit_a(), tips={"T": Tip(1e-3, cd=0.9)})
    assert {one.what: one.measured for one in both(job, 1000)[0].inputs}["tip"]
    assert not {one.what: one.measured for one in both(unit_a(), 1000)[0].inputs}["tip"]


def test_tips_of_different_names_are_drawn_apart():
    tool = dataclasses.replace(GUN, ports=(Port("T"), Port("U", 2)))
    job = dataclasses.replace(unit_a(tool=tool), tips={"T": Tip(1e-3, "rounded"), "U": Tip(0.8e-3, "unknown")})
    draws, _known = both(job)
    assert [(one.what, one.tip) for one in draws.inputs if one.tip] == [("inlet", "U"), ("tip", "U"), ("tip", "T")]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_shares_with_what_is_left_are_all_of_it(seed):
    draws, _known = both(unit_a(bore=1.4e-3, gauge=GAUGE), 1000, seed)
    for column, rest in enumerate(draws.rest):
        assert sum(one.shares[column] for one in draws.inputs) + rest == pytest.approx(1.0, abs=1e-9)


def test_the_same_seed_draws_the_same_and_another_nearly_so():
    """Another sample moves an end by less than 2 % of the band's width."""
    job = unit_a(bore=1.4e-3, gauge=GAUGE)
    one, same, other = (both(job, seed=seed)[0] for seed in (1, 1, 2))
    assert one == same
    assert one != other
    for first, second in ((one.gauge, other.gauge), (one.proving, other.proving), (one.recoil[0], other.recoil[0])):
        width = first.high - first.low
        assert (first.low, first.high) == pytest.approx((second.low, second.high), abs=0.02 * width)


def test_percentiles_scatter_less_than_those_of_random_draws():
    """Thirty samples each; random ones taken out of a large one."""
    from jetwright.solve.fast import draw

    stand = planned(unit_a(bore=1.4e-3, gauge=GAUGE))
    large, random = draw(batch_of(*stand, 100_000, 99)).table, np.random.default_rng(1)
    ours = [np.percentile(draw(batch_of(*stand, 2000, seed)).table, [5, 50, 95], axis=0) for seed in range(30)]
    theirs = [np.percentile(large[random.integers(0, len(large), 2000)], [5, 50, 95], axis=0) for _ in range(30)]
    assert np.mean(np.std(ours, axis=0) / np.std(theirs, axis=0)) < 0.9


ALONE = """
import json, runpy, sys
sys.meta_path.insert(0, runpy.run_path("tests/contract/alone.py")["OnlyTheStandardLibrary"]())
from jetwright.plan.draws import draws_of
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.rig.check import check
from jetwright.rig.example import JOB
rig = check(JOB)
machine = machine_for(rig, *target_of(rig))
draws = draws_of(rig, machine, proving_point(rig, machine.state.pump_pressure), 1000)
foreign = {name.split(".")[0] for name in sys.modules} & {"numpy", "numba"}
print(json.dumps([draws.gauge.low, draws.proving.high, draws.inputs[0].shares, sorted(foreign)]))
"""


def test_without_numba_the_same_draws_give_the_same_answers():
    from jetwright.rig.example import JOB

    done = subprocess.run(
        [sys.executable, "-c", ALONE],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT / "src")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    low, high, shares, foreign = json.loads(done.stdout)
    fast, _known = both(JOB, 1000)
    assert foreign == []
    assert (low, high) == pytest.approx((fast.gauge.low, fast.proving.high), rel=1e-9)
    assert shares == pytest.approx(fast.inputs[0].shares, abs=1e-9)
