"""Checks of jetwright.report.screen."""

from dataclasses import replace
from pathlib import Path

import pytest

from jetwright.actions.plan import basis_for, plan_read
from jetwright.files.job import read_job
from jetwright.limits.limit import Limit
from jetwright.plan.tip_order import Wish
from jetwright.plan.tips import choose_tips
from jetwright.report.screen import cure_rows, limit_rows, opening_points, page_facts, tip_rows, tips_refused
from jetwright.rig.check import check
from jetwright.rig.example import JOB

EXAMPLES = Path(__file__).parents[2] / "examples" / "shift"
SHIFT = read_job(EXAMPLES / "job.toml")
REFUSED = read_job(EXAMPLES / "not-allowed.toml")


@pytest.fixture(scope="module")
def noon():
    return plan_read(SHIFT, SHIFT.job.task[1].name)


@pytest.fixture(scope="module")
def bigger_tip():
    return plan_read(REFUSED, "A bigger tip")


def test_limits_stand_worst_first_and_the_nearest_first_among_their_like(noon):
    rows = limit_rows(noon.tasks[0], SHIFT.job)
    order = ["not_allowed", "look", "within"]
    assert [row.verdict for row in rows] == sorted((row.verdict for row in rows), key=order.index)
    within = [row.share for row in rows if row.verdict == "within" and row.share is not None and not row.least]
    assert within == sorted(within, reverse=True)


def test_what_was_not_judged_is_no_row(bigger_tip):
    task = bigger_tip.tasks[0]
    unjudged = sum(limit.verdict == "not_judged" for limit in task.limits)
    assert unjudged > 0
    assert len(limit_rows(task, REFUSED.job)) == len(task.limits) - unjudged


@pytest.mark.parametrize(("value", "least", "share"), [(50.0, False, 0.375), (100.0, False, 0.75), (150.0, False, 1.0)])
def test_what_must_stay_below_fills_up_to_the_mark_at_three_quarters(noon, value, least, share):
    limit = Limit("pump.speed", "look", value, 100.0, "speed", 1.0 - value / 100.0, "plate", True, least=least)
    row = limit_rows(replace(noon.tasks[0], limits=(limit,)), SHIFT.job)[0]
    assert row.share == pytest.approx(share)


@pytest.mark.parametrize(("value", "share"), [(1.0, 0.25), (2.0, 0.5), (0.5, 0.125), (9.0, 1.0)])
def test_what_must_stay_above_fills_past_the_mark_at_one_quarter(noon, value, share):
    limit = Limit("person.lance", "look", value, 1.0, "length", value - 1.0, "plate", True, least=True)
    row = limit_rows(replace(noon.tasks[0], limits=(limit,)), SHIFT.job)[0]
    assert row.least
    assert row.share == pytest.approx(share)


def test_cures_are_words_with_the_facts_to_act_on(bigger_tip):
    rows = cure_rows(bigger_tip.tasks[0], REFUSED.job)
    kinds = [row.cure.kind for row in rows]
    assert "tip" in kinds
    assert len({row.words for row in rows}) == len(rows)


def test_a_refused_task_has_no_openings_to_follow(bigger_tip):
    assert opening_points(bigger_tip.tasks[0]) == []


def test_the_last_opening_gives_the_planned_gauge(noon):
    points = opening_points(noon.tasks[0])
    setting = noon.tasks[0].setting
    assert points[-1] == pytest.approx((setting.bypass_area * 1e6, setting.pump_pressure / 1e5), rel=1e-3)
    assert opening_points(noon.tasks[0], "us")[-1][1] == pytest.approx(
        points[-1][1] * 14.5038, rel=1e-4
    )  # psi in a bar


def test_a_page_has_no_sign_that_no_font_draws(noon):
    assert "\ue000" not in str(page_facts(noon, noon.tasks[0], SHIFT.job, "us", 1))


def test_tips_that_stand_in_the_same_rows_can_be_asked():
    choice = choose_tips(SHIFT.job, 1, basis_for(SHIFT.job), Wish())
    rows = tip_rows(choice, SHIFT.job)
    assert [row.tips for row in rows if row.as_now] == [("L11",)]
    assert tips_refused(choice) == []


def test_where_no_tip_is_allowed_it_says_by_what():
    job = replace(JOB, task=(replace(JOB.task[0], target=replace(JOB.task[0].target, nozzle_pressure=1400e5)),))
    check(job)
    choice = choose_tips(job, 0, basis_for(job), Wish())
    assert tip_rows(choice, job) == []
    assert tips_refused(choice)
