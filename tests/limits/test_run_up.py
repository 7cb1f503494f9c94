"""Checks of jetwright.limits.run_up: an open hose end, flushed; the low-pressure hold; what a proving point proves."""

from dataclasses import replace

import pytest

from jetwright.limits.limit import counts
from jetwright.limits.rules import Bound
from jetwright.limits.run_up import flush_gauge, flush_recoil, gauge_hold, gauge_proving
from jetwright.plan.judging.run_up import limits
from jetwright.plan.proving import banded
from jetwright.plan.tolerance import tolerance_of
from jetwright.report.remedies import remedy_sentence
from jetwright.rig.description import Bypass, Gauge, Hose
from tests.limits.unit_a import BAR, RPM, UNIT, bound, found, solved, unit_a

PUSH = Bound(150.0, "force", "most", "taken over from a hand lance", "guidance", True)
GAUGE = Bound(40e5, "pressure", "most", "common practice", "common practice", False)
SHARES = [(0.999, "within"), (1.0, "within"), (1.001, "look")]


@pytest.mark.rule("recoil.flush")
@pytest.mark.parametrize(("share", "verdict"), SHARES)
def test_an_open_end_that_pushes_hard_is_looked_at(share, verdict):
    limit = flush_recoil(share * PUSH.value, PUSH, "tools.gun")
    assert (limit.verdict, limit.about, limit.source) == (verdict, "tools.gun", PUSH.source)


@pytest.mark.rule("gauge.flush")
@pytest.mark.parametrize(("share", "verdict"), SHARES)
def test_a_flush_under_pressure_is_looked_at(share, verdict):
    assert flush_gauge(share * GAUGE.value, GAUGE, 3e-6).verdict == verdict


@pytest.mark.rule("recoil.flush")
@pytest.mark.rule("gauge.flush")
def test_a_site_that_adopts_the_bounds_refuses():
    site = replace(PUSH, adopted="H. Moe"), replace(GAUGE, adopted="H. Moe")
    assert flush_recoil(151.0, site[0], "tools.gun").verdict == "not_allowed"
    assert flush_gauge(41e5, site[1], None).verdict == "not_allowed"


@pytest.mark.rule("recoil.flush")
@pytest.mark.rule("gauge.flush")
def test_beyond_all_that_is_served_is_beyond_the_bound_and_without_a_bound_nothing_is_judged():
    assert flush_recoil(None, PUSH, "tools.gun").verdict == "look"
    assert flush_gauge(None, GAUGE, None).verdict == "look"
    assert flush_recoil(9.5, None, "tools.gun").missing == "rule_set"
    assert flush_gauge(9.5e5, None, None).verdict == "not_judged"


@pytest.mark.rule("recoil.flush")
@pytest.mark.rule("gauge.flush")
def test_a_task_is_judged_with_the_bypass_shut_and_told_the_opening_that_cures_it():
    """60 m of 8 mm hose take some 90 bar of the flow at start speed; 12 mm hardly any."""
    ours = {"recoil_flush": bound(150.0, "force"), "gauge_flush": bound(40e5, "pressure")}
    turned = replace(UNIT.bypass, turns=6.0)
    narrow = limits(solved(unit_a(bypass=turned), **ours))
    assert found(narrow, "recoil.flush", "tools.gun").verdict == "within"
    flush = found(narrow, "gauge.flush")
    assert flush.verdict == "look"
    assert flush.value == pytest.approx(99.6 * BAR, rel=0.01)
    assert "bypass open by 3.19 mm² (about 0.96 turns) or more: shut" in remedy_sentence(flush)
    assert 1e-6 < flush.facts["opening"] < 20e-6
    wide = limits(solved(unit_a(hose=Hose(0.012, 60.0)), **ours))
    assert found(wide, "gauge.flush").verdict == "within"
    by_itself = limits(solved(unit_a(1.4e-3, bypass=Bypass("regulating", "tank")), **ours))
    assert found(by_itself, "gauge.flush").facts["opening"] is None
    assert "in until the gauge shows 40" in remedy_sentence(found(by_itself, "gauge.flush"))


@pytest.mark.rule("gauge.flush")
def test_a_flush_on_a_stem_that_nobody_counted_is_cured_by_the_gauge():
    """Whoever stands there sees a gauge and no hole: no opening is asked for that no hand can find."""
    flush = found(limits(solved(unit_a(), gauge_flush=bound(40e5, "pressure"))), "gauge.flush")
    said = remedy_sentence(flush, "si", UNIT)
    assert "where the gauge shows more than 40" in said
    assert "open it further" in said
    assert "mm²" not in said


FIFTH, QUARTER = bound(0.20), bound(0.25)


@pytest.mark.rule("gauge.hold")
@pytest.mark.parametrize(("share", "verdict"), SHARES)
def test_a_hold_above_a_fifth_of_the_target_is_looked_at(share, verdict):
    limit = gauge_hold(share * 0.20 * 933e5, 933e5, FIFTH)
    assert (limit.verdict, limit.value) == (verdict, pytest.approx(0.20 * share))


@pytest.mark.rule("gauge.hold")
def test_a_hold_that_nobody_can_judge_and_one_that_a_site_refuses():
    assert gauge_hold(None, 933e5, FIFTH).verdict == "look"
    assert gauge_hold(50e5, 0.0, FIFTH).missing == "task.target"
    assert gauge_hold(748e5, 906e5, replace(FIFTH, adopted="H. Moe")).verdict == "not_allowed"


