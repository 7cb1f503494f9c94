"""Checks of jetwright.report.screen."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from jetwright.actions.plan import basis_for, plan_read
from jetwright.files.job import read_job
from jetwright.limits.limit import Limit
from jetwright.plan.tip_answer import Missed
from jetwright.plan.tip_order import Wish
from jetwright.plan.tips import choose_tips
from jetwright.report.screen import (
    cure_rows,
    limit_rows,
    opening_points,
    page_facts,
    tip_reasons,
    tip_rows,
    tips_refused,
)
from jetwright.report.wording import speaking
from jetwright.rig.check import check
from jetwright.rig.description import Tip
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
    assert all(line[0].isupper() for line in tips_refused(choice))
    assert tip_reasons(choice)[0][0].startswith("R12: not allowed: ")


def test_sizes_that_are_not_listed_say_why():
    """A gun held by hand may push 150 N, and L11 pushes 134 N: what is larger pushes harder."""
    choice = choose_tips(SHIFT.job, 1, basis_for(SHIFT.job), Wish())
    missed, judged = tip_reasons(choice)
    assert missed[0] == "F13, L14, F15: not allowed: recoil as planned; recoil at its cautious end."
    assert missed[1].startswith("F20: not allowed: ")
    assert judged[0].startswith("5 ways were judged by every limit")
    listed = {name for way in choice.best for chosen in way.tips for name in chosen}
    assert listed | {one.name for one in choice.missed} == {offer.name for offer in choice.offers}


def test_a_size_that_the_tool_does_not_take_or_that_nobody_judged_is_said_to_be_so():
    wide = replace(SHIFT.job, tips=dict(SHIFT.job.tips) | {"W90": Tip(9.0e-3, "cone")})
    choice = choose_tips(wide, 1, basis_for(wide), Wish())
    assert tip_reasons(choice)[0][-1] == "Wider than the tool's bore: W90."
    first = choose_tips(SHIFT.job, 2, basis_for(SHIFT.job), Wish(most=1))
    later = "L11, F13, L14: not judged, as no way with them gives more jet power than those listed."
    assert tip_reasons(first)[0][0] == later
    beyond = replace(choice, missed=(Missed("A", "large", ("pump.speed",)), Missed("B", "small", ("bypass.range",))))
    assert tip_reasons(beyond)[0][:2] == [
        "A: too large for any way that is allowed: pump speed.",
        "B: too small for any way that is allowed: bypass opening.",
    ]


def test_a_cure_on_a_page_begins_as_a_sentence_does(bigger_tip):
    rows = cure_rows(bigger_tip.tasks[0], REFUSED.job)
    assert {row.cure.kind for row in rows if not row.words[0].isupper()} <= {"holder"}  # that begins with a tool's tag
    assert any(row.words[0].isupper() for row in rows)


def test_a_stronger_part_is_looked_for_by_one_figure():
    """The relief opens at 1040 bar, and parts are marked in steps of 50."""
    task = plan_read(REFUSED, "The old hose from the van").tasks[0]
    told = [row.remedy for row in limit_rows(task, REFUSED.job)] + [row.words for row in cure_rows(task, REFUSED.job)]
    assert {rating for line in told for rating in re.findall(r"rated (\d+ bar) or more", line)} == {"1050 bar"}


def test_psi_on_a_page_are_no_finer_than_tens(noon):
    """1 bar is 14.5 psi; the panel's gauge is read in hundreds."""
    told = str(page_facts(noon, noon.tasks[0], SHIFT.job, "us", 1)["rows"])
    assert [figure for figure in re.findall(r"(\d{4,5}) (?:of \d+ )?psi", told) if not figure.endswith("0")] == []


def test_a_page_in_another_language_says_that_sources_stand_in_their_own(noon):
    facts = {}
    for language in ("en", "es"):
        with speaking(language):
            facts[language] = page_facts(noon, noon.tasks[0], SHIFT.job, "si", 1)["quoted"]
    assert facts["en"] == ""
    assert facts["es"]
