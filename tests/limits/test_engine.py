"""Checks of jetwright.limits.engine and what a plan gathers for it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.limits.engine import engine_step
from jetwright.limits.limit import WORST_LAST
from jetwright.plan.judging.machine import limits
from tests.limits.unit_a import BOUNDS, GUN, bound, found, solved, unit_a, worked

HALF = BOUNDS["engine.step"]


def rank(limit):
    return WORST_LAST.index(limit.verdict)


@pytest.mark.rule("engine.step")
@pytest.mark.parametrize(("step", "verdict"), [(117.5e3, "within"), (118e3, "look")])
def test_half_of_full_load_comes_at_once(step, verdict):
    """Common practice."""
    limit = engine_step(step, 235e3, HALF)
    assert (limit.verdict, limit.verified) == (verdict, False)


@worked("1 and 17")
@pytest.mark.rule("engine.step")
def test_pressing_the_trigger_of_a_dump_gun():
    """73.0 kW held at 933 bar; let go, the gauge shows 81 bar and the same pump flow asks 9 % of that and the 9 kW."""
    limit = found(limits(solved(unit_a())), "engine.step")
    idle = 9.0 + (73.0 - 9.0) * 81 / 933
    assert limit.value == pytest.approx((73.0 - idle) / 235.0, rel=0.03)
    assert limit.verdict == "within"


@pytest.mark.rule("engine.step")
def test_a_gun_that_only_shuts_brings_no_step_from_a_dump():
    job = unit_a(tool=replace(GUN, release="dry shut-off", dump=None))
    assert "engine.step" not in {one.id for one in limits(solved(job))}


@pytest.mark.rule("engine.step")
def test_without_an_engine_no_step_is_judged():
    limit = found(limits(solved(unit_a(engine=None))), "engine.step")
    assert (limit.verdict, limit.missing) == ("not_judged", "unit.engine")


@pytest.mark.rule("engine.step")
def test_a_letting_go_that_has_no_state_is_not_judged():
    assert engine_step(None, 235e3, HALF).verdict == "not_judged"


@pytest.mark.rule("engine.step")
@given(
    step=st.floats(0.0, 4e5),
    powers=st.tuples(st.floats(1e4, 4e5), st.floats(1e4, 4e5)),
    shares=st.tuples(st.floats(0.1, 1.0), st.floats(0.1, 1.0)),
    adopted=st.sampled_from(["", "Pier 4"]),
)
def test_a_weaker_engine_or_a_tighter_share_never_improves_a_verdict(step, powers, shares, adopted):
    tight, wide = (bound(share, adopted=adopted) for share in sorted(shares))
    assert rank(engine_step(step, min(powers), wide)) >= rank(engine_step(step, max(powers), wide))
    assert rank(engine_step(step, powers[0], tight)) >= rank(engine_step(step, powers[0], wide))