@pytest.mark.rule("gauge.hold")
def test_an_unloader_has_no_low_pressure_hold():
    """Shut at start speed this rig shows 748 bar; a hand-set bypass is opened until it shows 15 % of any target."""
    by_hand = found(limits(solved(unit_a(1.4e-3), gauge_hold=FIFTH)), "gauge.hold")
    assert (by_hand.verdict, by_hand.value) == ("within", pytest.approx(0.15))
    by_itself = unit_a(1.4e-3, bypass=Bypass("unloader", "tank", set=1080 * BAR, idle_pressure=20 * BAR))
    limit = found(limits(solved(by_itself, gauge_hold=FIFTH)), "gauge.hold")
    assert limit.verdict == "look"
    assert limit.facts["pressure"] / BAR == pytest.approx(748, abs=5)
    assert "nobody near the hose" in remedy_sentence(limit)


@pytest.mark.rule("gauge.proving")
@pytest.mark.parametrize(("share", "verdict"), SHARES)
def test_a_band_wider_than_a_quarter_either_way_is_looked_at(share, verdict):
    band = (653e5 * (1.0 - 0.25 * share), 653e5 * (1.0 + 0.25 * share))
    assert gauge_proving(653e5, band, QUARTER).verdict == verdict


@pytest.mark.rule("gauge.proving")
def test_a_point_that_proves_nothing_says_what_would():
    wide = (22e5, 74e5)
    again = gauge_proving(48e5, wide, QUARTER, (220e5, 300e5))
    assert "first speed step" in remedy_sentence(again)
    assert (again.facts["low"], again.facts["high"]) == (220e5, 300e5)
    assert gauge_proving(48e5, wide, QUARTER, coarse=True).remedy == "gauge.proving/finer"
    assert gauge_proving(653e5, (400e5, 933e5), QUARTER).remedy == "gauge.proving/spread"
    assert gauge_proving(0.0, (0.0, 26e5), QUARTER).verdict == "look"
    assert gauge_proving(653e5, None, QUARTER).missing == "unit.gauge"
    assert gauge_proving(48e5, wide, replace(QUARTER, adopted="H. Moe")).verdict == "not_allowed"


def proving(job):
    """The limit of a job whose tolerance is known."""
    case = solved(job, gauge_proving=QUARTER)
    known = tolerance_of(case.rig, case.machine, case.proving)
    point = banded(case.proving, known.proving, case.machine.state.pump_pressure)
    return found(limits(replace(case, tolerance=known, proving=point)), "gauge.proving")


@pytest.mark.rule("gauge.proving")
def test_a_task_whose_gauge_is_too_coarse_at_its_proving_point():
    """25.6 bar of a 1600 bar gauge of class 1.6; 64 bar of one of 4000 bar, at 70 % of 100 bar."""
    fine, coarse = Gauge(1600 * BAR, 1.6), Gauge(4000 * BAR, 1.6)
    turned = replace(UNIT.bypass, turns=6.0)
    assert proving(unit_a(gauge=fine, bypass=turned)).verdict == "within"
    limit = proving(unit_a(pressure=100 * BAR, gauge=coarse))
    assert (limit.verdict, limit.remedy) == ("look", "gauge.proving/finer")
    turning = replace(UNIT.pump, start_speed=30 * RPM)
    slow = proving(unit_a(1.4e-3, gauge=fine, pump=turning))
    assert (slow.verdict, slow.remedy) == ("look", "gauge.proving")
    assert slow.facts["low"] < 256 * BAR < slow.facts["high"]
    assert proving(unit_a()).missing == "unit.gauge"
    assert proving(unit_a(gauge=Gauge(1600 * BAR))).missing == "unit.gauge.class"


@pytest.mark.rule("gauge.proving")
def test_a_gauge_that_is_set_by_an_opening_nobody_can_find_proves_nothing():
    """With the stem's turns a hand finds the opening and the gauge tells; without them the hand sets the gauge."""
    fine, bypass = Gauge(1600 * BAR, 1.6), UNIT.bypass
    turned = proving(unit_a(gauge=fine, bypass=replace(bypass, turns=6.0)))
    assert turned.verdict == "within"
    blind = proving(unit_a(gauge=fine))
    assert (blind.verdict, blind.missing, blind.value) == ("not_judged", "unit.bypass.turns", None)
    assert counts(blind)
    assert remedy_sentence(blind).startswith("Count the bypass stem's turns from shut to fully open once, pump off")
    shut = proving(unit_a(1.4e-3, gauge=fine))  # 748 bar with the bypass shut: there is no opening to be found
    assert shut.verdict == "within"
    small = unit_a(gauge=fine, bypass=replace(bypass, full_open_area=0.05e-6))  # fully open needs no count
    assert proving(small).verdict == "within"
    assert proving(unit_a()).missing == "unit.gauge"


@pytest.mark.rule("gauge.proving")
def test_a_band_that_is_too_wide_is_so_whatever_the_turns():
    wide = gauge_proving(48e5, (22e5, 74e5), QUARTER, coarse=True, unturned=True)
    assert (wide.verdict, wide.remedy) == ("look", "gauge.proving/finer")
    site = replace(QUARTER, adopted="H. Moe")
    assert gauge_proving(48e5, (22e5, 74e5), site, unturned=True).verdict == "not_allowed"
    assert gauge_proving(653e5, (600e5, 710e5), site, unturned=True).verdict == "not_judged"
    assert gauge_proving(653e5, (600e5, 710e5), None, unturned=True).missing == "rule_set"


@pytest.mark.rule("gauge.proving")
def test_a_tip_whose_inlet_nobody_knows_proves_little():
    job = unit_a(gauge=Gauge(1600 * BAR, 1.6))
    job = replace(job, tips={"T": replace(job.tips["T"], inlet="unknown")})
    limit = proving(job)
    assert (limit.verdict, limit.remedy) == ("look", "gauge.proving/spread")
