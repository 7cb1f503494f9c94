"""Checks of jetwright.actions.tries, jetwright.actions.box and of what is asked of a job that was read."""

import datetime
from pathlib import Path

import pytest

from jetwright.actions.box import tips_that_fit
from jetwright.actions.change import change, change_read
from jetwright.actions.compare import compare, compare_read
from jetwright.actions.plan import plan_read
from jetwright.actions.tips import tips_read
from jetwright.actions.tries import try_for
from jetwright.errors import FileError
from jetwright.files.job import read_job
from jetwright.limits.limit import Cure

EXAMPLES = Path(__file__).parents[2] / "examples" / "shift"
SHIFT = read_job(EXAMPLES / "job.toml")
REFUSED = read_job(EXAMPLES / "not-allowed.toml")
OLD_HOSE, BIGGER_TIP = 0, 1


def cured(place: int) -> dict[str, Cure]:
    task = plan_read(REFUSED, REFUSED.job.task[place].name).tasks[0]
    return {cure.kind: cure for limit in task.limits for cure in limit.cures}


def test_a_smaller_tip_of_the_box_stands_for_a_smaller_bore():
    one = try_for(REFUSED, BIGGER_TIP, Cure("tip", "tips.L14.bore", "length", 1.45e-3, 1.15e-3))
    assert (one.tips, one.new, one.old) == (("L11",), "L11", "L14")


def test_no_tip_is_tried_that_is_not_owned():
    assert try_for(REFUSED, BIGGER_TIP, Cure("tip", "tips.L14.bore", "length", 1.45e-3, 0.5e-3)) is None


def test_a_stronger_hose_of_the_yard_stands_for_a_rating():
    one = try_for(REFUSED, OLD_HOSE, Cure("rating", "hoses.V8-20.rating", "pressure", 950e5, 1150e5))
    assert one.run == ("W13-20", "reducer", "S8-20", "S8-20")


def test_a_wider_hose_must_be_as_strong_as_the_one_before():
    assert try_for(REFUSED, OLD_HOSE, Cure("hose", "hoses.S8-20.bore", "length", 8e-3, 12e-3)) is None
    one = try_for(REFUSED, OLD_HOSE, Cure("hose", "hoses.V8-20.bore", "length", 8e-3, 12e-3))
    assert one.run == ("W13-20", "reducer", "S8-20", "W13-20")


def test_a_tool_with_a_rest_stands_for_a_rest_and_keeps_the_tips():
    one = try_for(REFUSED, BIGGER_TIP, Cure("support", "tools.gun-big-tip.support", "", "none", "body rest"))
    assert (one.tool, one.tips) == ("gun-with-rest", ("L14",))


def test_what_is_solved_for_the_demo_can_be_tried_or_is_no_change_of_a_task():
    for place in (OLD_HOSE, BIGGER_TIP):
        for kind, cure in cured(place).items():
            one = try_for(REFUSED, place, cure)
            assert (one is not None) == (kind in ("tip", "target", "rating", "hose")), kind


def test_changes_that_belong_together_are_not_tried_one_by_one():
    other = Cure("target", "task.target.nozzle_pressure", "pressure", 81e6, 47e6)
    assert try_for(REFUSED, BIGGER_TIP, Cure("tip", "tips.L14.bore", "length", 1e-3, 9e-4, also=(other,))) is None


def test_tips_come_by_the_size_of_their_hole():
    offers = tips_that_fit(SHIFT, 1)
    assert [offer.name for offer in offers] == ["L11", "F13", "L14", "F15", "F20"]
    assert [offer.area for offer in offers] == sorted(offer.area for offer in offers)


def test_a_job_that_was_read_answers_as_its_file_does():
    day = datetime.date(2026, 5, 12)
    path = EXAMPLES / "job.toml"
    assert change_read(SHIFT, "1", "2", day) == change(path, "1", "2", day)[0]
    assert compare_read(SHIFT, "2", "3", day=day) == compare(path, "2", "3", day=day)[0]


def test_a_comparison_need_not_look_for_cures():
    told = compare_read(REFUSED, "1", "2", cures=False)
    assert told.one.task.cures_cut
    assert not any(limit.cures for limit in told.one.task.limits)


@pytest.mark.parametrize("ask", [lambda: change_read(SHIFT, "1", "no such"), lambda: tips_read(SHIFT, "no such")])
def test_a_task_that_is_not_there_is_refused(ask):
    with pytest.raises(FileError):
        ask()
