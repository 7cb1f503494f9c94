"""What must hold of every rig, whatever its parts: physics' own demands, held against random rigs."""

import dataclasses
import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jetwright.actions.plan import basis_for
from jetwright.errors import JetwrightError, NotServedError
from jetwright.parts.bypass import bypass_flow
from jetwright.parts.nozzle import jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.task import plan_job
from jetwright.rig.check import check
from jetwright.rig.condition import SOUND, Condition
from jetwright.solve.balance import GRAVITY, run_inlet, settle
from jetwright.solve.network import network_of
from jetwright.solve.steady import Levers, solve
from tests.rigs import between, jobs
from tests.tier import PLANNED_RIGS

SPEEDS = between(0.5, 10.0)
AREAS = st.just(0.0) | between(1e-7, 2e-5)


def settled(rig, levers, condition=SOUND):
    try:
        return solve(rig, levers, condition)
    except NotServedError:
        return None


@given(jobs(), SPEEDS, AREAS)
def test_what_is_delivered_is_what_leaves(job, speed, area):
    """Conservation of mass, recomputed from the state with the parts' own laws, to 1e-9."""
    rig = check(job)
    state = settled(rig, Levers(speed, area))
    assume(state is not None)
    network = network_of(rig, SOUND)
    delivered = speed * delivered_per_turn(rig.water, rig.pump, state.pump_pressure)
    leaves = bypass_flow(rig.water, network.bypass, area, state.pump_pressure)[0]
    for line, known in zip(network.lines, state.lines, strict=True):
        leaves += jet_flow(rig.water, line.outlet, known.nozzle)[0]
        if known.jets + known.leak > 0.0:
            leaves += jet_flow(rig.water, line.leak, known.inlet)[0]
    assert leaves == pytest.approx(delivered, rel=1e-9)


@given(jobs(), SPEEDS, AREAS)
def test_pressures_meet_at_manifold_and_pump(job, speed, area):
    """Every branch, marched from its own tip, stands at the same manifold pressure; the main run ends at the pump's."""
    rig = check(job)
    state = settled(rig, Levers(speed, area))
    assume(state is not None)
    network = network_of(rig, SOUND)
    for line, known in zip(network.lines, state.lines, strict=True):
        flow = known.jets + known.leak
        if flow > 0.0:
            below = known.inlet + rig.water.reference_density * GRAVITY * line.rise
            above = run_inlet(rig.water, network.pieces, line.first, line.last, below, flow)[0]
            assert above == pytest.approx(state.manifold, rel=1e-9, abs=1.0)
    above = run_inlet(rig.water, network.pieces, 0, network.main, state.manifold, state.mass_flow)[0]
    assert above == pytest.approx(state.pump_pressure, rel=1e-9, abs=1.0)


@given(jobs(), SPEEDS, AREAS, between(0.5, 0.999), st.integers(1, 4))
def test_a_smaller_tip_never_gives_less_pressure(job, speed, area, smaller, number):
    """Bypass fixed or shut, relief shut, speed fixed."""
    rig = check(job)
    branch = min(number, len(rig.branches))
    before = settled(rig, Levers(speed, area))
    after = settled(rig, Levers(speed, area), Condition(tip_area={f"P{branch - 1}": smaller}))
    assume(before is not None)
    if after is not None:  # else it rose beyond what is served
        assert after.pump_pressure >= before.pump_pressure - 1e-9 * abs(before.pump_pressure)


@given(jobs(), SPEEDS, AREAS, between(1.0001, 2.0))
def test_more_speed_never_gives_less_pressure(job, speed, area, faster):
    """Bypass fixed or shut, relief shut."""
    rig = check(job)
    before = settled(rig, Levers(speed, area))
    after = settled(rig, Levers(speed * faster, area))
    assume(before is not None)
    if after is not None:
        assert after.pump_pressure >= before.pump_pressure - 1e-9 * abs(before.pump_pressure)


@settings(max_examples=PLANNED_RIGS)
@given(jobs())
def test_a_plan_raises_only_our_own_errors_and_holds_no_nan(job):
    try:
        plan = plan_job(job, basis_for(job))
    except JetwrightError:
        return
    numbers = list(leaves_of(dataclasses.asdict(plan)))
    assert len(numbers) > 10
    assert all(math.isfinite(number) for number in numbers)


def leaves_of(value):
    if isinstance(value, dict):
        for one in value.values():
            yield from leaves_of(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from leaves_of(one)
    elif isinstance(value, float):
        yield value


@given(jobs(), SPEEDS, AREAS, st.just(0.0) | between(1e6, 2.5e8))
def test_compiled_equals_plain(job, speed, area, held):
    """One text of the physics: to 1e-12, u of every line included."""
    from jetwright.solve.fast import CompiledRig

    network = network_of(check(job), SOUND)
    out = [0.0] * (3 + 2 * len(network.lines))
    plain = settle(
        network.water,
        network.pump,
        network.bypass,
        network.reliefs,
        network.pieces,
        network.main,
        network.lines,
        speed,
        area,
        held,
        out,
    )
    compiled = CompiledRig(network)
    assert compiled.settle(speed, area, held) == pytest.approx(plain, rel=1e-12)
    assert list(compiled.out[: 3 + len(network.lines)]) == pytest.approx(out[: 3 + len(network.lines)], rel=1e-12)


def test_a_batch_is_its_rows():
    """Our own convention: settle_many gives what settle gives, row by row."""
    import numpy as np

    from jetwright.rig.example import JOB
    from jetwright.solve.fast import CompiledRig

    rig = CompiledRig(network_of(check(JOB), SOUND))
    speeds, areas = np.linspace(2.0, 4.0, 7), np.linspace(0.0, 2e-6, 7)
    many = rig.settle_many(speeds, areas)
    for row, (speed, area) in enumerate(zip(speeds, areas, strict=True)):
        assert many[row, 0] == rig.settle(speed, area)
