"""One piece's test by itself: as a plan of a task with it says."""

import datetime
from dataclasses import replace
from pathlib import Path

import pytest

from jetwright.actions.plan import plan_read
from jetwright.actions.tested import hose_in_test, relief_in_test
from jetwright.errors import FileError
from jetwright.files.job import read_job
from jetwright.rig.check import RULE_SETS

SHIFT = read_job(Path(__file__).parents[2] / "examples" / "shift" / "job.toml")
DAY = datetime.date(2026, 5, 12)


@pytest.mark.parametrize("rules", RULE_SETS)
@pytest.mark.parametrize("tested", [datetime.date(2019, 1, 5), datetime.date(2026, 5, 1), datetime.date(2026, 5, 13)])
def test_it_says_what_the_plan_of_a_task_says(rules, tested):
    hoses = {name: replace(hose, tested=tested) for name, hose in SHIFT.job.hoses.items()}
    reliefs = tuple(replace(one, tested=tested) for one in SHIFT.job.unit.relief)
    unit = replace(SHIFT.job.unit, relief=reliefs)
    read = replace(SHIFT, job=replace(SHIFT.job, rule_set=rules, hoses=hoses, unit=unit))
    limits = plan_read(read, SHIFT.job.task[1].name, day=DAY, cures=False).tasks[0].limits
    found = {limit.about: limit for limit in limits if limit.id == "hose.test_age"}
    assert found
    for about, limit in found.items():
        assert hose_in_test(about.removeprefix("hoses."), tested, DAY, rules) == limit
    assert [relief_in_test(tested, DAY, rules)] == [one for one in limits if one.id == "relief.test_age"]


def test_a_rule_set_that_is_none_is_refused():
    with pytest.raises(FileError):
        hose_in_test("S8-20", DAY, DAY, "nowhere")
