"""Many draws of a rig: shuffled evenly, solved as one by one, plain and compiled alike, shares that add up."""

import collections
import dataclasses
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jetwright.errors import JetwrightError, NotServedError
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.draws import batch_of
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.tolerance import spreads_of
from jetwright.rig.check import check
from jetwright.rig.condition import Condition
from jetwright.rig.description import Gauge, Spread
from jetwright.solve import many
from jetwright.solve.push import length_of, push_of
from jetwright.solve.steady import Levers, reach, solve
from tests.rigs import jobs
from tests.tier import PLANNED_RIGS

GAUGE = Gauge(1600e5, 1.6)
FEW = 200
PROMISED = 5e-5  # of a pressure, from the docstring; typically a hundredth of it


def planned(job, gauge, seed):
    """A random rig, its machine and proving point, and the batch that draws it."""
    rig = check(dataclasses.replace(job, unit=dataclasses.replace(job.unit, gauge=gauge)))
    try:
        machine = machine_for(rig, *target_of(rig))
        proving = proving_point(rig, machine.state.pump_pressure)
        batch = batch_of(rig, machine, proving, FEW, seed)
    except JetwrightError:
        assume(False)
    assume(machine.speed is not None)
    return rig, machine, proving, batch


def any_rig(test):
    """Run a test on random rigs, with a gauge and without, and on any sample."""
    given_rig = given(jobs(), st.sampled_from([None, GAUGE]), st.integers(0, 1000))
    return settings(max_examples=PLANNED_RIGS)(given_rig(test))


@pytest.mark.published("ISO C++ standard, std::minstd_rand: its 10000th value from 1 is 399268537; from memory")
def test_the_numbers_that_shuffle():
    assert many.shuffle(list(range(10_001)), 1) == 399268537


def test_each_order_is_as_likely_as_any_other():
    """Chi-squared with five degrees of freedom, beyond 20.5 once in a thousand times."""
    seen, number = collections.Counter(), 12345
    for _time in range(6000):
        order = [0, 1, 2]
        number = many.shuffle(order, number)
        seen[tuple(order)] += 1
    assert len(seen) == 6
    assert sum((count - 1000) ** 2 / 1000 for count in seen.values()) < 20.5


@any_rig
def test_compiled_equals_plain(job, gauge, seed):
    """One text: the same draws, and every answer to 1e-9."""
    from jetwright.solve.fast import draw

    *_others, batch = planned(job, gauge, seed)
    plain, fast = many.draw(batch), draw(batch)
    assert fast.scores.tolist() == plain.scores
    table = np.array(plain.table)
    assert np.isfinite(table).all()
    assert (np.abs(fast.table - table) <= 1e-9 * np.abs(table) + 1e-6).all()
    for ordered, same in zip(fast.ordered, plain.ordered, strict=True):
        assert list(ordered) == pytest.approx(same, rel=1e-9, abs=1e-6)
    assert np.array(plain.shares) == pytest.approx(fast.shares, abs=1e-6)


@any_rig
def test_every_input_takes_each_of_its_levels_once(job, gauge, seed):
    *_others, batch = planned(job, gauge, seed)
    scores = np.array(many.draw(batch).scores)
    for place, shape in enumerate(batch.shapes):
        levels = np.sort(scores[:, place])
        if shape == many.NORMAL:
            assert levels.tolist() == pytest.approx(batch.normal)
        elif shape == many.UNIFORM:
            assert np.diff(levels) == pytest.approx(math.sqrt(12.0) / FEW)
        else:
            assert (levels.mean(), levels.std()) == pytest.approx((0.0, 1.0), abs=0.05)


