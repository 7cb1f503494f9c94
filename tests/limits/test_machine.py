"""Checks of jetwright.limits.machine: each limit on, below and above its bound."""

import pytest

from jetwright.limits.limit import worst
from jetwright.limits.machine import bypass_range, engine_power, pump_speed, relief_opens

VERDICTS = [(0.999, "within"), (1.0, "within"), (1.001, "not_allowed")]


@pytest.mark.rule("pump.speed")
@pytest.mark.parametrize(("share", "verdict"), VERDICTS)
def test_pump_speed_against_the_plate(share, verdict):
    limit = pump_speed(share * 8.0, 8.0)
    assert limit.verdict == verdict
    assert limit.margin == pytest.approx(1.0 - share)


@pytest.mark.rule("pump.speed")
def test_a_target_no_speed_reaches_is_not_allowed():
    assert pump_speed(None, 8.0).verdict == "not_allowed"


@pytest.mark.rule("bypass.range")
@pytest.mark.parametrize("kind", ["hand-set", "regulating"])
@pytest.mark.parametrize(("share", "verdict"), VERDICTS)
def test_a_bypass_passes_no_more_than_its_opening(kind, share, verdict):
    assert bypass_range(kind, share * 2e-5, 2e-5).verdict == verdict


@pytest.mark.rule("bypass.range")
@pytest.mark.parametrize(("share", "verdict"), [(0.999, "not_allowed"), (1.0, "within"), (1.001, "within")])
def test_an_unloader_cannot_spill_a_part(share, verdict):
    assert bypass_range("unloader", share * 2.0, 2.0).verdict == verdict


@pytest.mark.rule("engine.power")
@pytest.mark.parametrize(
    ("load", "verdict", "bound"),
    [(0.85, "within", 1.0), (0.86, "look", 0.85), (1.0, "look", 0.85), (1.01, "not_allowed", 1.0)],
)
def test_engine_load(load, verdict, bound):
    """85 % is common practice: little is left for a load step above it."""
    limit = engine_power(load, described=True)
    assert (limit.verdict, limit.bound) == (verdict, bound)
    assert limit.verified == (verdict != "look")


@pytest.mark.rule("engine.power")
def test_an_engine_nobody_described_is_not_judged():
    assert engine_power(None, described=False).verdict == "not_judged"


def test_a_task_is_as_its_worst_limit():
    assert worst(("within", "look", "not_judged")) == "look"
    assert worst(("look", "not_allowed", "within")) == "not_allowed"
    assert worst(("not_judged",)) == "not_judged"


@pytest.mark.rule("relief.set")
@pytest.mark.parametrize(("share", "verdict"), [(0.999, "within"), (1.0, "not_allowed"), (1.01, "not_allowed")])
def test_a_plan_stays_below_the_relief(share, verdict):
    """Physics: at its set point a relief opens."""
    assert relief_opens(share * 1150e5, 1150e5).verdict == verdict


@pytest.mark.rule("bypass.range")
@pytest.mark.parametrize(("share", "verdict"), [(0.999, "within"), (1.0, "not_allowed")])
def test_an_unloader_opens_at_its_set_point(share, verdict):
    """Physics: held above it, nothing reaches the tool."""
    assert bypass_range("unloader set", share * 950e5, 950e5).verdict == verdict
