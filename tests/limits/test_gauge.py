"""Checks of jetwright.limits.gauge and what a plan gathers for it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.limits.gauge import gauge_error, gauge_relief, gauge_scale
from jetwright.limits.limit import WORST_LAST
from jetwright.plan.judging.gauge import limits
from jetwright.rig.description import Gauge
from tests.limits.unit_a import BAR, BOUNDS, bound, found, solved, unit_a, worked

TENTH, PULSATING, STEADY = (BOUNDS[f"gauge.{name}"] for name in ("error", "pulsating", "steady"))
PRESSURES = st.floats(1e6, 3e8)
SHARES = st.floats(0.01, 1.5)


def rank(limit):
    return WORST_LAST.index(limit.verdict)


@pytest.mark.rule("gauge.scale")
@pytest.mark.parametrize(
    ("pressure", "verdict", "source"),
    [
        (1040, "within", "memory"),
        (1041, "look", "memory"),
        (1600, "look", "memory"),
        (1601, "not_allowed", "plate"),
    ],
)
def test_working_pressure_on_the_scale(pressure, verdict, source):
    """65 % of full scale, EN 837-2 from memory; the end of the scale is the gauge's plate."""
    limit = gauge_scale(pressure * BAR, 1600 * BAR, PULSATING)
    assert (limit.verdict, limit.source, limit.quantity) == (verdict, source, "ratio")


@pytest.mark.rule("gauge.scale")
def test_a_damper_leaves_more_of_the_scale_to_work_on():
    """EN 837-2 from memory: 75 % steady, 65 % pulsating; 1018 bar on 1500 lies between the two."""
    job = unit_a(bore=1.4e-3, gauge=Gauge(1500 * BAR, 1.6))
    assert found(limits(solved(job)), "gauge.scale").verdict == "look"
    damped = replace(job, unit=replace(job.unit, damper=True))
    assert found(limits(solved(damped)), "gauge.scale").verdict == "within"


@worked(34)
@pytest.mark.rule("gauge.error")
def test_a_gauge_of_4000_says_little_at_100():
    limit = gauge_error(100 * BAR, 4000 * BAR, 1.6, TENTH)
    assert limit.facts["error"] == pytest.approx(64e5)
    assert limit.value == pytest.approx(0.64)
    assert (limit.verdict, limit.remedy) == ("look", "gauge.error")


@worked(34)
@pytest.mark.rule("gauge.error")
def test_a_gauge_of_1600_is_good_to_26_bar_at_933():
    limit = found(limits(solved(unit_a(gauge=Gauge(1600 * BAR, 1.6)))), "gauge.error")
    assert limit.facts["error"] == pytest.approx(25.6e5)
    assert limit.value == pytest.approx(0.027, abs=0.0005)
    assert limit.verdict == "within"


@worked(43)
@pytest.mark.rule("gauge.error")
def test_a_gauge_without_a_class_is_not_judged_for_its_error():
    judged = limits(solved(unit_a(gauge=Gauge(1600 * BAR))))
    error = found(judged, "gauge.error")
    assert (error.verdict, error.missing) == ("not_judged", "unit.gauge.class")
    assert found(judged, "gauge.scale").verdict == "within"


@worked(43)
@pytest.mark.rule("gauge.scale")
def test_without_a_gauge_nothing_about_it_is_judged():
    assert {(one.verdict, one.missing) for one in limits(solved(unit_a()))} == {("not_judged", "unit.gauge")}


@pytest.mark.rule("gauge.relief")
@pytest.mark.parametrize(("full_scale", "verdict"), [(1600, "within"), (1265, "within"), (1250, "look")])
def test_what_the_relief_lets_come_lies_on_the_scale(full_scale, verdict):
    """Common practice; 1150 bar and 10 % are 1265 bar."""
    limit = found(limits(solved(unit_a(gauge=Gauge(full_scale * BAR, 1.6)))), "gauge.relief")
    assert limit.value == pytest.approx(1265e5)
    assert (limit.verdict, limit.source, limit.verified) == (verdict, "common practice", False)


@worked(43)
@pytest.mark.rule("gauge.relief")
def test_without_a_relief_its_pressure_is_not_on_any_scale():
    limit = found(limits(solved(unit_a(relief=(), gauge=Gauge(1600 * BAR, 1.6)))), "gauge.relief")
    assert (limit.verdict, limit.missing) == ("not_judged", "unit.relief")


@pytest.mark.rule("gauge.scale")
@given(pressure=PRESSURES, scales=st.tuples(PRESSURES, PRESSURES))
def test_a_longer_scale_never_worsens_what_must_lie_on_it(pressure, scales):
    low, high = sorted(scales)
    for rule in (gauge_relief, lambda seen, scale: gauge_scale(seen, scale, PULSATING)):
        assert rank(rule(pressure, high)) <= rank(rule(pressure, low))


@pytest.mark.rule("gauge.error")
@given(pressure=PRESSURES, scale=PRESSURES, shares=st.tuples(SHARES, SHARES), adopted=st.sampled_from(["", "Pier 4"]))
def test_a_tighter_share_never_improves_a_verdict(pressure, scale, shares, adopted):
    tight, wide = (bound(share, adopted=adopted) for share in sorted(shares))
    for rule in (gauge_scale, lambda seen, full, share: gauge_error(seen, full, 1.6, share)):
        assert rank(rule(pressure, scale, tight)) >= rank(rule(pressure, scale, wide))


@pytest.mark.rule("gauge.scale")
def test_without_a_gauge_there_is_still_something_to_do():
    """Common practice: nobody runs up what shows no pressure."""
    limit = gauge_scale(900e5, None, PULSATING)
    assert (limit.verdict, limit.missing, limit.remedy) == ("not_judged", "unit.gauge", "gauge.scale/none")