@any_rig
def test_a_draw_is_what_the_balance_says(job, gauge, seed):
    """The rig of each draw described anew, and solved by itself: to what the last step may leave."""
    rig, machine, proving, batch = planned(job, gauge, seed)
    drawn, spreads, job = many.draw(batch), spreads_of(rig), rig.job
    kind, value, at = target_of(rig)
    tips = list(spreads.area)
    unknown = [tip for tip in tips if job.tips[tip].inlet == "unknown" and job.tips[tip].cd is None]
    least = 0.0 if job.unit.bypass.kind == "unloader" else rig.start_speed
    spill = job.unit.bypass.spill if job.unit.bypass.kind == "regulating" else 0.0
    for row, scores in list(zip(drawn.table, drawn.scores, strict=True))[::25]:
        bore, rough, tails, flow, speed, warm, gauge, *areas = scores
        share = dict(
            zip(tips, (1.0 + spreads.area[tip] * one for tip, one in zip(tips, areas, strict=False)), strict=True)
        )
        for tip, one in zip(unknown, areas[len(tips) :], strict=True):
            share[tip] *= (0.785 + 0.185 * one / math.sqrt(3.0)) / 0.90
        condition = Condition(
            pump_strength=1.0 + spreads.pump_flow * flow,
            tip_area=share,
            roughness=math.exp(spreads.roughness * rough),
            hose_bore=1.0 + spreads.hose_bore * bore,
        )
        temperature = min(max(job.supply.temperature + spreads.temperature * warm, 273.15), 333.15)
        hoses = {
            name: hose
            if hose.tails is not None
            else dataclasses.replace(hose, length=(1.0 + spreads.tails * tails) * hose.length)
            for name, hose in job.hoses.items()
        }
        supply = dataclasses.replace(job.supply, temperature=temperature)
        other = check(dataclasses.replace(job, hoses=hoses, supply=supply))
        panel, wrong = 1.0 + spreads.speed * speed, spreads.gauge * gauge
        try:
            met = reach(other, kind, value, at, condition)
            held = reach(other, "pump_pressure", machine.state.pump_pressure - wrong, 1, condition)
            proven = solve(other, Levers(proving.pump_speed / panel, proving.bypass_area), condition).pump_pressure
        except NotServedError:
            continue
        if machine.state.pump_pressure <= max(0.0, wrong):
            continue
        pump = dataclasses.replace(other.pump, strength=condition.pump_strength)
        turns = met.mass_flow / max(delivered_per_turn(other.water, pump, met.pump_pressure), 1e-9)
        assert row[many.AT_GAUGE] == pytest.approx(met.pump_pressure + wrong, rel=1e-9)
        assert row[many.AT_SPEED] == pytest.approx(max(turns / (1.0 - spill), least) * panel, rel=1e-9)
        assert row[many.AT_PROVING] == pytest.approx(proven + wrong, rel=PROMISED, abs=PROMISED * abs(proven))
        count = len(other.branches)
        for number, line in enumerate(held.lines, start=1):
            push = length_of(*push_of(other, number, line.nozzle, condition))
            assert row[many.AT_TOOLS + number - 1] == pytest.approx(line.nozzle, rel=PROMISED, abs=1.0)
            assert row[many.AT_TOOLS + count + number - 1] == pytest.approx(push, rel=PROMISED, abs=1e-3)


def test_variances_add_where_answers_do():
    """Analytic: of a sum of independent inputs each explains its square over the sum of squares."""
    random = np.random.default_rng(5)
    scores = random.standard_normal((20_000, 3))
    weights = np.array([3.0, 2.0, 1.0])
    table = np.column_stack([1e8 + scores @ weights, scores[:, 0] ** 2, scores[:, 0] * scores[:, 1]])
    found = [[many.explained(table, column, scores, place) for place in range(3)] for column in range(3)]
    assert found[0] == pytest.approx(weights**2 / 14.0, abs=0.02)  # sampling: 1/√20000 times some
    assert found[1] == pytest.approx([1.0, 0.0, 0.0], abs=0.02)  # a square by itself is its input's
    assert found[2] == pytest.approx([0.0, 0.0, 0.0], abs=0.02)  # a product is nobody's alone


def test_what_never_moves_is_explained_by_nothing():
    assert many.explained([[9e7]] * 50, 0, [[float(score)] for score in range(50)], 0) == 0.0


@any_rig
def test_whatever_spread_a_job_states_every_answer_is_a_number(job, gauge, seed):
    """The widest that a job file may state: 100 % of everything, a factor of 10 on roughness, 30 K."""
    widest = Spread(1.0, 1.0, 1.0, 10.0, 1.0, 1.0, 30.0)
    *_others, batch = planned(dataclasses.replace(job, spread=widest), gauge, seed)
    assert np.isfinite(np.array(many.draw(batch).table)).all()
